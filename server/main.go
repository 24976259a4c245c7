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
	"syscall"
	_ "time/tzdata" // zones are data we depend on; a small machine may have none

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/app/machine"
)

func main() { os.Exit(run()) }

func run() int {
	machine.TuneMemory()
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
		fmt.Fprintln(os.Stderr, "nightkeep:", app.Plain(err))
		return 1
	}
}
