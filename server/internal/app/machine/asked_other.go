//go:build !linux

package machine

func FreeBytes(string) *int64 { return nil } // the system is not asked

func ClockSynced() *bool { return nil } // the system is not asked
