package app

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"os/user"
	"strings"
	"syscall"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Plain returns an error in words for whoever runs the program: what the system
// says in its own language is put into ours, and of our own errors the text stands
// without its code. The log keeps the error as it came.
func Plain(err error) string {
	text := err.Error()
	each(err, func(e error) {
		if raw, words := inPlainWords(e); words != "" {
			text = strings.ReplaceAll(text, raw, words)
		}
	})
	if store.IsUnreadable(err) && !strings.Contains(text, "repair") {
		text += "\nrestore a backup, or read what can be read into a new file: " + called() + " repair -file FILE -to NEW-FILE"
	}
	return text
}

// each calls f with an error and everything it is made of, the outermost first.
func each(err error, f func(error)) {
	if err == nil {
		return
	}
	f(err)
	switch e := err.(type) {
	case interface{ Unwrap() error }:
		each(e.Unwrap(), f)
	case interface{ Unwrap() []error }:
		for _, part := range e.Unwrap() {
			each(part, f)
		}
	}
}

// inPlainWords returns what one error prints, and what is printed in its place.
func inPlainWords(err error) (raw, words string) {
	switch e := err.(type) {
	case *care.Error:
		if e.Code != "cannot-store" && e.Code != "cannot-read" { // whose text is for a family's phone
			return e.Error(), e.Text
		}
		if store.IsUnreadable(e.Err) {
			return e.Error(), fmt.Sprintf("a part of the data file cannot be read: %v; stop the server, see what check says, and restore a backup, or repair the file", e.Err)
		}
		words = "the data file takes no write: is its disk full, or can it only be read?"
		if cause := why(e.Err); cause != "" {
			words = "the data file takes no write: " + cause
		}
		return e.Error(), words
	case *fs.PathError:
		if cause := why(e.Err); cause != "" && strings.HasPrefix(e.Path, "/proc/self/fd/") { // a file that has no name yet
			return e.Error(), "the file that is being made: " + cause
		} else if cause != "" {
			return e.Error(), e.Path + ": " + cause
		}
	case *os.LinkError:
		if cause := why(e.Err); cause != "" {
			return e.Error(), e.New + ": " + cause
		}
	case *net.OpError:
		if cause := why(e.Err); cause != "" {
			return e.Error(), cause
		}
	}
	return "", ""
}

// why says what stands in the way; empty for what has no words here.
func why(err error) string {
	for _, known := range []struct {
		is   error
		says string
	}{
		{fs.ErrNotExist, "it is not there"},
		{fs.ErrExist, "it exists already; want a name that is free"},
		{syscall.EADDRINUSE, "another program listens there already"},
		{syscall.EADDRNOTAVAIL, "this machine has no such address"},
		{syscall.ENOSPC, "its disk is full"},
		{syscall.EROFS, "its disk can only be read"},
		{syscall.EISDIR, "it is a folder; want a file"},
		{syscall.ENOTDIR, "a part of the path is a file; want a folder"},
	} {
		if errors.Is(err, known.is) {
			return known.says
		}
	}
	if errors.Is(err, fs.ErrPermission) {
		return "the user " + whoRuns() + " may not; run it as the user whose data it is"
	}
	return ""
}

func whoRuns() string {
	if me, err := user.Current(); err == nil {
		return me.Username
	}
	return "of this command"
}
