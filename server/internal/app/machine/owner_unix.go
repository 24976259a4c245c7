//go:build unix

package machine

import (
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// OwnedByAnother reports whether a path belongs to another user than the one who runs
// this command, and names that user. A path that is not there is nobody's.
func OwnedByAnother(path string) (owner string, other bool) {
	info, err := os.Stat(path)
	if err != nil {
		return "", false
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok || int(stat.Uid) == os.Geteuid() {
		return "", false
	}
	id := strconv.Itoa(int(stat.Uid))
	if u, err := user.LookupId(id); err == nil {
		return u.Username, true
	}
	return "#" + id, true // as sudo takes it
}
