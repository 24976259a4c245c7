package escalate_test

import (
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// A red flag that the desk says it has phoned about is still nobody's: the next
// person is told as if nothing had been said. A routine one the desk may take.
func TestTheDeskStopsNoLadder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		level   escalate.Level
		state   escalate.State
		next    string // at the minute after
		history escalate.EventKind
	}{
		{escalate.Emergency, escalate.Open, "push ann, push ben, mail ann, mail ben", escalate.DeskPhoned},
		{escalate.Urgent, escalate.Open, "push ann, push ben, mail ann, mail ben", escalate.DeskPhoned},
		{escalate.Routine, escalate.Acknowledged, "", escalate.Acknowledge},
	} {
		a, _ := run(t, rules(), escalate.Alert{ID: "a-1"}, t0, raised(c.level))
		desk := ev(escalate.Acknowledge)
		desk.By, desk.Name, desk.Role = "kim", "Kim", care.Desk
		a, effects := run(t, rules(), a, at(0.5), desk)
		if a.State != c.state || c.level.RedFlag() && (len(effects) > 0 || a.AckBy != "" || a.DeskName != "Kim" || !a.DeskAt.Equal(at(0.5))) {
			t.Errorf("%s: state %s, effects %s, desk %q", c.level, a.State, brief(effects), a.DeskName)
		}
		if last := a.History[len(a.History)-1].Kind; last != c.history {
			t.Errorf("%s: the history says %s, want %s", c.level, last, c.history)
		}
		again, _ := run(t, rules(), a, at(0.6), desk)
		if len(again.History) != len(a.History) {
			t.Errorf("%s: the same tap twice is written twice", c.level)
		}
		if _, effects = run(t, rules(), a, at(1), ev(escalate.StepDue)); brief(effects) != c.next {
			t.Errorf("%s: a minute later %q, want %q", c.level, brief(effects), c.next)
		}
	}
}

// shifts is a practice in which "ann" is on duty until 22:00 UTC of the Sunday
// and "cem" from then on, with "ben" as deputy.
func shifts() escalate.Rules {
	r := rules()
	r.Rota = escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{
		{Weekday: 0, From: civil.MustClock("08:00"), To: civil.MustClock("22:00"), Person: "ann", Deputy: "ben"},
		{Weekday: 0, From: civil.MustClock("22:00"), To: civil.MustClock("08:00"), Person: "cem", Deputy: "ben"},
	}}
	r.Names = func(p care.PersonID) string { return map[care.PersonID]string{"cem": "Cem"}[p] }
	return r
}

// At the end of a duty what the family was reached about passes on without a
// message; what it was not goes back to the ladder. t0 is 21:00, so the duty of
// Ann ends at minute 60.
func TestADutyEnds(t *testing.T) {
	t.Parallel()
	r := shifts()
	take := func(called string) escalate.Alert {
		a, _ := run(t, r, escalate.Alert{ID: "a-1"}, at(40), raised(escalate.Emergency))
		call := ev(escalate.Call)
		call.Result = called
		a, _ = run(t, r, a, at(41), ev(escalate.Acknowledge), call)
		return a
	}
	a, effects := run(t, r, take("reached"), at(59), ev(escalate.StepDue))
	if a.Owner != "ann" || brief(effects) != "" {
		t.Errorf("before the end: owner %s, %s", a.Owner, brief(effects))
	}
	a, effects = run(t, r, a, at(60), ev(escalate.StepDue))
	if a.State != escalate.Acknowledged || a.Owner != "cem" || a.OwnerName != "Cem" || brief(effects) != "" {
		t.Errorf("reached: %s, owner %q, messages %q; want it to pass on silently", a.State, a.Owner, brief(effects))
	}
	if a, effects = run(t, r, a, at(61), ev(escalate.StepDue)); a.Owner != "cem" || brief(effects) != "" {
		t.Errorf("a minute later: owner %s, %s", a.Owner, brief(effects))
	}
	a, effects = run(t, r, take("left-word"), at(60), ev(escalate.StepDue))
	if a.State != escalate.Open || a.AckBy != "" || brief(effects) != "push cem" {
		t.Errorf("not reached: %s, acknowledged by %q, messages %q; want the ladder from the bottom", a.State, a.AckBy, brief(effects))
	}
}

