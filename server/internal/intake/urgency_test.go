package intake_test

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"testing"
	"testing/synctest"

	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// newer is an entry of the form in which a check can be begun.
func newer(what string) json.RawMessage {
	return bytes.Replace(entry(1, what, "d1"), []byte(`"v":1,`), []byte(`"v":3,`), 1)
}

// However many nights of other families wait for the disk, a report of symptoms
// and a lens that went in under a stop are stored before them; an ordinary entry
// waits its turn.
func TestWhatIsPressingGoesFirst(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, entry string
		first       bool
	}{
		{"symptoms", `"kind":"symptoms","body":{"right":{"pain":"severe"}}`, true},
		{"a check begun", `"kind":"check-open","body":{"eyes":"right"}`, true},
		{"a lens taken out", `"kind":"removal","body":{"at":"06:45","eyes":"both"}`, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
					family(db)
					disk := make(chan bool)
					before := 0 // writes of others that were stored before the entry
					for i := range 100 {
						go func() {
							_ = db.Write(func(tx *store.Tx) error {
								if i == 0 {
									<-disk
								} else if n, _, _ := tx.Log().Head("f1"); n == 0 {
									before++
								}
								return nil
							})
						}()
						synctest.Wait()
					}
					go func() {
						reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Entries: []json.RawMessage{newer(c.entry)}})
						if err != nil || reply.Verdicts[0].Verdict != "accepted" {
							t.Errorf("%+v, %v", reply.Verdicts, err)
						}
					}()
					synctest.Wait()
					close(disk)
					synctest.Wait()
					if (before == 0) != c.first {
						t.Errorf("%d writes of others went before it", before)
					}
				})
			})
		})
	}
}

// Whoever delivers messages is woken by every request that raises an alert, by
// what was reported or by what became true of the record, and by no other.
func TestARaiseWakesTheDelivery(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, entry string
		want        int
	}{
		{"severe pain", `"kind":"symptoms","body":{"right":{"pain":"severe"}}`, 1},
		{"nothing answered: it may be urgent", `"kind":"symptoms","body":{"right":{}}`, 1},
		{"red in the morning", `"kind":"morning","body":{"redness":1}`, 1},
		{"sore in the morning: it rests the lens and stops none", `"kind":"morning","body":{"comfort":1}`, 1},
		{"a lens taken out", `"kind":"removal","body":{"at":"06:45","eyes":"both"}`, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
				family(db)
				woken := 0
				in := &intake.Intake{DB: db, Raised: func() {
					woken++
					_ = db.View(func(tx *store.Tx) error { // what woke is stored by now
						if live, err := tx.Duty().LiveAlerts(); len(live) != 1 || err != nil {
							t.Errorf("%d live alerts, %v; want the one it was woken for", len(live), err)
						}
						return nil
					})
				}}
				reply, err := in.Sync(phone, intake.Request{Entries: []json.RawMessage{newer(c.entry)}})
				if err != nil || reply.Verdicts[0].Verdict != "accepted" {
					t.Fatalf("%+v, %v", reply.Verdicts, err)
				}
				if woken != c.want {
					t.Errorf("woken %d times, want %d", woken, c.want)
				}
			})
		})
	}
}

// The alert of a check that was begun names the eyes it was begun for: whoever phones
// asks about those first.
func TestTheAlertOfABegunCheckNamesItsEyes(t *testing.T) {
	t.Parallel()
	for _, eyes := range []string{"right", "left", "both"} {
		withStore(t, filepath.Join(t.TempDir(), "n.db"), func(db *store.DB) {
			family(db)
			reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Schema: 3, Entries: []json.RawMessage{newer(`"kind":"check-open","body":{"eyes":"` + eyes + `"}`)}})
			if err != nil || reply.Verdicts[0].Verdict != "accepted" {
				t.Fatalf("%+v, %v", reply.Verdicts, err)
			}
			_ = db.View(func(tx *store.Tx) error {
				if all, err := tx.Duty().WearerAlerts("w1"); err != nil || len(all) != 1 || all[0].Eye != eyes {
					t.Errorf("begun for %s: %+v, %v; want one alert that names it", eyes, all, err)
				}
				return nil
			})
		})
	}
}
