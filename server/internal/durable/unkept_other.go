//go:build !linux

package durable

import (
	"errors"
	"os"
)

func unnamed(string) (*os.File, error) { return nil, errors.ErrUnsupported }

func openedAs(f *os.File) string { return f.Name() }

func nameOpened(*os.File, string) error { return errors.ErrUnsupported }
