//go:build !unix

package app

// anothers reports whether a path belongs to another user; elsewhere than on
// Unix nobody asks.
func anothers(string) (owner string, other bool) { return "", false }
