package machine

import (
	"os"
	"runtime/debug"
)

// The collector's settings for a server. What lives on the heap is a few
// megabytes, because the data file is mapped and not loaded; with Go's own
// setting the collector would run dozens of times a second under load to keep
// it so. It may grow fivefold, and up to the limit, which holds a practice of
// 100,000 wearers well within 300 MB. Both are our choice after measuring.
const (
	gcPercent   = 400
	memoryLimit = 256 << 20 // bytes, soft: beyond it the collector runs more often
)

// TuneMemory sets the collector, unless whoever runs the server has.
func TuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}
