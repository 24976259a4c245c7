package durable

import (
	"errors"
	"io/fs"
	"os"
)

// Unkept is a new file that is written before it has its name: where the system
// can, it has none, so that nothing of it is left when the process is killed;
// elsewhere it is named with ".part" at the end meanwhile.
type Unkept struct {
	*os.File
	to   string
	part string // its name meanwhile; empty: it has none
}

// NewUnkept begins a file that is to be named to.
func NewUnkept(to string) (*Unkept, error) {
	if f, err := unnamed(to); err == nil {
		return &Unkept{File: f, to: to}, nil
	}
	part := to + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	f, err := os.OpenFile(part, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	return &Unkept{File: f, to: to, part: part}, err
}

// Path is where the file can be opened until it is closed.
func (u *Unkept) Path() string {
	if u.part != "" {
		return u.part
	}
	return openedAs(u.File)
}

// Keep flushes the file and gives it its name, durably. A file that has the name
// already is not overwritten: the error is then [fs.ErrExist].
func (u *Unkept) Keep() error {
	if err := u.Sync(); err != nil {
		return err
	}
	if err := u.name(); err != nil {
		return err
	}
	return Name(u.to)
}

func (u *Unkept) name() error {
	if u.part == "" {
		return nameOpened(u.File, u.to)
	}
	err := os.Link(u.part, u.to)
	if err != nil && Missing(u.to) { // a file system without second names
		return os.Rename(u.part, u.to)
	}
	return err
}

// Close ends the file; without Keep nothing of it is left.
func (u *Unkept) Close() error {
	err := u.File.Close()
	if u.part == "" {
		return err
	}
	if gone := os.Remove(u.part); !errors.Is(gone, fs.ErrNotExist) {
		err = errors.Join(err, gone)
	}
	return err
}
