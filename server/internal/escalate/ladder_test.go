package escalate_test

import (
	"slices"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// event at a minute, and the messages it must cause; times and people are the
// design's default ladder.
type moment struct {
	at   float64 // minutes after the alert
	kind escalate.EventKind
	want string
	next float64 // when the next step must be due; -1 for none
}

func TestLadder(t *testing.T) {
	t.Parallel()
	const (
		two   = "push ann, push ben, mail ann, mail ben"
		all   = "push ann, push ben, push cem, mail ann, mail ben, mail cem"
		owner = "push ann, push ben, push cem, mail ann lapsed, mail ben lapsed, mail cem lapsed, mail practice-owner lapsed"
		told  = owner + ", family silence" // once
	)
	for _, c := range []struct {
		name    string
		level   escalate.Level
		moments []moment
	}{
		{"nobody shown, nobody answers", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {1, escalate.StepDue, two, 10}, {10, escalate.StepDue, all, 25},
			{25, escalate.StepDue, all, 40}, {40, escalate.StepDue, all, 55}, {55, escalate.StepDue, all, 60},
			{60, escalate.StepDue, told, 75}, {75, escalate.StepDue, owner, 90},
		}},
		{"shown, nobody answers", escalate.Urgent, []moment{
			{0, escalate.Raised, "push ann", 1}, {0.5, escalate.Shown, "", 3}, {1, escalate.StepDue, "", 3},
			{3, escalate.StepDue, two, 10}, {10, escalate.StepDue, all, 25},
		}},
		{"shown late", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {1, escalate.StepDue, two, 10}, {1.5, escalate.Shown, "", 10},
		}},
		{"no device to push to", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {0.1, escalate.Failed, "", 0.1}, {0.1, escalate.StepDue, two, 10},
			{0.2, escalate.Failed, "", 10},
		}},
		{"a step that comes too early", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {0.9, escalate.StepDue, "", 1},
		}},
		{"server down for 40 minutes", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {41, escalate.StepDue, all, 56},
		}},
		{"server down for two hours", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {120, escalate.StepDue, told, 135},
		}},
		{"worse while nobody has answered does not slow it", escalate.Urgent, []moment{
			{0, escalate.Raised, "push ann", 1}, {0.5, escalate.Worsened, two, 10}, {9, escalate.Worsened, all, 24},
			{24, escalate.StepDue, all, 39},
		}},
		{"acknowledged, then worse", escalate.Urgent, []moment{
			{0, escalate.Raised, "push ann", 1}, {1, escalate.Acknowledge, "cancel, family taken", 31},
			{10, escalate.Worsened, "push ann", 11}, {11, escalate.StepDue, two, 20},
		}},
		{"acknowledged and nobody called: again, at the deputy", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {1, escalate.Acknowledge, "cancel, family taken", 31},
			{2, escalate.Call, "", 31}, // not reached
			{30, escalate.StepDue, "", 31}, {31, escalate.StepDue, two, 41}, {41, escalate.StepDue, all, 56},
			{91, escalate.StepDue, told, 106},
		}},
		{"acknowledged, called and forgotten", escalate.Emergency, []moment{
			{0, escalate.Raised, "push ann", 1}, {1, escalate.Acknowledge, "cancel, family taken", 31}, {2, "reached", "", 1442},
			{1441, escalate.StepDue, "", 1442}, {1442, escalate.StepDue, "push ann reminder", 2882}, {2000, escalate.Close, "cancel, family closed", -1},
		}},
		{"a note tells nobody", escalate.Note, []moment{{0, escalate.Raised, "", -1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			a := escalate.Alert{ID: "a-1"}
			for _, m := range c.moments {
				e := ev(m.kind)
				if m.kind == escalate.Raised {
					e = raised(c.level)
				}
				if m.kind == "reached" {
					e = ev(escalate.Call)
					e.Result = "reached"
				}
				if m.kind == escalate.Worsened {
					e.Entry = care.EntryID(at(m.at).String())
				}
				var effects []escalate.Effect
				a, effects = run(t, rules(), a, at(m.at), e)
				for _, x := range effects {
					if c := x.Delivery.Channel; c != "" && !slices.Contains(escalate.Channels(), c) {
						t.Errorf("%s at %v min goes by %q, which is no channel", m.kind, m.at, c)
					}
				}
				want := at(m.next)
				if m.next < 0 {
					want = time.Time{}
				}
				if brief(effects) != m.want || !a.NextStepAt.Equal(want) {
					t.Errorf("%s at %v min: %q, next %v; want %q, next %v", m.kind, m.at, brief(effects), a.NextStepAt.Sub(t0), m.want, want.Sub(t0))
				}
			}
		})
	}
}

