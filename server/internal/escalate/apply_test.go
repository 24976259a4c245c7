package escalate_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// t0 is a Sunday evening, outside the hours of the invented clinic below.
var t0 = time.Date(2026, 3, 8, 21, 0, 0, 0, time.UTC)

func at(minutes float64) time.Time { return t0.Add(time.Duration(minutes * float64(time.Minute))) }

// rules is a practice with "ann" on duty and "ben" as deputy at all times, and
// "cem" on Wednesdays as a second slot, so on the rota but never first.
func rules() escalate.Rules {
	r := escalate.Rules{
		Policy: escalate.DefaultPolicy(), Rota: escalate.Rota{Zone: "Europe/Berlin"},
		Outcomes: []string{"seen-treated", "spoken-to", "other"},
		Contacts: care.Contacts{Zone: "Europe/Berlin"},
	}
	for day := range 7 {
		r.Rota.Slots = append(r.Rota.Slots, escalate.Slot{Weekday: day, Person: "ann", Deputy: "ben"})
		if day > 0 && day < 6 {
			r.Contacts.Hours = append(r.Contacts.Hours, care.Hours{Weekday: day, From: civil.MustClock("09:00"), To: civil.MustClock("17:00")})
		}
	}
	r.Rota.Slots = append(r.Rota.Slots, escalate.Slot{Weekday: 3, From: civil.MustClock("12:00"), To: civil.MustClock("13:00"), Person: "cem"})
	return r
}

func ev(kind escalate.EventKind) escalate.Event {
	e := escalate.Event{Kind: kind, By: "ann", Name: "Ann", Role: care.Clinician}
	switch kind {
	case escalate.Raised, escalate.Worsened:
		e = escalate.Event{Kind: kind, Level: escalate.Emergency, Eye: "right", Entry: care.EntryID("e-" + string(kind))}
	case escalate.HandOver:
		e.To, e.ToName = "ben", "Ben"
	case escalate.Comment:
		e.Text = "phoned, no answer"
	case escalate.Close:
		e.Outcome, e.Text = "seen-treated", "seen at 22:00"
	case escalate.Call:
		e.Result, e.Text = "not-reached", "no answer"
	case escalate.Reopen:
		e.Text = "the family phoned back"
	}
	return e
}

// run applies events at times and fails the test on any error.
func run(t *testing.T, r escalate.Rules, a escalate.Alert, now time.Time, events ...escalate.Event) (escalate.Alert, []escalate.Effect) {
	t.Helper()
	var effects []escalate.Effect
	for _, e := range events {
		var err error
		if a, effects, err = r.Apply(a, e, now); err != nil {
			t.Fatalf("%s: %v", e.Kind, err)
		}
	}
	return a, effects
}

func raised(level escalate.Level) escalate.Event {
	return escalate.Event{Kind: escalate.Raised, Level: level, Eye: "right", Entry: "e-0"}
}

// inState returns an emergency in each state.
func inState(t *testing.T, s escalate.State) escalate.Alert {
	a := escalate.Alert{ID: "a-1", Wearer: "w-1", Rule: "light"}
	switch s {
	case escalate.Open:
		a, _ = run(t, rules(), a, t0, raised(escalate.Emergency))
	case escalate.Acknowledged:
		a, _ = run(t, rules(), a, t0, raised(escalate.Emergency), ev(escalate.Acknowledge))
	case escalate.Closed:
		a, _ = run(t, rules(), a, t0, raised(escalate.Emergency), ev(escalate.Acknowledge), ev(escalate.Close))
	}
	return a
}

