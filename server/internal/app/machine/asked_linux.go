package machine

import "syscall"

// FreeBytes returns what an ordinary user may still write in a folder, in bytes;
// nil when the system does not say.
func FreeBytes(dir string) *int64 {
	var s syscall.Statfs_t
	if syscall.Statfs(dir, &s) != nil {
		return nil
	}
	free := int64(s.Bavail) * s.Bsize
	return &free
}

// staUnsync is STA_UNSYNC of adjtimex(2): no time service holds the clock.
const staUnsync = 0x40

// ClockSynced reports whether a time service holds the machine's clock; nil when
// the system does not say.
func ClockSynced() *bool {
	var t syscall.Timex // no mode: only read
	if _, err := syscall.Adjtimex(&t); err != nil {
		return nil
	}
	held := t.Status&staUnsync == 0
	return &held
}
