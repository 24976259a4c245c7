package intake_test

import (
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// A family reads since when nobody has had its alert: of one that became open again,
// since then; of one that somebody has, since it was first raised. Of an open one it
// learns when the practice's minutes end, so that a phone without a network can say so.
func TestAFamilyReadsSinceWhenNobodyHasIt(t *testing.T) {
	t.Parallel()
	first := time.Date(2026, 3, 29, 6, 0, 0, 0, time.UTC)
	again := first.Add(40 * time.Minute)
	for state, want := range map[escalate.State]time.Time{escalate.Open: again, escalate.Acknowledged: first} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			err := db.Update(func(tx *store.Tx) error {
				policy := escalate.DefaultPolicy()
				policy.Lapse = 45 // minutes, of this practice
				if err := tx.Register().SetSetting("policy", policy); err != nil {
					return err
				}
				return tx.Duty().PutAlert(escalate.Alert{ID: "a1", Wearer: "w1", Family: "f1", Rule: "pain", Level: escalate.Urgent, State: state, Opened: first, Since: again})
			})
			if err != nil {
				t.Fatal(err)
			}
			reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Schema: care.Schema})
			if err != nil || len(reply.Alerts) != 1 || !reply.Alerts[0].Opened.Equal(want) {
				t.Errorf("%s: %+v, %v; want it open since %v", state, reply.Alerts, err, want)
				return
			}
			lapses := reply.Alerts[0].LapsesAt
			if open := state == escalate.Open; (lapses != nil) != open || open && !lapses.Equal(again.Add(45*time.Minute)) {
				t.Errorf("%s: lapses at %v; want 45 minutes after it became open again, and nothing of one that somebody has", state, lapses)
			}
		})
	}
}

// What was said before, said again of the same night after somebody took the alert, is
// told to whoever has it and takes it from nobody; more than was said opens it again.
func TestTheSameAgainTakesAnAlertFromNobody(t *testing.T) {
	t.Parallel()
	for body, want := range map[string]escalate.State{
		`{"right":{"pain":"severe"}}`:                escalate.Acknowledged,
		`{"right":{"pain":"severe","sight":"lost"}}`: escalate.Open,
	} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			in := &intake.Intake{DB: db}
			report := func(n byte, body string) escalate.Alert {
				t.Helper()
				if _, err := in.Sync(phone, intake.Request{Entries: []json.RawMessage{entry(n, `"kind":"symptoms","body":`+body, "d1")}}); err != nil {
					t.Fatal(err)
				}
				var live []escalate.Alert
				if err := db.View(func(tx *store.Tx) (err error) { live, err = tx.Duty().LiveAlerts(); return err }); err != nil || len(live) != 1 {
					t.Fatalf("alerts %+v, %v; want one", live, err)
				}
				return live[0]
			}
			first := report(1, `{"right":{"pain":"severe"}}`)
			err := db.Update(func(tx *store.Tx) error {
				rules, err := dispatch.Rules(tx)
				if err != nil {
					return err
				}
				_, err = dispatch.Apply(tx, rules, first, escalate.Event{Kind: escalate.Acknowledge, By: "c1", Name: "C", Role: care.Clinician})
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			if again := report(2, body); again.ID != first.ID || again.State != want {
				t.Errorf("%s said after it was taken: %s, want %s", body, again.State, want)
			}
		})
	}
}

// A device that only reads is written down when an hour has gone, or when its app reads
// another version; else a phone that asks every few seconds costs no write.
func TestADeviceThatOnlyReadsIsNotedOnceAnHour(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 29, 7, 0, 0, 0, time.UTC) // of withStore
	for name, c := range map[string]struct {
		seen   time.Duration // ago
		schema int
		noted  bool
	}{
		"seen just now": {time.Minute, care.Schema, false}, "seen long ago": {2 * time.Hour, care.Schema, true}, "an app of another version": {time.Minute, care.Schema - 1, true},
	} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			who := phone
			who.Device = register.CallerDevice{ID: "d1", LastSeen: now.Add(-c.seen), Schema: care.Schema}
			if _, err := (&intake.Intake{DB: db}).Sync(who, intake.Request{Schema: c.schema}); err != nil {
				t.Fatal(err)
			}
			_ = db.View(func(tx *store.Tx) error {
				d, err := tx.Register().Device("d1")
				if err != nil || d.LastSeen.Equal(now) != c.noted {
					t.Errorf("%s: last seen %v, %v; want it noted: %t", name, d.LastSeen, err, c.noted)
				}
				return nil
			})
		})
	}
}

// The household of drills keeps time in the practice's zone, and in UTC where none is set.
func TestDrillsKeepThePracticesTime(t *testing.T) {
	t.Parallel()
	for zone, want := range map[string]string{"Pacific/Auckland": "Pacific/Auckland", "": "UTC", "Nowhere/Atall": "UTC"} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			err := db.Update(func(tx *store.Tx) error {
				if err := tx.Register().PutPractice(care.Practice{Name: "P", Zone: zone}); err != nil {
					return err
				}
				if err := intake.DrillHousehold(tx); err != nil {
					return err
				}
				f, err := tx.Register().Family(care.DrillFamily)
				if f.Zone != want {
					t.Errorf("of a practice in %q drills are in %q, want %q", zone, f.Zone, want)
				}
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}

// An entry that was held and cannot be stored now stays held, and is not counted.
func TestWhatCannotBeStoredStaysHeld(t *testing.T) {
	t.Parallel()
	withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
		family(db)
		in := &intake.Intake{DB: db}
		one := entry(1, `"kind":"note","body":{"text":"first"}`, "d1")
		if _, err := in.Sync(phone, intake.Request{Entries: []json.RawMessage{one}}); err != nil {
			t.Fatal(err)
		}
		held := entry(2, `"kind":"note","body":{"text":"second"}`, "d1")
		err := db.Update(func(tx *store.Tx) error {
			e, err := care.DecodeEntry(held)
			if err != nil {
				return err
			}
			return tx.Log().KeepHeld("f1", &e, held)
		})
		if err != nil {
			t.Fatal(err)
		}
		if n, err := in.ReadHeld(); n != 1 || err != nil {
			t.Errorf("%d taken in, %v; want the one that is held", n, err)
		}
		if n, err := in.ReadHeld(); n != 0 || err != nil {
			t.Errorf("%d taken in again, %v; want none", n, err)
		}
		_ = db.View(func(tx *store.Tx) error {
			if last, _, err := tx.Log().Head("f1"); last != 2 || len(tx.Log().AllHeld()) != 0 {
				t.Errorf("the log ends at %d, %v, %d held; want 2 and none", last, err, len(tx.Log().AllHeld()))
			}
			return nil
		})
	})
}
