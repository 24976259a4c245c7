package app_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// withFamily gives the family a phone, with notifications or without.
func (d *desk) withFamily(t *testing.T, notifications bool) {
	t.Helper()
	err := d.DB.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "P", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "home", Family: "f1", Person: "p1", Created: tx.Now}),
		} {
			if err != nil {
				return err
			}
		}
		if !notifications {
			return nil
		}
		endpoint, receiver := d.service.Register("home")
		return tx.Access().PutSubscription("home", register.Subscription{Endpoint: endpoint, P256dh: receiver.P256dh(), Auth: receiver.AuthSecret()})
	})
	if err != nil {
		t.Fatal(err)
	}
}

// happens lets an event of the clinician's happen to the alert.
func (d *desk) happens(t *testing.T, e escalate.Event) escalate.Alert {
	t.Helper()
	e.By, e.Name, e.Role = "ann", "Ann", care.Clinician
	var next escalate.Alert
	err := d.DB.Update(func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		rules.Outcomes = []string{"spoken-to"}
		a, err := tx.Duty().Alert("a-1")
		if err != nil {
			return err
		}
		next, err = dispatch.Apply(tx, rules, a, e)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return next
}

// kinds are what the family's phone got, in order, held against the promise that
// a locked screen names nothing.
func (d *desk) kinds(t *testing.T) (out []string) {
	t.Helper()
	for _, m := range d.service.Received() {
		if m.ID != "home" {
			continue
		}
		var p struct{ Kind, Tag, URL string }
		if err := json.Unmarshal(m.Payload, &p); err != nil {
			t.Fatal(err)
		}
		if p.URL != "/" || p.Tag != "a-1" || strings.Contains(string(m.Payload), "pain") {
			t.Errorf("payload %s", m.Payload)
		}
		out = append(out, p.Kind)
	}
	return out
}

// The family's phones hear when nobody has answered for an hour, when somebody
// has taken it and when it was decided on.
func TestTheFamilyHearsWhereItStands(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.withFamily(t, true)
	d.raise(t, "a-1")
	for range 61 {
		d.pass(time.Minute)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
		d.work(t)
	}
	if got := d.kinds(t); !slices.Equal(got, []string{"silence"}) {
		t.Fatalf("after an hour without an answer: %v", got)
	}
	d.happens(t, escalate.Event{Kind: escalate.Acknowledge})
	d.work(t)
	d.happens(t, escalate.Event{Kind: escalate.Close, Outcome: "spoken-to", Text: "by phone"})
	d.work(t)
	if got := d.kinds(t); !slices.Equal(got, []string{"silence", "taken", "closed"}) {
		t.Errorf("after it was taken and closed: %v", got)
	}
}

// A family without notifications cannot be told, and the history says so, so that
// the console does not claim it.
func TestAFamilyThatCannotBeTold(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.withFamily(t, false)
	d.raise(t, "a-1")
	a := d.happens(t, escalate.Event{Kind: escalate.Acknowledge})
	last := a.History[len(a.History)-1]
	if last.Kind != escalate.FamilyTold || !strings.Contains(last.Text, "no device") || len(d.kinds(t)) != 0 {
		t.Errorf("the history ends with %+v", last)
	}
}

// Taken, and nobody has reached the family: the program's own clockwork opens it
// again after half an hour.
func TestClimbOpensWhatNobodyCalledAbout(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.raise(t, "a-1")
	d.happens(t, escalate.Event{Kind: escalate.Acknowledge})
	state := func(after time.Duration) escalate.State {
		d.pass(after)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		var s escalate.State
		_ = d.DB.View(func(tx *store.Tx) error {
			a, err := tx.Duty().Alert("a-1")
			s = a.State
			return err
		})
		return s
	}
	if s := state(29 * time.Minute); s != escalate.Acknowledged {
		t.Errorf("after 29 minutes: %s", s)
	}
	if s := state(time.Minute); s != escalate.Open {
		t.Errorf("after 30 minutes: %s, want open", s)
	}
}

// A stop is looked at again on the date that was said: on the day after, and again
// after each decision that stays, it is a routine alert of the practice; with a
// later date there is none. monday is 23 March 2026; the lists are made at 07:00.
func TestNobodyIsStoppedAndForgotten(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	w := care.Wearer{ID: "w1", Family: "f1"}
	cease := func(review string) {
		t.Helper()
		err := d.DB.Update(func(tx *store.Tx) error {
			body := json.RawMessage(`{"eyes":"both","reason":"examination","review_by":"` + review + `"}`)
			_, err := intake.Say(tx, care.Person{ID: "ann", Name: "Ann", Role: care.Clinician}, w, intake.Saying{Entries: []intake.Draft{{Kind: care.Cease, Body: body}}})
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	live := func(days int) (levels []escalate.Level) {
		t.Helper()
		d.pass(time.Duration(days) * 24 * time.Hour)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		err := d.DB.View(func(tx *store.Tx) error {
			all, err := tx.Duty().LiveAlerts()
			for _, a := range all {
				levels = append(levels, a.Level)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return levels
	}
	cease("2026-03-25")
	if got := live(2); len(got) != 0 { // the 25th itself
		t.Fatalf("on the date of review: %v", got)
	}
	for day := range 3 {
		if got := live(1); len(got) != 1 || got[0] != escalate.Routine {
			t.Fatalf("day %d after it: %v, want one routine alert", day+1, got)
		}
		closeLive(t, d)
	}
	cease("2026-04-10")
	if got := live(1); len(got) != 0 {
		t.Errorf("with a new date: %v", got)
	}
}

// closeLive closes what is live.
func closeLive(t *testing.T, d *desk) {
	t.Helper()
	err := d.DB.Update(func(tx *store.Tx) error {
		all, err := tx.Duty().LiveAlerts()
		for _, a := range all {
			if err == nil {
				_, err = dispatch.Apply(tx, escalate.Rules{Outcomes: []string{"spoken-to"}}, a, escalate.Event{Kind: escalate.Close, By: "ann", Name: "Ann", Role: care.Clinician, Outcome: "spoken-to"})
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
