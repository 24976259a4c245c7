package durable

import (
	"os"
	"path/filepath"
	"strconv"

	"golang.org/x/sys/unix"
)

// unnamed opens a new file without a name, on the disk of the name it is to have
// (open(2), O_TMPFILE).
func unnamed(to string) (*os.File, error) {
	return os.OpenFile(filepath.Dir(to), os.O_RDWR|unix.O_TMPFILE, 0o600)
}

func openedAs(f *os.File) string { return "/proc/self/fd/" + strconv.Itoa(int(f.Fd())) }

// nameOpened gives an open file without a name its name.
func nameOpened(f *os.File, to string) error {
	if err := unix.Linkat(unix.AT_FDCWD, openedAs(f), unix.AT_FDCWD, to, unix.AT_SYMLINK_FOLLOW); err != nil {
		return &os.LinkError{Op: "linkat", Old: openedAs(f), New: to, Err: err}
	}
	return nil
}