// brief writes effects as "cancel" and "push ann" in order.
func brief(effects []escalate.Effect) string {
	var out []string
	for _, e := range effects {
		if e.Kind == escalate.Cancel {
			out = append(out, "cancel")
			continue
		}
		if e.Kind == escalate.Family {
			out = append(out, "family "+string(e.Delivery.Kind))
			continue
		}
		s := fmt.Sprintf("%s %s", e.Delivery.Channel, e.Delivery.Target)
		if e.Delivery.Kind != escalate.KindAlert {
			s += " " + string(e.Delivery.Kind)
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

// Every pair of state and event, two minutes after the alert was raised. The
// expected values are the design's: worsening undoes, improvement does
// nothing, only people of the practice take and close.
func TestEveryStateAndEvent(t *testing.T) {
	t.Parallel()
	const (
		none    = ""
		conf    = "conflict"
		missing = "missing"
		invalid = "invalid"
	)
	type cell struct {
		state   escalate.State // after
		effects string
		err     string
		history int // events added
	}
	const (
		o = escalate.Open
		k = escalate.Acknowledged
		c = escalate.Closed
	)
	everyone := "push ann, push ben, mail ann, mail ben"
	table := map[escalate.State]map[escalate.EventKind]cell{
		escalate.Unraised: {
			escalate.Raised:      {o, "push ann", none, 2}, // the finding and the step
			escalate.Worsened:    {"", "", missing, 0},
			escalate.Improved:    {"", "", missing, 0},
			escalate.Acknowledge: {"", "", missing, 0},
			escalate.HandOver:    {"", "", missing, 0},
			escalate.Comment:     {"", "", missing, 0},
			escalate.Close:       {"", "", missing, 0},
			escalate.Call:        {"", "", missing, 0},
			escalate.Reopen:      {"", "", missing, 0},
			escalate.StepDue:     {"", "", missing, 0},
			escalate.Sent:        {"", "", missing, 0},
			escalate.Failed:      {"", "", missing, 0},
			escalate.Shown:       {"", "", missing, 0},
			escalate.Opened:      {"", "", missing, 0},
			escalate.DeskPhoned:  {"", "", missing, 0},
			escalate.NotCalled:   {"", "", missing, 0},
			escalate.PassedOn:    {"", "", missing, 0},
			escalate.Gone:        {"", "", missing, 0},
			escalate.FamilyTold:  {"", "", missing, 0},
			escalate.FamilyShown: {"", "", missing, 0},
			escalate.Cleared:     {"", "", missing, 0},
		},
		o: {
			escalate.Raised:      {o, "", none, 1},
			escalate.Worsened:    {o, everyone, none, 2}, // straight to the next rung
			escalate.Improved:    {o, "", none, 1},
			escalate.Acknowledge: {k, "cancel, family taken", none, 1},
			escalate.HandOver:    {o, "push ben, mail ben", none, 1},
			escalate.Comment:     {o, "", none, 1},
			escalate.Close:       {c, "cancel, family closed", none, 1},
			escalate.Call:        {o, "", none, 1},
			escalate.Reopen:      {o, "", conf, 0},
			escalate.StepDue:     {o, everyone, none, 1}, // nothing shown within a minute
			escalate.Sent:        {o, "", none, 1},
			escalate.Failed:      {o, "", none, 1},
			escalate.Shown:       {o, "", none, 1},
			escalate.Opened:      {o, "", none, 1},
			escalate.DeskPhoned:  {o, "", none, 0},
			escalate.NotCalled:   {o, "", none, 0},
			escalate.PassedOn:    {o, "", none, 0},
			escalate.Gone:        {o, "", none, 0},
			escalate.FamilyTold:  {o, "", none, 1},
			escalate.FamilyShown: {o, "", none, 1},
			escalate.Cleared:     {o, "", none, 1},
		},
		k: {
			escalate.Raised:      {k, "push ann", none, 1}, // who has it is told
			escalate.Worsened:    {o, "push ann", none, 2},
			escalate.Improved:    {k, "", none, 1},
			escalate.Acknowledge: {k, "", none, 0}, // the same person again
			escalate.HandOver:    {o, "push ben, push ann", none, 2},
			escalate.Comment:     {k, "", none, 1},
			escalate.Close:       {c, "cancel, family closed", none, 1},
			escalate.Call:        {k, "", none, 1},
			escalate.Reopen:      {k, "", conf, 0},
			escalate.StepDue:     {k, "", none, 0}, // not due
			escalate.Sent:        {k, "", none, 1},
			escalate.Failed:      {k, "", none, 1},
			escalate.Shown:       {k, "", none, 1},
			escalate.Opened:      {k, "", none, 1},
			escalate.DeskPhoned:  {k, "", none, 0},
			escalate.NotCalled:   {k, "", none, 0},
			escalate.PassedOn:    {k, "", none, 0},
			escalate.Gone:        {o, "push ann", none, 2},
			escalate.FamilyTold:  {k, "", none, 1},
			escalate.FamilyShown: {k, "", none, 1},
			escalate.Cleared:     {k, "", none, 1},
		},
		c: {
			escalate.Raised:      {o, "push ann", none, 2},
			escalate.Worsened:    {o, "push ann", none, 2},
			escalate.Improved:    {c, "", none, 1},
			escalate.Acknowledge: {c, "", conf, 0},
			escalate.HandOver:    {c, "", conf, 0},
			escalate.Comment:     {c, "", none, 1},
			escalate.Close:       {c, "", none, 0}, // the same person and outcome again
			escalate.Call:        {c, "", conf, 0},
			escalate.Reopen:      {o, "push ann", none, 2},
			escalate.StepDue:     {c, "", none, 0},
			escalate.Sent:        {c, "", none, 1},
			escalate.Failed:      {c, "", none, 1},
			escalate.Shown:       {c, "", none, 1},
			escalate.Opened:      {c, "", none, 1},
			escalate.DeskPhoned:  {c, "", none, 0},
			escalate.NotCalled:   {c, "", none, 0},
			escalate.PassedOn:    {c, "", none, 0},
			escalate.Gone:        {c, "", none, 0},
			escalate.FamilyTold:  {c, "", none, 1},
			escalate.FamilyShown: {c, "", none, 1},
			escalate.Cleared:     {c, "", none, 1},
		},
	}
	kinds := map[string]care.Kind{conf: care.Conflict, missing: care.NotFound, invalid: care.Invalid}
	for state, row := range table {
		for _, kind := range escalate.Kinds() {
			want, ok := row[kind]
			if !ok {
				t.Fatalf("no cell for %q and %s", state, kind)
			}
			t.Run(fmt.Sprintf("%s/%s", state, kind), func(t *testing.T) {
				t.Parallel()
				before := inState(t, state)
				kept := before
				kept.History = append([]escalate.Event(nil), before.History...)
				after, effects, err := rules().Apply(before, ev(kind), at(2))
				if want.err != none {
					if care.KindOf(err) != kinds[want.err] || err == nil {
						t.Errorf("error = %v, want %s", err, want.err)
					}
				} else if err != nil {
					t.Errorf("error = %v", err)
				}
				if after.State != want.state || brief(effects) != want.effects || len(after.History)-len(before.History) != want.history {
					t.Errorf("-> %q, effects %q, %d in history; want %+v", after.State, brief(effects), len(after.History)-len(before.History), want)
				}
				if diff := cmp.Diff(kept, before); diff != "" {
					t.Errorf("the given alert was changed:\n%s", diff)
				}
				if len(effects) > 0 && effects[0].Kind == escalate.Deliver && after.Step <= before.Step {
					t.Errorf("messages without a step of their own: %d after %d", after.Step, before.Step)
				}
			})
		}
	}
}

func TestOnlyThePracticeDecides(t *testing.T) {
	t.Parallel()
	for _, kind := range []escalate.EventKind{escalate.Acknowledge, escalate.HandOver, escalate.Comment, escalate.Close} {
		for _, role := range []care.Role{care.Parent, care.Teen, ""} {
			e := ev(kind)
			e.Role = role
			a := inState(t, escalate.Open)
			got, effects, err := rules().Apply(a, e, at(1))
			if care.KindOf(err) != care.Forbidden || effects != nil || got.State != escalate.Open {
				t.Errorf("%s by %q: %v, state %s", kind, role, err, got.State)
			}
		}
	}
}

func TestSecondAcknowledgementIsAPoliteNotice(t *testing.T) {
	t.Parallel()
	a := inState(t, escalate.Acknowledged)
	e := ev(escalate.Acknowledge)
	e.By, e.Name = "ben", "Ben"
	got, _, err := rules().Apply(a, e, at(1))
	// 21:00 UTC is 22:00 in Berlin in winter.
	if care.KindOf(err) != care.Conflict || !strings.Contains(err.Error(), "already acknowledged by Ann at 22:00 on 8 March") {
		t.Errorf("error = %v", err)
	}
	if got.AckBy != "ann" {
		t.Errorf("acknowledged by %s, want ann", got.AckBy)
	}
}

func TestWorseningIsNeverLostAndNeverLowers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		events []escalate.Event
		state  escalate.State
		level  escalate.Level
		eye    string
		raised int
	}{
		{"higher level", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Emergency, Eye: "right", Entry: "e-1"}}, escalate.Open, escalate.Emergency, "right", 1},
		{"the other eye", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Urgent, Eye: "left", Entry: "e-1"}}, escalate.Open, escalate.Urgent, "both", 1},
		{"said worse", []escalate.Event{{Kind: escalate.Worsened, Entry: "e-1"}}, escalate.Open, escalate.Urgent, "right", 1},
		{"said again", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Urgent, Eye: "right", Entry: "e-1"}}, escalate.Acknowledged, escalate.Urgent, "right", 0},
		{"lower level", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Note, Eye: "right", Entry: "e-1"}}, escalate.Acknowledged, escalate.Urgent, "right", 0},
		{"the same entry evaluated again", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Urgent, Eye: "right", Entry: "e-0"}}, escalate.Acknowledged, escalate.Urgent, "right", 0},
		{"the same entry, other eye", []escalate.Event{{Kind: escalate.Raised, Level: escalate.Urgent, Eye: "left", Entry: "e-0"}}, escalate.Acknowledged, escalate.Urgent, "both", 0},
		{"better", []escalate.Event{{Kind: escalate.Improved, Text: "gone"}}, escalate.Acknowledged, escalate.Urgent, "right", 0},
		{"better by an entry that then turns out worse", []escalate.Event{{Kind: escalate.Improved, Entry: "e-1"}, {Kind: escalate.Worsened, Entry: "e-1"}}, escalate.Open, escalate.Urgent, "right", 1},
		{"worse, then better", []escalate.Event{{Kind: escalate.Worsened, Level: escalate.Emergency, Entry: "e-1"}, {Kind: escalate.Improved}}, escalate.Open, escalate.Emergency, "right", 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			a, _ := run(t, rules(), escalate.Alert{ID: "a-1"}, t0, raised(escalate.Urgent), ev(escalate.Acknowledge))
			a, _ = run(t, rules(), a, at(30), c.events...)
			if a.State != c.state || a.Level != c.level || a.Eye != c.eye || a.Raised != c.raised {
				t.Errorf("state %s, level %s, eye %s, raised %d; want %+v", a.State, a.Level, a.Eye, a.Raised, c)
			}
			if reopened := c.state == escalate.Open; reopened != (a.AckBy == "") {
				t.Errorf("acknowledged by %q in state %s", a.AckBy, a.State)
			}
		})
	}
}

