package app

import (
	"context"
	"strings"

	"nightkeep/server/internal/hazards"
)

// runHazards prints the safety case: the log, or one of its views.
func runHazards(_ context.Context, args []string, std IO) error {
	fs := flags("hazards", std)
	html := fs.Bool("html", false, "print a page instead of text")
	trace := fs.Bool("trace", false, "print what must hold, the hazards to it and their tests, one a line")
	parts := fs.Bool("parts", false, "print the parts that others made: version, licence, risk, known faults")
	if err := parse(fs, args); err != nil {
		return notHelp(err)
	}
	if fs.NFlag() > 1 {
		return UsageError{"hazards: want one of -html, -trace and -parts"}
	}
	switch log := hazards.Default(); {
	case *html:
		return log.WriteHTML(std.Out)
	case *trace:
		return log.WriteTrace(std.Out)
	case *parts:
		return hazards.WriteParts(std.Out)
	default:
		return log.WriteText(std.Out)
	}
}

// mailOf is the mail address of a contact, if it is one.
func mailOf(subject string) string {
	mail, ok := strings.CutPrefix(subject, "mailto:")
	if !ok {
		return ""
	}
	return mail
}
