// Command server is Nightkeep: home monitoring for overnight
// orthokeratology. It serves the families' app and the clinic's console from
// one data file. `server help` lists what it can do.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	_ "time/tzdata" // zones are data we depend on; a small machine may have none

	"nightkeep/server/internal/app"
)

// memoryLimit is what the program takes for itself before it collects garbage
// more often, in bytes. Pages of the data file come on top; the system takes those
// back when it needs them.
const memoryLimit = 240 << 20

// collectSeldom lets garbage grow to four times what lives, as long as there is
// room: what lives is some 30 MB, and a push leaves 37 kB behind. GOGC and
// GOMEMLIMIT, when set, say otherwise.
func collectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryLimit)
	}
}

func main() { os.Exit(run()) }

func run() int {
	collectSeldom()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := app.Run(ctx, os.Args[1:], app.IO{In: os.Stdin, Out: os.Stdout, Err: os.Stderr})
	var usage app.UsageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		fmt.Fprintln(os.Stderr, usage.Error())
		return 2
	default:
		fmt.Fprintln(os.Stderr, "nightkeep:", err)
		return 1
	}
}
