//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package durable

import "os"

// LockFolder opens the folder where there are no locks of folders.
func LockFolder(dir string, _ bool) (*os.File, error) { return os.Open(dir) }
