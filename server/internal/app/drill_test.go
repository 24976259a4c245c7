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

// drill starts one as Ben would.
func (d *desk) drill(t *testing.T) {
	t.Helper()
	ben := care.Person{ID: "ben", Name: "Ben", Role: care.Clinician}
	var report json.RawMessage
	err := d.DB.Update(func(tx *store.Tx) (err error) { report, err = intake.PrepareDrill(tx, ben); return err })
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Server.Intake.Drill(report, ben); err != nil {
		t.Fatal(err)
	}
}

// drillPhone joins a phone of the practice to the family for drills.
func (d *desk) drillPhone(t *testing.T) {
	t.Helper()
	err := d.DB.Update(func(tx *store.Tx) error {
		if err := intake.DrillHousehold(tx); err != nil {
			return err
		}
		endpoint, receiver := d.service.Register("drill-phone")
		if err := tx.Register().AddDevice(care.Device{ID: "drill-phone", Family: care.DrillFamily, Person: care.DrillPerson, Created: tx.Now}); err != nil {
			return err
		}
		return tx.Access().PutSubscription("drill-phone", register.Subscription{Endpoint: endpoint, P256dh: receiver.P256dh(), Auth: receiver.AuthSecret()})
	})
	if err != nil {
		t.Fatal(err)
	}
}

// drills are the drills there were, the newest first.
func (d *desk) drills(t *testing.T) (out []escalate.Alert) {
	t.Helper()
	if err := d.DB.View(func(tx *store.Tx) (err error) { out, err = intake.Drills(tx); return err }); err != nil {
		t.Fatal(err)
	}
	return out
}

// pushed are the kinds of what a device got, each with whether it says that it is
// a drill.
func (d *desk) pushed(t *testing.T, device string) (out []string) {
	t.Helper()
	for _, m := range d.service.Received() {
		var p struct {
			Kind  string
			Drill bool
		}
		if err := json.Unmarshal(m.Payload, &p); err != nil {
			t.Fatal(err)
		}
		if m.ID == device {
			out = append(out, p.Kind+map[bool]string{true: " drill"}[p.Drill])
		}
	}
	return out
}

// A drill goes the whole way: the person on duty is pushed to, mailed and passed
// over as with a red flag, a clinician takes it, and the drill family's phone hears
// so. Each message says that it is a drill; a real one after it does not.
func TestADrillGoesTheWholeWay(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.drillPhone(t)
	d.drill(t)
	d.work(t)
	if got := d.pushed(t, "phone"); !slices.Equal(got, []string{"alert drill"}) {
		t.Fatalf("the phone of who is on duty got %v", got)
	}
	d.pass(4 * time.Minute) // 3 minutes: mail, by the usual policy
	if err := d.Climb(); err != nil {
		t.Fatal(err)
	}
	d.work(t)
	if got := d.mails.sent; len(got) == 0 || !strings.HasSuffix(got[0], " drill") || !strings.Contains(d.mails.texts[0], "THIS IS A DRILL") {
		t.Fatalf("mailed %v %v", got, d.mails.texts)
	}
	err := d.DB.Update(func(tx *store.Tx) error {
		return applied(tx, d.drills(t)[0], escalate.Event{Kind: escalate.Acknowledge, By: "ben", Name: "Ben", Role: care.Clinician})
	})
	if err != nil {
		t.Fatal(err)
	}
	d.work(t)
	if got := d.pushed(t, "drill-phone"); !slices.Equal(got, []string{"taken drill"}) {
		t.Errorf("the drill family's phone got %v", got)
	}
	a := d.drills(t)[0]
	if a.State != escalate.Closed || a.Outcome != escalate.DrillAnswered || a.ClosedName != "Ben" {
		t.Errorf("kept %s %s %s", a.State, a.Outcome, a.ClosedName)
	}
	d.raise(t, "a-1")
	d.work(t)
	if got := d.pushed(t, "phone"); got[len(got)-1] != "alert" {
		t.Errorf("a real alert after it: %v", got)
	}
}

// Nobody answers a drill: after an hour the owner and the family's phone hear so,
// as of a child's, and then it is over: nothing is sent any more.
func TestADrillThatNobodyAnswersEnds(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.drillPhone(t)
	d.drill(t)
	for range 61 {
		d.pass(time.Minute)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
		d.work(t)
	}
	if got := d.pushed(t, "drill-phone"); !slices.Equal(got, []string{"silence drill"}) {
		t.Errorf("the drill family's phone got %v", got)
	}
	if !slices.Contains(d.mails.sent, "owner@example.com drill") {
		t.Errorf("the owner was not mailed: %v", d.mails.sent)
	}
	if a := d.drills(t)[0]; a.State != escalate.Closed || a.Outcome != escalate.DrillUnanswered {
		t.Errorf("kept %s %s", a.State, a.Outcome)
	}
	mails, pushes := len(d.mails.sent), len(d.service.Received())
	for range 60 {
		d.pass(time.Minute)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
	}
	if len(d.mails.sent) != mails || len(d.service.Received()) != pushes {
		t.Errorf("after its end %d mails and %d pushes more", len(d.mails.sent)-mails, len(d.service.Received())-pushes)
	}
}

// A practice that wants a drill each month gets one four weeks after the last, when
// it has been open for an hour, and none while a child waits. Monday 23 March 2026,
// 09:00; it is open on Mondays from 09:00 to 17:00.
func TestAMonthlyDrillStartsByItself(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	monthly := func(on bool) {
		t.Helper()
		err := d.DB.Update(func(tx *store.Tx) error {
			hours := []care.Hours{{Weekday: 1, From: 9 * 60, To: 17 * 60}}
			return tx.Register().PutPractice(care.Practice{Name: "P", Zone: "UTC", Monthly: on, Contacts: care.Contacts{Zone: "UTC", Hours: hours}})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	count := func(after time.Duration) int {
		t.Helper()
		d.pass(after)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		return len(d.drills(t))
	}
	answer := func() {
		t.Helper()
		err := d.DB.Update(func(tx *store.Tx) error {
			return applied(tx, d.drills(t)[0], escalate.Event{Kind: escalate.Acknowledge, By: "ben", Name: "Ben", Role: care.Clinician})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	monthly(false)
	if n := count(2 * time.Hour); n != 0 { // 11:00
		t.Fatalf("not wanted: %d drills", n)
	}
	monthly(true)
	d.raise(t, "a-1")
	if n := count(0); n != 0 {
		t.Errorf("a child waits: %d drills", n)
	}
	d.happens(t, escalate.Event{Kind: escalate.Acknowledge})
	d.happens(t, escalate.Event{Kind: escalate.Close, Outcome: "spoken-to", Text: "by phone"})
	if n := count(0); n != 1 {
		t.Fatalf("the first: %d drills", n)
	}
	answer()
	if n := count(3 * 7 * 24 * time.Hour); n != 1 {
		t.Errorf("three weeks later: %d drills", n)
	}
	if n := count(7*24*time.Hour - 90*time.Minute); n != 1 { // Monday 09:30
		t.Errorf("half an hour after opening: %d drills", n)
	}
	if n := count(90 * time.Minute); n != 2 {
		t.Errorf("four weeks later: %d drills", n)
	}
}

// applied lets an event happen to an alert by the practice's own rules.
func applied(tx *store.Tx, a escalate.Alert, e escalate.Event) error {
	rules, err := dispatch.Rules(tx)
	if err == nil {
		_, err = dispatch.Apply(tx, rules, a, e)
	}
	return err
}
