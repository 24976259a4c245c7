package durable

import "errors"

// ErrLocked says that another process, or another part of this one, has a folder.
var ErrLocked = errors.New("the folder is in use")
