package store_test

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// What still holds when the log learns of wear: the reports of alerts that live,
// and of those closed within 60 days without a word that lenses may be worn,
// whether or not lenses went in since. Those insertions hold too.
func TestWearStartOpens(t *testing.T) {
	t.Parallel()
	day := 24 * time.Hour
	for _, tc := range []struct {
		name    string
		level   escalate.Level
		outcome string // empty: still open
		ago     time.Duration
		want    care.Mark
	}{
		{"open", escalate.Emergency, "", 0, care.Stop},
		{"open, routine: a rest", escalate.Routine, "", 0, care.Rest},
		{"closed as not reached 59 days ago", escalate.Emergency, "not-reached", 59 * day, care.Stop},
		{"61 days ago", escalate.Emergency, "not-reached", 61 * day, care.None},
		{"referred", escalate.Urgent, "referred", 5 * day, care.Stop},
		{"treated", escalate.Urgent, "seen-treated", 5 * day, care.Stop},
		{"infiltrate", escalate.Urgent, "infiltrate", 5 * day, care.Stop},
		{"infection", escalate.Emergency, "infection", 5 * day, care.Stop},
		{"other", escalate.Urgent, "other", 5 * day, care.Stop},
		{"examined, nothing found", escalate.Urgent, "seen-nothing-found", 5 * day, care.None},
		{"reported by mistake", escalate.Urgent, "in-error", 5 * day, care.None},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			db := scene.OpenAt(t, filepath.Join(t.TempDir(), "n.db"))
			defer db.Close()
			scene.Practice(t, db)
			h := scene.Household{Mark: "quincely"}
			h.Settle(t, db)
			wearer, family := care.WearerID("quincely-wearer"), care.FamilyID("quincely-family")
			tonight := civil.MustDate("2026-03-28")
			in := h.Entry(9, func(e *care.Entry) {
				e.Kind, e.Body = care.Insertion, json.RawMessage(`{"at":"21:45","eyes":"left"}`)
			})
			err := db.Update(func(tx *store.Tx) error {
				all, err := tx.Duty().WearerAlerts(wearer)
				if err != nil {
					return err
				}
				a := all[0]
				a.Level, a.Eye, a.Opened = tc.level, "right", tx.Now.Add(-tc.ago-day)
				if tc.outcome != "" {
					a.State, a.Outcome, a.ClosedAt = escalate.Closed, tc.outcome, tx.Now.Add(-tc.ago)
				}
				if err := tx.Duty().PutAlert(a); err != nil {
					return err
				}
				if _, err := tx.Log().Append(family, in); err != nil {
					return err
				}
				return store.WearStart(tx)
			})
			if err != nil {
				t.Fatal(err)
			}
			err = db.View(func(tx *store.Tx) error {
				facts := slices.DeleteFunc(tx.Log().WearFacts(wearer), func(f care.WearFact) bool { return f.Kind == care.Cease }) // of the scene.Household
				w := care.WearOf(facts, tonight, false, nil)
				if w.Right.State != tc.want {
					t.Errorf("right eye %s, want %s", w.Right.State, tc.want)
				}
				held := slices.ContainsFunc(w.Left.Causes, func(c care.Cause) bool { return c.ID == in.ID })
				if held != (tc.want == care.Stop) {
					t.Errorf("the insertion since holds: %v; the left eye is %+v", held, w.Left)
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}
