// Command bench measures this machine: the server against bare baselines in the
// same run, see package bench. It is a program of its own, so that neither the
// baselines nor the browser's driver are in what a practice runs.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"time"
	_ "time/tzdata"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/bench"
)

func main() { os.Exit(run()) }

func run() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if len(os.Args) > 3 && os.Args[1] == "-page" {
		return page(os.Args[2], os.Args[3:])
	}
	opt, out, err := options(os.Args[1:])
	switch {
	case err == flag.ErrHelp:
		return 0
	case err != nil:
		fmt.Fprintln(os.Stderr, "bench:", err)
		return 2
	}
	machine.TuneMemory() // for the baselines too
	report, err := bench.Run(ctx, opt)
	if err == nil {
		err = printReport(report, out, os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		return 1
	}
	return 0
}

// options reads the command line; file is where the JSON object goes too.
func options(args []string) (opt bench.Options, file string, err error) {
	fs := flag.NewFlagSet("bench", flag.ContinueOnError)
	out := fs.String("out", "", "also write the JSON object to this file")
	rows := fs.String("rows", "", "only these row groups, such as 1,2; empty: all nine")
	large := fs.Bool("large", false, "grow to 100,000 wearers and take up to half an hour; needs some 10 GB of disk")
	sqlite := fs.Bool("sqlite", false, "set ingest beside SQLite too; needs a build with -tags compare")
	postgres := fs.String("postgres", "", "set ingest beside this PostgreSQL database too, such as postgres://127.0.0.1/postgres; needs a build with -tags compare")
	if err := fs.Parse(args); err != nil {
		return opt, "", err
	}
	if fs.NArg() > 0 {
		return opt, "", fmt.Errorf("it takes no argument %q", fs.Arg(0))
	}
	opt = bench.Options{Large: *large, Budget: 5 * time.Minute, Open: openForBench, Demo: demoForBench, Log: os.Stderr, SQLite: *sqlite, Postgres: *postgres}
	if *large {
		opt.Budget = 30 * time.Minute
	}
	for part := range strings.SplitSeq(*rows, ",") {
		if part == "" {
			continue
		}
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > 9 {
			return opt, "", fmt.Errorf("-rows %q: want numbers from 1 to 9, parted by commas", *rows)
		}
		opt.Rows = append(opt.Rows, n)
	}
	return opt, *out, nil
}

// page puts the table of runs, as -out wrote them, into a page.
func page(path string, files []string) int {
	raw, err := os.ReadFile(path)
	var runs []bench.Report
	for _, file := range files {
		var r bench.Report
		one, readErr := os.ReadFile(file)
		if err = errors.Join(err, readErr); err == nil {
			err = json.Unmarshal(one, &r)
		}
		runs = append(runs, r)
	}
	if err == nil {
		var text string
		if text, err = bench.Page(string(raw), runs); err == nil {
			err = os.WriteFile(path, []byte(text), 0o644)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		return 1
	}
	return 0
}

// printReport writes the table, then the JSON object on one line.
func printReport(r bench.Report, file string, out io.Writer) error {
	raw, err := json.Marshal(r)
	if err != nil {
		return err
	}
	if file != "" {
		if err := os.WriteFile(file, append(raw, '\n'), 0o600); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", r.Table(), raw)
	return err
}

// openForBench wires the program over a folder, without an address.
func openForBench(dir string, now func() time.Time) (*bench.Program, error) {
	a, err := app.New(app.Options{DataDir: dir, Now: now, Log: slog.New(slog.DiscardHandler), AllowPrivatePush: true, BaseURL: "http://127.0.0.1"})
	if err != nil {
		return nil, err
	}
	return &bench.Program{
		DB: a.DB, Server: a.Server, Reminder: a.Reminder, Deliver: a.SendOutbox, Close: a.DB.Close,
	}, nil
}

// benchEvening is a Tuesday evening of the invented scenario, when lenses go in.
const benchEvening = "2026-03-24T21:20:00Z"

// demoForBench starts the demo on a free port, with so many more children in the
// parent's family.
func demoForBench(dir string, more int) (*bench.Demo, error) {
	now, err := time.Parse(time.RFC3339, benchEvening)
	if err != nil {
		return nil, err
	}
	a, clock, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Log: slog.New(slog.DiscardHandler), Brothers: more}, now)
	if err != nil {
		return nil, err
	}
	return &bench.Demo{Link: a.URL() + "/demo/parent", Page: a.URL() + "/", Now: clock.Now, Listen: a.Listen, Unlisten: a.StopListening, Stop: a.Stop}, nil
}
