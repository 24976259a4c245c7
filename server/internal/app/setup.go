package app

import (
	"fmt"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/practice"
	"nightkeep/server/internal/web/transport"
)

// setupOrder is what the running server is asked: only it knows its mail server,
// its backups and its certificate.
var setupOrder = []string{"check", "-setup"}

// openSteps is what check -setup ends with while anything is open: an answer, and no
// refusal.
type openSteps struct{ open, of int }

// Error counts them.
func (o openSteps) Error() string { return fmt.Sprintf("%d of %d steps are open", o.open, o.of) }

// checkSetup prints every step of setting up with what is still open; it fails
// while anything is.
func checkSetup(dir string, std IO) error {
	if std.server == nil && !exists(controlPath(dir)) {
		return UsageError{"check -setup asks the running server: start serve on this folder first"}
	}
	return withData(dir, std, setupOrder, func(db *store.DB) error {
		list, err := practice.Setup(transport.New(db, &std.server.Server.Site))
		if err != nil {
			return err
		}
		open := 0
		for i, step := range list {
			mark := "done"
			if len(step.Open) > 0 {
				mark = "OPEN"
				open++
			}
			fmt.Fprintf(std.Out, "%d. %s  %s: %s\n", i+1, mark, step.Name, step.Why)
			if step.Invite {
				fmt.Fprintln(std.Out, "         No new family is invited while this is open:")
			}
			for _, text := range step.Open {
				fmt.Fprintf(std.Out, "         %s\n", text)
			}
		}
		if open > 0 {
			return openSteps{open, len(list)}
		}
		return nil
	})
}
