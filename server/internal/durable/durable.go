// Package durable makes the name of a file survive a power cut. What stands in a
// file is flushed with it; its name stands in its folder, and is lost with that
// until the folder is flushed too (fsync(2)).
package durable

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Name makes the name of a file at path durable, as it stands now: given, taken
// from another file, or removed.
func Name(path string) error {
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	_ = dir.Sync() // some systems have no such thing
	return dir.Close()
}

// Rename gives a file another name, durably, and takes it from the file that had
// it.
func Rename(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	return Name(to)
}

// Missing reports whether there is no file at path.
func Missing(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}