// A channel that no step of the ladder goes by is one that nobody is told over.
func TestTheLadderGoesByEveryChannel(t *testing.T) {
	t.Parallel()
	by := map[escalate.Channel]bool{}
	a := escalate.Alert{ID: "a-1"}
	a, effects := run(t, rules(), a, at(0), raised(escalate.Emergency))
	for range 3 {
		for _, x := range effects {
			by[x.Delivery.Channel] = true
		}
		a, effects = run(t, rules(), a, a.NextStepAt, ev(escalate.StepDue))
	}
	for _, c := range escalate.Channels() {
		if !by[c] {
			t.Errorf("no step of an emergency goes by %q", c)
		}
	}
}

func TestLapsedUntilSomebodyAnswers(t *testing.T) {
	t.Parallel()
	a := inState(t, escalate.Open)
	for _, m := range []float64{1, 10, 25, 40, 55} {
		a, _ = run(t, rules(), a, at(m), ev(escalate.StepDue))
	}
	if a.Lapsed() {
		t.Error("lapsed before 60 minutes")
	}
	a, _ = run(t, rules(), a, at(60), ev(escalate.StepDue))
	if !a.Lapsed() {
		t.Error("not lapsed at 60 minutes")
	}
	if a, _ = run(t, rules(), a, at(61), ev(escalate.Acknowledge)); a.Lapsed() {
		t.Error("still lapsed after an acknowledgement")
	}
	if a, _ = run(t, rules(), a, at(62), ev(escalate.Worsened)); a.Lapsed() {
		t.Error("lapsed at once after opening again")
	}
}

func TestGapInTheRotaGoesToEverybodyAndTheOwner(t *testing.T) {
	t.Parallel()
	r := rules()
	r.Rota.Slots = []escalate.Slot{{Weekday: 1, From: civil.MustClock("09:00"), To: civil.MustClock("17:00"), Person: "ann", Deputy: "ben"}}
	a, effects := run(t, r, escalate.Alert{ID: "a-1"}, t0, raised(escalate.Emergency)) // a Sunday
	if got := brief(effects); got != "push ann, push ben, mail ann, mail ben, mail practice-owner" {
		t.Errorf("gap: %s", got)
	}
	if !a.NextStepAt.Equal(at(15)) {
		t.Errorf("next %v", a.NextStepAt.Sub(t0))
	}
	r.Rota.Slots = nil
	_, effects = run(t, r, escalate.Alert{ID: "a-1"}, t0, raised(escalate.Emergency))
	if got := brief(effects); got != "mail practice-owner" {
		t.Errorf("empty rota: %s", got)
	}
}

