package escalate_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// A family that could not be reached is a call attempt: a red flag is not closed
// with it, and its ladder goes on as if nothing had been logged.
func TestNotReachedEndsNoRedFlag(t *testing.T) {
	t.Parallel()
	open := inState(t, escalate.Open)
	r := rules()
	r.Outcomes = append(r.Outcomes, escalate.NotReached)
	e := ev(escalate.Close)
	e.Outcome = escalate.NotReached
	if _, _, err := r.Apply(open, e, at(2)); care.KindOf(err) != care.Invalid {
		t.Errorf("closing an emergency as not reached: %v", err)
	}
	called, effects, err := r.Apply(open, ev(escalate.Call), at(2))
	if err != nil || len(effects) > 0 || called.State != escalate.Open || called.NextStepAt != open.NextStepAt || called.Rung != open.Rung {
		t.Errorf("a call attempt changed the ladder: %+v, %v, %v", called, effects, err)
	}
	e.Kind, e.Result = escalate.Call, "perhaps"
	if _, _, err := r.Apply(open, e, at(2)); care.KindOf(err) != care.Invalid {
		t.Errorf("a call with an unknown result: %v", err)
	}
}

// Each closing is a record of its own that opening again does not touch.
func TestClosingsStay(t *testing.T) {
	t.Parallel()
	r := rules()
	e := ev(escalate.Close)
	e.Decision, e.Where, e.Said = escalate.SentOn, "eye clinic", []care.EntryID{"z1"}
	first, _, err := r.Apply(inState(t, escalate.Acknowledged), e, at(5))
	if err != nil {
		t.Fatal(err)
	}
	again, _ := run(t, r, first, at(6), ev(escalate.Reopen))
	if again.State != escalate.Open || again.Outcome != "" || again.AckBy != "" {
		t.Errorf("opened again: %+v", again)
	}
	second, _ := run(t, r, again, at(9), ev(escalate.Close))
	want := []escalate.Closing{
		{At: at(5), By: "ann", Name: "Ann", Outcome: "seen-treated", Note: "seen at 22:00", Decision: escalate.SentOn, Where: "eye clinic", Said: []care.EntryID{"z1"}},
		{At: at(9), By: "ann", Name: "Ann", Outcome: "seen-treated", Note: "seen at 22:00"},
	}
	if d := cmp.Diff(want, second.Closings); d != "" {
		t.Errorf("closings (-want +got):\n%s", d)
	}
	// Taken before the first closing, at the moment the scene says; opened again
	// at 6 and closed at 9 with nobody taking it in between: 3 minutes.
	if waits := second.Waits(); len(waits) != 2 || waits[0] != first.AckAt.Sub(first.Opened) || waits[1] != at(9).Sub(at(6)) {
		t.Errorf("waits %v", waits)
	}
}

// What the practice has decided about is known while the alert is open again for a
// later report, also what said nothing new; a person who opens it again takes that back.
func TestWhatAClosingDecidedAbout(t *testing.T) {
	t.Parallel()
	r := rules()
	first := inState(t, escalate.Acknowledged)
	was := first.Again(escalate.Said{Entry: "said-again"}, at(4))
	closed, _ := run(t, r, was, at(5), ev(escalate.Close))
	late := ev(escalate.Raised)
	late.Entry = "late"
	again, _ := run(t, r, closed, at(6), late)
	if again.State != escalate.Open || slices.Contains(again.Decided, "late") {
		t.Fatalf("%s, decided %v", again.State, again.Decided)
	}
	if want := []care.EntryID{first.Entry, "said-again"}; first.Entry == "" || !slices.Equal(again.Decided, want) {
		t.Errorf("decided %v, want %v", again.Decided, want)
	}
	anew, _ := run(t, r, closed, at(6), ev(escalate.Reopen))
	if anew.State != escalate.Open || len(anew.Decided) != 0 {
		t.Errorf("opened by a person: %s, decided %v, want none", anew.State, anew.Decided)
	}
}
