package intake

import (
	"strconv"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
)

// stuckLevel is how pressing a morning is on which a lens will not move: what a report
// with the same words comes to, whichever phone wrote it. Sore with a lens that is
// still in is pain that has not stopped: nobody has seen it stop. The phone's own
// report of it is made by answersOf in pwa/app/model/stuck.js, on the same vectors
// (testdata/care/stuck.json).
func stuckLevel(e *care.Entry) alerts.Level {
	said := map[string]string{"lens": "stuck"}
	if n, err := strconv.Atoi(e.Answer("comfort")); err == nil && n <= 1 {
		said["pain"] = "persists"
	}
	if n, err := strconv.Atoi(e.Answer("redness")); err == nil && n > 0 {
		said["redness"] = "mild" // and worse, which the rules about a stuck lens take for the same
	}
	return max(alerts.Urgent, alerts.Default().Triage(alerts.Report{Right: said, Left: said}).Level)
}
