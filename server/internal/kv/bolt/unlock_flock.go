//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package bolt

import (
	"os"
	"syscall"
)

// unlock gives a file's lock back. Closing it is not enough: the memory map of
// an opening that panicked holds it too.
func unlock(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }
