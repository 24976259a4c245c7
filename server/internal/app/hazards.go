package app

import (
	"context"

	"nightkeep/server/internal/hazards"
)

// runHazards prints the safety case.
func runHazards(_ context.Context, args []string, std IO) error {
	fs := flags("hazards", std)
	html := fs.Bool("html", false, "print a page instead of text")
	trace := fs.Bool("trace", false, "print what must hold, the hazards to it and their tests, one a line")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	switch log := hazards.Default(); {
	case *html && *trace:
		return UsageError{"hazards: want -html or -trace, not both"}
	case *html:
		return log.WriteHTML(std.Out)
	case *trace:
		return log.WriteTrace(std.Out)
	default:
		return log.WriteText(std.Out)
	}
}
