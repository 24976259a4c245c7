package alerts_test

import (
	"io"
	"testing"

	"nightkeep/alerts"
)

// Whatever bytes stand in a rule table, reading it gives an error or a table
// that can be evaluated and printed. Seeds are in testdata/fuzz.
func FuzzRuleTable(f *testing.F) {
	worst := alerts.Report{
		Right: map[string]string{"pain": "severe", "redness": "marked", "light": "yes", "sight": "blurred", "discharge": "pus"},
		Left:  map[string]string{},
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		table, err := alerts.Load(raw)
		if err != nil {
			return
		}
		out := table.Triage(worst)
		if out.CouldBe < out.Level {
			t.Errorf("a report at level %v could be at most %v", out.Level, out.CouldBe)
		}
		if err := alerts.WriteText(io.Discard, table); err != nil {
			t.Error(err)
		}
	})
}