func TestBeganIsTheEarliestSaid(t *testing.T) {
	t.Parallel()
	e := raised(escalate.Urgent)
	e.Began = at(-60)
	a, _ := run(t, rules(), escalate.Alert{}, t0, e,
		escalate.Event{Kind: escalate.Raised, Level: escalate.Urgent, Entry: "e-1", Began: at(-30)},
		escalate.Event{Kind: escalate.Raised, Level: escalate.Urgent, Entry: "e-2", Began: at(-90)})
	if !a.Began.Equal(at(-90)) || a.Entry != "e-2" {
		t.Errorf("began %v by %s", a.Began, a.Entry)
	}
}

func TestClosingNeedsAnOutcomeAndForAnEmergencyANote(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		level   escalate.Level
		outcome string
		note    string
		ok      bool
	}{
		{"emergency with note", escalate.Emergency, "spoken-to", "sent to eye casualty", true},
		{"emergency without", escalate.Emergency, "spoken-to", "", false},
		{"emergency with blanks", escalate.Emergency, "spoken-to", "  ", false},
		{"urgent without", escalate.Urgent, "spoken-to", "", true},
		{"other without", escalate.Routine, "other", "", false},
		{"no outcome", escalate.Routine, "", "note", false},
		{"not on the list", escalate.Routine, "fine", "note", false},
		{"longest note", escalate.Routine, "other", strings.Repeat("é", 2000), true},
		{"note too long", escalate.Routine, "other", strings.Repeat("é", 2001), false},
	} {
		a, _ := run(t, rules(), escalate.Alert{}, t0, raised(c.level))
		e := ev(escalate.Close)
		e.Outcome, e.Text = c.outcome, c.note
		got, _, err := rules().Apply(a, e, at(5))
		if (err == nil) != c.ok || (got.State == escalate.Closed) != c.ok {
			t.Errorf("%s: %v, state %s", c.name, err, got.State)
		}
		if c.ok && (got.Outcome != c.outcome || got.ClosedBy != "ann" || got.AckBy != "ann" || !got.NextStepAt.IsZero()) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

func TestClosingTwice(t *testing.T) {
	t.Parallel()
	a := inState(t, escalate.Closed)
	e := ev(escalate.Close)
	e.By, e.Name = "ben", "Ben"
	_, _, err := rules().Apply(a, e, at(1))
	if care.KindOf(err) != care.Conflict || !strings.Contains(err.Error(), "already closed by Ann") {
		t.Errorf("error = %v", err)
	}
}

func TestHandOverWaitsForTheOtherPerson(t *testing.T) {
	t.Parallel()
	r := rules()
	a := inState(t, escalate.Acknowledged)
	self := ev(escalate.HandOver)
	self.To = "ann"
	if _, _, err := r.Apply(a, self, at(20)); care.KindOf(err) != care.Invalid {
		t.Errorf("to oneself: %v", err)
	}
	nobody := ev(escalate.HandOver)
	nobody.To = ""
	if _, _, err := r.Apply(a, nobody, at(20)); care.KindOf(err) != care.Invalid {
		t.Errorf("to nobody: %v", err)
	}
	e := ev(escalate.HandOver)
	e.To, e.ToName = "cem", "Cem"
	a, effects := run(t, r, a, at(20), e)
	if a.State != escalate.Open || a.Owner != "cem" || brief(effects) != "push cem, push ann" {
		t.Errorf("after hand-over: %s, owner %s, %s", a.State, a.Owner, brief(effects))
	}
	if a.AckBy != "ann" {
		t.Error("the family no longer sees that Ann saw it")
	}
	shownByAnn := ev(escalate.Shown)
	a, _ = run(t, r, a, at(20.5), shownByAnn)
	if !a.NextStepAt.Equal(at(21)) {
		t.Errorf("a receipt of somebody else moved the next step to %v", a.NextStepAt)
	}
	a, effects = run(t, r, a, at(21), ev(escalate.StepDue))
	if brief(effects) != "push cem, push ann, push ben, mail cem, mail ann, mail ben" {
		t.Errorf("nobody answers: %s", brief(effects))
	}
	ack := ev(escalate.Acknowledge)
	ack.By, ack.Name = "cem", "Cem"
	if a, _ = run(t, r, a, at(22), ack); a.AckName != "Cem" || a.State != escalate.Acknowledged {
		t.Errorf("acknowledged by %s", a.AckName)
	}
}

func TestEpisode(t *testing.T) {
	t.Parallel()
	closed := inState(t, escalate.Closed)
	routine, _ := run(t, rules(), escalate.Alert{}, t0, raised(escalate.Routine), ev(escalate.Close))
	open := inState(t, escalate.Open)
	for _, c := range []struct {
		name  string
		alert escalate.Alert
		now   time.Time
		want  bool
	}{
		{"live, weeks later", open, t0.AddDate(0, 0, 30), true},
		{"red flag closed just under a day ago", closed, t0.Add(24*time.Hour - 1), true},
		{"red flag closed a day ago", closed, t0.Add(24 * time.Hour), false},
		{"routine closed a minute ago", routine, at(1), false},
		{"never raised", escalate.Alert{}, t0, false},
	} {
		if got := c.alert.Continues(c.now); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
