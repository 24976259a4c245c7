package app

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"

	"nightkeep/alerts"
	"nightkeep/server/internal/notices"
)

// runNotices prints the licences of what the program is built with.
func runNotices(_ context.Context, args []string, std IO) error {
	if err := parse(flags("notices", std), args); err != nil {
		return notHelp(err)
	}
	_, err := io.WriteString(std.Out, notices.Text())
	return err
}

// runVersion prints what was built: the source's revision and day as the Go
// tool recorded them, the compiler, and the version of the rule table.
func runVersion(_ context.Context, args []string, std IO) error {
	if err := parse(flags("version", std), args); err != nil {
		return notHelp(err)
	}
	revision, day, changed := "not recorded", "", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				revision = s.Value
			case s.Key == "vcs.time":
				day = " of " + s.Value
			case s.Key == "vcs.modified" && s.Value == "true":
				changed = ", with changes on top"
			}
		}
	}
	_, err := fmt.Fprintf(std.Out, "Nightkeep, source %s%s%s\n%s %s/%s\nrule table %d\n",
		revision, day, changed, runtime.Version(), runtime.GOOS, runtime.GOARCH, alerts.Default().Version)
	return err
}