// A call that the desk made does not count as the clinician's.
func TestOnlyAClinicianReaches(t *testing.T) {
	t.Parallel()
	a, _ := run(t, rules(), escalate.Alert{ID: "a-1"}, t0, raised(escalate.Urgent), ev(escalate.Acknowledge))
	call := ev(escalate.Call)
	call.Result, call.By, call.Role = "reached", "kim", care.Desk
	a, _ = run(t, rules(), a, at(5), call)
	if a, _ = run(t, rules(), a, at(30), ev(escalate.StepDue)); a.State != escalate.Open {
		t.Error("after 30 minutes with a call of the desk alone it still counts as taken")
	}
}

// Whoever leaves has no alert any more: one that was taken is told anew, one that
// was handed to them waits for anybody.
func TestWhoLeavesOwnsNothing(t *testing.T) {
	t.Parallel()
	gone := escalate.Event{Kind: escalate.Gone, By: "ann", Name: "Ann"}
	a, effects := run(t, rules(), inState(t, escalate.Acknowledged), at(5), gone)
	if a.State != escalate.Open || a.Owner != "" || a.AckBy != "" || brief(effects) != "push ann" { // ann is still on the rota here
		t.Errorf("taken: %s, owner %q, %q", a.State, a.Owner, brief(effects))
	}
	handed := ev(escalate.HandOver)
	handed.By, handed.To, handed.ToName = "ben", "ann", "Ann"
	a, _ = run(t, rules(), inState(t, escalate.Open), at(1), handed)
	if a, _ = run(t, rules(), a, at(2), gone); a.Owner != "" || a.State != escalate.Open {
		t.Errorf("handed over: owner %q", a.Owner)
	}
	other := gone
	other.By = "cem"
	if b, _ := run(t, rules(), inState(t, escalate.Acknowledged), at(5), other); b.State != escalate.Acknowledged {
		t.Error("somebody else left, and the alert was opened again")
	}
}

// A red flag about a later night than any it knows of is a new episode for whoever
// took the alert before; the same night again is not.
func TestANewNightStartsALadder(t *testing.T) {
	t.Parallel()
	first := escalate.Said{Entry: "e1", Night: civil.MustDate("2026-03-02"), Level: escalate.Urgent, Eye: "right", Signs: []string{"pain right"}}
	now := time.Date(2026, 3, 2, 22, 0, 0, 0, time.UTC)
	a, _, _ := say(t, escalate.Alert{ID: "a"}, first, now)
	a, _, err := escalate.Rules{}.Apply(a, escalate.Event{Kind: escalate.Acknowledge, By: "c", Name: "C", Role: care.Clinician}, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		night string
		level escalate.Level
		want  escalate.State
	}{
		{"2026-03-02", escalate.Urgent, escalate.Acknowledged}, {"2026-03-03", escalate.Urgent, escalate.Open},
		{"2026-03-01", escalate.Urgent, escalate.Acknowledged}, {"2026-03-03", escalate.Routine, escalate.Acknowledged},
	} {
		s := first
		s.Entry, s.Night, s.Level = "e2", civil.MustDate(c.night), c.level
		got, _, _ := say(t, a, s, now.Add(time.Hour))
		if got.State != c.want {
			t.Errorf("%s of %s on an alert about 2026-03-02 that was taken: %s, want %s", c.level, c.night, got.State, c.want)
		}
	}
}

// The family reads that it was phoned in vain, until it is reached or reports again.
func TestTriedIsSaidUntilSomebodyIsReached(t *testing.T) {
	t.Parallel()
	at := func(m int) time.Time { return time.Date(2026, 12, 1, 6, m, 0, 0, time.UTC) }
	call := func(m int, result string) escalate.Event {
		return escalate.Event{Kind: escalate.Call, At: at(m), Result: result}
	}
	for name, c := range map[string]struct {
		history []escalate.Event
		want    time.Time
	}{
		"nobody phoned":     {[]escalate.Event{{Kind: escalate.Raised, At: at(1)}}, time.Time{}},
		"in vain, twice":    {[]escalate.Event{call(2, "not-reached"), call(5, "left-word")}, at(5)},
		"reached after it":  {[]escalate.Event{call(2, "not-reached"), call(5, "reached")}, time.Time{}},
		"lost after it":     {[]escalate.Event{call(2, "reached"), call(5, "not-reached")}, at(5)},
		"reported after it": {[]escalate.Event{call(2, "not-reached"), {Kind: escalate.Worsened, At: at(5)}}, time.Time{}},
	} {
		if got := (&escalate.Alert{History: c.history}).Tried(); !got.Equal(c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
