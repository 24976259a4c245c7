package escalate_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// say lets a finding come as intake does, and returns the alert and whether it
// was raised, which may ring, or only counted.
func say(t *testing.T, a escalate.Alert, s escalate.Said, now time.Time) (escalate.Alert, bool, []escalate.Effect) {
	t.Helper()
	if a.Repeats(s) {
		return a.Again(s, now), false, nil
	}
	kind := escalate.Raised
	if a.State != escalate.Unraised && (a.New(s) || a.NewNight(s)) {
		kind = escalate.Worsened
	}
	a.Learn(s, now)
	a, effects, err := escalate.Rules{Policy: escalate.DefaultPolicy()}.Apply(a, escalate.Event{Kind: kind, Level: s.Level, Eye: s.Eye, Entry: s.Entry, Began: s.Began}, now)
	if err != nil {
		t.Fatal(err)
	}
	return a, true, effects
}

func saidBy(s escalate.Said, id care.EntryID) escalate.Said {
	s.Entry = id
	return s
}

// The same signs about the same night with no decision of the clinic between do
// not ring again; a new sign, the other eye, another night or a decision does.
func TestTheSameSaidAgainDoesNotRing(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 22, 0, 0, 0, time.UTC)
	first := escalate.Said{Entry: "e1", Night: civil.MustDate("2026-03-02"), Level: escalate.Urgent, Eye: "right", Signs: []string{"pain right"}}
	a, raised, _ := say(t, escalate.Alert{ID: "a", Wearer: "w"}, first, now)
	if !raised {
		t.Fatal("the first report was only counted")
	}
	ack := func(a escalate.Alert, at time.Time) escalate.Alert {
		a, _, err := escalate.Rules{}.Apply(a, escalate.Event{Kind: escalate.Acknowledge, By: "c", Name: "C", Role: care.Clinician}, at)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	acked := ack(a, now.Add(time.Minute))
	repeated, _, _ := say(t, acked, saidBy(first, "e2"), now.Add(2*time.Minute))
	for _, c := range []struct {
		name  string
		a     escalate.Alert
		s     escalate.Said
		rings bool
	}{
		{"the same again", a, saidBy(first, "e2"), false},
		{"a lower level, nothing new", a, escalate.Said{Entry: "e2", Night: first.Night, Level: escalate.Routine, Eye: "right"}, false},
		{"a new sign", a, escalate.Said{Entry: "e2", Night: first.Night, Level: escalate.Urgent, Eye: "right", Signs: []string{"light right"}}, true},
		{"the other eye", a, escalate.Said{Entry: "e2", Night: first.Night, Level: escalate.Urgent, Eye: "left", Signs: []string{"pain right"}}, true},
		{"a worse level", a, escalate.Said{Entry: "e2", Night: first.Night, Level: escalate.Emergency, Eye: "right", Signs: first.Signs}, true},
		{"after the clinic has taken it", acked, saidBy(first, "e2"), true},
		{"a second time after that", repeated, saidBy(first, "e3"), false},
	} {
		got, raised, effects := say(t, c.a, c.s, now.Add(3*time.Minute))
		if raised != c.rings || !c.rings && len(effects) > 0 {
			t.Errorf("%s: raised %t with %d messages, want %t", c.name, raised, len(effects), c.rings)
		}
		if got.Entry != c.s.Entry {
			t.Errorf("%s: the alert's newest entry is %s, want %s", c.name, got.Entry, c.s.Entry)
		}
	}
	other := saidBy(first, "e9")
	other.Night = civil.MustDate("2026-03-03")
	if _, raised, _ := say(t, a, other, now); !raised {
		t.Error("the same signs about another night were only counted")
	}
}

// However often a family says the same or that it is better, the record that each
// report writes anew stays as large as after the first hundred.
func TestAlertsDoNotGrowWithReports(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 22, 0, 0, 0, time.UTC)
	night := civil.MustDate("2026-03-02")
	a := escalate.Alert{ID: "a", Wearer: "w"}
	size := func() int {
		raw, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		return len(raw)
	}
	counted, after100 := 0, 0
	for i := range 5000 {
		now = now.Add(time.Second)
		a, _, _ = say(t, a, escalate.Said{Entry: care.EntryID(fmt.Sprintf("entry-%06d", i)), Night: night.AddDays(i % 200), Level: escalate.Urgent, Eye: "both", Signs: []string{"pain both"}}, now)
		if id := care.EntryID(fmt.Sprintf("better-%05d", i)); a.ImprovedBefore() {
			a = a.ImprovedAgain(id, now)
		} else if next, _, err := (escalate.Rules{}).Apply(a, escalate.Event{Kind: escalate.Improved, Entry: id}, now); err == nil {
			a = next
		}
		if i == 100 {
			after100 = size()
		}
	}
	for _, e := range a.History {
		if e.Entry != "" {
			counted += 1 + e.Times
		}
	}
	if counted != 10_000 {
		t.Errorf("%d reports are counted, want all 10,000", counted)
	}
	if got := size(); got > after100+100 {
		t.Errorf("the alert takes %d bytes after 10,000 reports and took %d after 200", got, after100)
	}
}
