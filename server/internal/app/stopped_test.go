package app_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// One parent's report stops a lens: the other's phone is told at once, the one that
// wrote it is not, and a second report about the same eye tells nobody again. What
// stops nothing is told to nobody. monday is 23 March 2026, 09:00 UTC.
func TestTheOtherParentsPhoneHearsOfAStopAtOnce(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.withFamily(t, true) // the phone "home", of p1
	err := d.DB.Update(func(tx *store.Tx) error {
		endpoint, receiver := d.service.Register("other")
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "p2", Family: "f1", Name: "Q", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "other", Family: "f1", Person: "p2", Created: tx.Now}),
			tx.Access().PutSubscription("other", register.Subscription{Endpoint: endpoint, P256dh: receiver.P256dh(), Auth: receiver.AuthSecret()}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	seq := 0
	write := func(kind care.EntryKind, body string) {
		t.Helper()
		seq++
		raw := fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","wearer":"w1","device":"home","author":"p1","dseq":%d,"kind":%q,"night":"2026-03-22",
			"wall":"2026-03-23T09:00:00","zone":"UTC","offset":0,"hlc":"%013d-0000","v":3,"body":%s}`, seq, seq, kind, monday.UnixMilli()+int64(seq), body)
		caller := register.Caller{Device: register.CallerDevice{ID: "home", Schema: care.Schema}, Person: register.CallerPerson{ID: "p1", Role: care.Parent, Family: "f1"}}
		reply, err := d.Server.Intake.Sync(caller, intake.Request{Schema: care.Schema, Entries: []json.RawMessage{json.RawMessage(raw)}})
		if err != nil || reply.Verdicts[0].Verdict != "accepted" {
			t.Fatal(reply.Verdicts, err)
		}
		d.work(t)
	}
	heard := func(device string, want ...string) {
		t.Helper()
		if got := d.pushed(t, device); !slices.Equal(got, want) {
			t.Errorf("%s got %v, want %v", device, got, want)
		}
	}
	write(care.Note, `{"text":"slept well"}`)
	heard("other")
	write(care.Symptoms, `{"right":{"redness":"mild"},"other":"usual"}`)
	heard("other", "stop")
	heard("home")
	write(care.Symptoms, `{"right":{"redness":"marked"},"other":"usual"}`)
	heard("other", "stop")
}
