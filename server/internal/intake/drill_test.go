package intake_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// A drill waits while a child does: while a red flag is with nobody. What somebody has
// taken, and what is no red flag, stops no drill; another drill does.
func TestADrillWaitsForAChild(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		level escalate.Level
		state escalate.State
		drill bool
		want  string // the code of the refusal
	}{
		{"an emergency with nobody", escalate.Emergency, escalate.Open, false, "alert-waits"},
		{"an urgent alert with nobody", escalate.Urgent, escalate.Open, false, "alert-waits"},
		{"an emergency that somebody has", escalate.Emergency, escalate.Acknowledged, false, ""},
		{"a routine alert with nobody", escalate.Routine, escalate.Open, false, ""},
		{"a drill", escalate.Urgent, escalate.Open, true, "drill-runs"},
		{"a drill that somebody has", escalate.Urgent, escalate.Acknowledged, true, "drill-runs"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
				family(db)
				opened := time.Date(2026, 3, 29, 6, 0, 0, 0, time.UTC)
				err := db.Update(func(tx *store.Tx) error {
					return tx.Duty().PutAlert(escalate.Alert{ID: "a1", Wearer: "w1", Family: "f1", Rule: "pain", Level: c.level, State: c.state, Drill: c.drill, Opened: opened, Since: opened})
				})
				if err != nil {
					t.Fatal(err)
				}
				_ = db.View(func(tx *store.Tx) error {
					code := ""
					var refused *care.Error
					if err := intake.MayDrill(tx); errors.As(err, &refused) {
						code = refused.Code
					} else if err != nil {
						t.Fatal(err)
					}
					if code != c.want {
						t.Errorf("answered %q, want %q", code, c.want)
					}
					return nil
				})
			})
		})
	}
}
