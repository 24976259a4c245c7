// Package machine is what the server takes from the machine it runs on, and asks
// of it: memory, open files, room on the disk, whether a time service holds the
// clock, whose a file is, a certificate in files that somebody else renews. It
// refuses to know what any of it is for. Where a system does not say, it answers
// that it does not know.
package machine

// reservedFiles are kept from connections, for the store, its backups, mail, push
// messages and logs; of a small limit half is.
const (
	reservedFiles   = 256
	connectionsMost = 20_000
)

// connectionsOf returns how many connections a limit of open files leaves.
func connectionsOf(files uint64) int {
	return int(max(min(files, connectionsMost+reservedFiles)-min(reservedFiles, files/2), 1))
}