func TestRoutineWaitsForTheClinic(t *testing.T) {
	t.Parallel()
	r := rules()
	r.Contacts.Closed = []civil.Date{civil.MustDate("2026-03-09")}
	berlin := func(s string) time.Time {
		loc, err := time.LoadLocation("Europe/Berlin")
		if err != nil {
			t.Fatal(err)
		}
		at, err := time.ParseInLocation("2006-01-02 15:04", s, loc)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	a, effects := run(t, r, escalate.Alert{ID: "a-1"}, t0, raised(escalate.Routine)) // Sunday evening; Monday is a holiday
	if brief(effects) != "" || !a.NextStepAt.Equal(berlin("2026-03-10 09:00")) {
		t.Fatalf("at night: %q, next %v", brief(effects), a.NextStepAt)
	}
	a, effects = run(t, r, a, a.NextStepAt, ev(escalate.StepDue))
	if brief(effects) != "push ann" || !a.NextStepAt.Equal(berlin("2026-03-11 09:00")) {
		t.Errorf("Tuesday: %q, next %v", brief(effects), a.NextStepAt)
	}
	// It turns out to be an emergency: the ladder starts at the bottom, now.
	worse := ev(escalate.Worsened)
	a, effects = run(t, r, a, berlin("2026-03-10 20:00"), worse)
	if brief(effects) != "push ann" || !a.NextStepAt.Equal(berlin("2026-03-10 20:01")) || a.Lapsed() {
		t.Errorf("worse: %q, next %v, lapsed %v", brief(effects), a.NextStepAt, a.Lapsed())
	}
}

func TestPolicyBounds(t *testing.T) {
	t.Parallel()
	if err := escalate.DefaultPolicy().Check(); err != nil {
		t.Errorf("defaults: %v", err)
	}
	for _, c := range []struct {
		name   string
		change func(*escalate.Policy)
		ok     bool
	}{
		{"unshown 0", func(p *escalate.Policy) { p.Unshown = 0 }, false},
		{"unshown after deputy", func(p *escalate.Policy) { p.Unshown = 4 }, false},
		{"deputy 1", func(p *escalate.Policy) { p.Deputy = 1 }, true},
		{"deputy 10", func(p *escalate.Policy) { p.Deputy, p.Everyone = 10, 11 }, true},
		{"deputy 11", func(p *escalate.Policy) { p.Deputy, p.Everyone = 11, 20 }, false},
		{"everyone with deputy", func(p *escalate.Policy) { p.Everyone = 3 }, false},
		{"everyone next to the deputy", func(p *escalate.Policy) { p.Everyone = p.Deputy + 1 }, true},
		{"everyone 30", func(p *escalate.Policy) { p.Everyone = 30 }, true},
		{"everyone 31", func(p *escalate.Policy) { p.Everyone = 31 }, false},
		{"repeat 4", func(p *escalate.Policy) { p.Repeat = 4 }, false},
		{"repeat 5", func(p *escalate.Policy) { p.Repeat = 5 }, true},
		{"repeat 60", func(p *escalate.Policy) { p.Repeat = 60 }, true},
		{"repeat 61", func(p *escalate.Policy) { p.Repeat = 61 }, false},
		{"lapse with everyone", func(p *escalate.Policy) { p.Lapse = p.Everyone }, false},
		{"lapse next to everyone", func(p *escalate.Policy) { p.Lapse = p.Everyone + 1 }, true},
		{"lapse 120", func(p *escalate.Policy) { p.Lapse = 120 }, true},
		{"lapse 121", func(p *escalate.Policy) { p.Lapse = 121 }, false},
		{"reminded within the hour", func(p *escalate.Policy) { p.StillOpen = 59 }, false},
		{"reminded each hour", func(p *escalate.Policy) { p.StillOpen = 60 }, true},
		{"reminded each week", func(p *escalate.Policy) { p.StillOpen = 7 * 24 * 60 }, true},
		{"never reminded", func(p *escalate.Policy) { p.StillOpen = 7*24*60 + 1 }, false},
	} {
		p := escalate.DefaultPolicy()
		c.change(&p)
		if err := p.Check(); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestABadPolicyDoesNotSilence(t *testing.T) {
	t.Parallel()
	r := rules()
	r.Policy = escalate.Policy{}
	a, effects := run(t, r, escalate.Alert{ID: "a-1"}, t0, raised(escalate.Emergency))
	if brief(effects) != "push ann" || !a.NextStepAt.Equal(at(1)) {
		t.Errorf("%q, next %v", brief(effects), a.NextStepAt.Sub(t0))
	}
}
