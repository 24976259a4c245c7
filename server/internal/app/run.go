package app

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// IO is where a command reads and writes.
type IO struct {
	In       io.Reader
	Out, Err io.Writer

	server *App // that runs the command, when it came through its socket
}

// UsageError is a fault in how the program was called; the program exits 2.
type UsageError struct{ Text string }

// Error returns what was wrong and what is accepted.
func (e UsageError) Error() string { return e.Text }

// command is one word after the program's name.
type command struct {
	name, doc string
	run       func(ctx context.Context, args []string, std IO) error
}

func commands() []command {
	return []command{
		{"demo", "everything, with an invented practice in a temporary folder", runDemo},
		{"serve", "serve a practice", runServe},
		{"staff", "add a member of staff, or print a sign-in link", runStaff},
		{"calc", "one computation: JSON in, JSON out; alone it lists them all", runCalc},
		{"rules", "print the table of red-flag rules (-html for a page)", runRules},
		{"hazards", "print what could hurt somebody, what stops it and which test shows it (-html for a page, -trace, -parts)", runHazards},
		{"backup", "make a verified copy of the data file, also while it is served; encrypted if wanted", runBackup},
		{"restore", "put a verified backup in place of the data file", runRestore},
		{"repair", "read what can be read of a damaged data file into a new one", runRepair},
		{"check", "verify the data file: indices, folds, audit chain", runCheck},
		{"export", "write everything about one family as an archive", runExport},
		{"erase", "erase one family for good", runErase},
		{"notices", "print the licences of what the program is built with", runNotices},
		{"version", "print what was built, and from what", runVersion},
	}
}

// Run runs the command named by the arguments. The error is a [UsageError]
// when the arguments were wrong.
func Run(ctx context.Context, args []string, std IO) error {
	name := "help"
	if len(args) > 0 {
		name, args = args[0], args[1:]
	}
	list := commands()
	if i := slices.IndexFunc(list, func(c command) bool { return c.name == name }); i >= 0 {
		return list[i].run(ctx, args, std)
	}
	if name == "help" || name == "-h" || name == "--help" {
		fmt.Fprint(std.Out, help(list))
		return nil
	}
	return UsageError{fmt.Sprintf("there is no command %q\n\n%s", name, help(list))}
}

// called returns the program's name as it was called.
func called() string { return filepath.Base(os.Args[0]) }

func help(list []command) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Nightkeep: home monitoring for overnight orthokeratology.\n\nusage: %s COMMAND [flags]; COMMAND -h lists its flags\n\n", called())
	for _, c := range list {
		fmt.Fprintf(&b, "  %-8s %s\n", c.name, c.doc)
	}
	return b.String()
}

// flags makes a flag set whose errors come back as [UsageError].
func flags(name string, std IO) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(std.Err)
	return fs
}

// parse parses and refuses left-over arguments.
func parse(fs *flag.FlagSet, args []string) error {
	if err := fs.Parse(args); err != nil {
		if err == flag.ErrHelp {
			return err
		}
		return UsageError{err.Error()}
	}
	if fs.NArg() > 0 {
		return UsageError{fmt.Sprintf("%s takes no argument %q", fs.Name(), fs.Arg(0))}
	}
	return nil
}
