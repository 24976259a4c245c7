//go:build unix

package machine

import "syscall"

// MostConnections is how many connections are taken at once: what the limit of
// open files leaves beside those the store, mail, push messages and logs need, so
// that a crowd of phones, or one that means harm, cannot take those. 0 is no
// limit.
func MostConnections() int {
	var lim syscall.Rlimit
	if syscall.Getrlimit(syscall.RLIMIT_NOFILE, &lim) != nil {
		return 0
	}
	return connectionsOf(uint64(lim.Cur))
}
