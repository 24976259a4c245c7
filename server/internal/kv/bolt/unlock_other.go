//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package bolt

import "os"

// unlock does nothing where a lock ends with its file.
func unlock(*os.File) {}
