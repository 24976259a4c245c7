package intake_test

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// Intake leaves out the rules about the record for entries that cannot change
// them. It knows which by the signs those rules look at: the rule table itself
// is the outside source.
func TestUrgentSignsAreThoseOfTheTable(t *testing.T) {
	t.Parallel()
	var found []alerts.Sign
	var walk func(c alerts.Cond)
	walk = func(c alerts.Cond) {
		if c.Sign != "" && !slices.Contains(found, c.Sign) {
			found = append(found, c.Sign)
		}
		for _, x := range slices.Concat(c.All, c.Any) {
			walk(x)
		}
		if c.Not != nil {
			walk(*c.Not)
		}
		if c.Nights != nil {
			walk(c.Nights.Where)
		}
	}
	for _, r := range alerts.Default().Rules {
		if r.About == "record" && (r.Level >= alerts.Urgent || r.Mark >= alerts.MarkRest) {
			walk(r.When)
		}
	}
	slices.Sort(found)
	if d := cmp.Diff(found, intake.UrgentSigns()); d != "" {
		t.Errorf("signs of the table and of intake differ; change intake's mayRaise with them (-table +intake):\n%s", d)
	}
}

// Where one request holds the entry that a finding is about and others beside it, the
// alert names that entry and its night, whichever was sent first: a clinician reads the
// alert, and answers it, by them.
func TestAnAlertNamesTheEntryItIsAbout(t *testing.T) {
	t.Parallel()
	const red = `"kind":"morning","body":{"redness":2}`
	const other = `"kind":"evening-sight","body":{"rating":4,"halos":"some"}` // read by the rules, and urgent in none
	for name, c := range map[string]struct {
		entries []json.RawMessage
		want    care.EntryID
	}{
		"sent first": {[]json.RawMessage{entry(1, red, "d1"), entry(2, other, "d1")}, "01900000-0000-7000-8000-000000000001"},
		"sent last":  {[]json.RawMessage{entry(1, other, "d1"), entry(2, red, "d1")}, "01900000-0000-7000-8000-000000000002"},
	} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Schema: care.Schema, Entries: c.entries})
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range reply.Verdicts {
				if v.Verdict != "accepted" {
					t.Fatalf("%s: %+v", name, v)
				}
			}
			_ = db.View(func(tx *store.Tx) error {
				all, err := tx.Duty().WearerAlerts("w1")
				if err != nil || len(all) != 1 || all[0].Entry != c.want || !slices.Contains(all[0].Signs, "redness 2") {
					t.Errorf("%s: %+v, %v; want one alert by %s with its redness", name, all, err, c.want)
				}
				return nil
			})
		})
	}
}

// An alert keeps the name of what was found first while nothing worse is: a clinician
// who was told of a sign finds the alert again by it. That a check was begun gives way.
func TestAnAlertKeepsTheNameOfWhatWasFoundFirst(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		first, then json.RawMessage
		keeps       bool
	}{
		"of one level":  {entry(1, `"kind":"symptoms","body":{"right":{"pain":"persists"}}`, "d1"), entry(2, `"kind":"symptoms","body":{"right":{"pain":"severe"}}`, "d1"), true},
		"a check begun": {newer(`"kind":"check-open","body":{"eyes":"right"}`), entry(2, `"kind":"symptoms","body":{"right":{"pain":"severe"}}`, "d1"), false},
	} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			var rules []string
			for _, raw := range []json.RawMessage{c.first, c.then} {
				if _, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Schema: care.Schema, Entries: []json.RawMessage{raw}}); err != nil {
					t.Fatal(err)
				}
				_ = db.View(func(tx *store.Tx) error {
					if all, err := tx.Duty().WearerAlerts("w1"); err != nil || len(all) != 1 {
						t.Errorf("%s: %+v, %v; want one alert", name, all, err)
					} else {
						rules = append(rules, all[0].Rule)
					}
					return nil
				})
			}
			if len(rules) != 2 || (rules[0] == rules[1]) != c.keeps {
				t.Errorf("%s: named %q; want that the first stays: %t", name, rules, c.keeps)
			}
		})
	}
}
