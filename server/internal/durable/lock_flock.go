//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package durable

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

// LockFolder takes a folder, with others or alone, until the file it returns is
// closed or the process ends (flock(2)). It never waits: a folder that somebody has
// in a way that does not go with it is [ErrLocked]. Where a file system has no such
// locks everybody gets it.
func LockFolder(dir string, alone bool) (*os.File, error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	how := syscall.LOCK_SH
	if alone {
		how = syscall.LOCK_EX
	}
	if err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB); errors.Is(err, syscall.EWOULDBLOCK) {
		f.Close()
		return nil, fmt.Errorf("%w: %s", ErrLocked, dir)
	}
	return f, nil
}
