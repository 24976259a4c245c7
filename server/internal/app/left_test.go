package app_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// An eye check that was left in the evening rings nobody that evening: the phone
// offers it again. Nobody has finished it by the morning after: one routine alert,
// once, also after the clinic has closed it. Finished the same evening: none, ever.
func TestALeftCheckRingsTheMorningAfter(t *testing.T) {
	t.Parallel()
	for _, finished := range []bool{false, true} {
		t.Run(fmt.Sprintf("finished %t", finished), func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			d.withFamily(t, false)
			const begun = "01900000-0000-7000-8000-000000000001"
			d.pass(13*time.Hour + 30*time.Minute) // Monday, 22:30
			d.logs(t, 1, care.CheckOpen, `{"eyes":"right","left":true}`)
			if finished {
				d.logs(t, 2, care.Symptoms, `{"right":{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no","lid":"no","pupil":"no"},
					"ill":"no","now":"none","water":"no","other":"usual","ends":["`+begun+`"]}`)
			}
			rings := func(when string, want int) {
				t.Helper()
				if err := d.Climb(); err != nil {
					t.Fatal(err)
				}
				if got := d.live(t); len(got) != want || want > 0 && (got[0].Level != escalate.Routine || got[0].Rule != intake.CheckLeft) {
					t.Errorf("%s: %+v, want %d", when, got, want)
				}
			}
			rings("the same evening", 0)
			d.pass(9 * time.Hour)
			if finished {
				rings("the morning after", 0)
				return
			}
			rings("the morning after", 1)
			closeLive(t, d)
			d.pass(24 * time.Hour)
			rings("the morning after it was closed", 0)
		})
	}
}

// logs writes an entry of the family's phone at this moment.
func (d *desk) logs(t *testing.T, seq int, kind care.EntryKind, body string) {
	t.Helper()
	now := d.time().UTC()
	raw := fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","wearer":"w1","device":"home","author":"p1","dseq":%d,"kind":%q,"night":%q,
		"wall":%q,"zone":"UTC","offset":0,"hlc":"%013d-0000","v":3,"body":%s}`, seq, seq, kind, now.Format(time.DateOnly), now.Format("2006-01-02T15:04:05"), now.UnixMilli()+int64(seq), body)
	caller := register.Caller{Device: register.CallerDevice{ID: "home", Schema: care.Schema}, Person: register.CallerPerson{ID: "p1", Role: care.Parent, Family: "f1"}}
	reply, err := d.Server.Intake.Sync(caller, intake.Request{Schema: care.Schema, Entries: []json.RawMessage{json.RawMessage(raw)}})
	if err != nil || reply.Verdicts[0].Verdict != "accepted" {
		t.Fatal(reply.Verdicts, err)
	}
}

// live are the alerts that are not closed.
func (d *desk) live(t *testing.T) (out []escalate.Alert) {
	t.Helper()
	if err := d.DB.View(func(tx *store.Tx) (err error) { out, err = tx.Duty().LiveAlerts(); return err }); err != nil {
		t.Fatal(err)
	}
	return out
}
