package alerts_test

import (
	"encoding/json"
	"os"
	"slices"
	"testing"

	"nightkeep/alerts"
)

// situation is a named clinical situation: a report, or a record.
type situation struct {
	ID       int            `json:"id"`
	Name     string         `json:"name"`
	Report   *alerts.Report `json:"report"`
	Level    alerts.Level   `json:"level"`
	Unsure   bool           `json:"unsure"`
	Actions  []string       `json:"actions"`
	Never    []string       `json:"never"`
	Marks    *alerts.Marks  `json:"marks"`
	Record   *alerts.Input  `json:"record"`
	Fired    []string       `json:"fired"`
	NotFired []string       `json:"notFired"`
	Source   string         `json:"source"`
}

// What a corneal specialist would ask of the table, one situation at a time. The
// phone's evaluator is held to the same file in pwa/test/alerts.test.js.
func TestNamedClinicalSituations(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(vectorDir + "/situations.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Situations []situation }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if n := len(file.Situations); n < 60 {
		t.Fatalf("%d situations, want 60 or more", n)
	}
	tb := alerts.Default()
	names := map[string]bool{}
	for _, s := range file.Situations {
		if s.Source == "" || s.Name == "" || names[s.Name] {
			t.Errorf("%d %q: want a name of its own and a source", s.ID, s.Name)
		}
		names[s.Name] = true
		t.Run(s.Name, func(t *testing.T) {
			t.Parallel()
			if s.Report != nil {
				s.checkReport(t, tb)
			} else {
				s.checkRecord(t, tb)
			}
		})
	}
}

func (s *situation) checkReport(t *testing.T, tb *alerts.Table) {
	o := tb.Triage(*s.Report)
	if o.Level != s.Level || o.Unsure != s.Unsure {
		t.Errorf("level %v, unsure %t; want %v, %t (%s)", o.Level, o.Unsure, s.Level, s.Unsure, s.Source)
	}
	for _, a := range s.Actions {
		if !slices.Contains(o.Actions, a) {
			t.Errorf("does not tell %q: %v", a, o.Actions)
		}
	}
	for _, a := range s.Never {
		if slices.Contains(o.Actions, a) {
			t.Errorf("tells %q: %v", a, o.Actions)
		}
	}
	if m := tb.ReportMarks(*s.Report); s.Marks != nil && m != *s.Marks {
		t.Errorf("marks %v, want %v", m, *s.Marks)
	}
}

func (s *situation) checkRecord(t *testing.T, tb *alerts.Table) {
	state := map[string]alerts.State{}
	for _, f := range tb.Evaluate(*s.Record) {
		state[f.Rule] = f.State
	}
	for _, r := range s.Fired {
		if state[r] != alerts.Fired {
			t.Errorf("%s is %v, want fired (%s)", r, state[r], s.Source)
		}
	}
	for _, r := range s.NotFired {
		if state[r] == alerts.Fired {
			t.Errorf("%s fired (%s)", r, s.Source)
		}
	}
}

// What heads the advice: the same words on the phone and on the clinic's card, from
// the same cases as the test of the phone's headline.
func TestTheHeadlineIsThatOfThePhone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		report alerts.Report
		want   []string
	}{
		{alerts.Report{Right: map[string]string{"injury": "chemical"}}, []string{"told.rinse-eye"}},
		{alerts.Report{Right: map[string]string{"injury": "cut", "lens": "in"}}, []string{"told.leave-lens", "told.go-now"}},
		{alerts.Report{Right: map[string]string{"injury": "knock", "lens": "stuck"}}, []string{"told.lens-if-loose", "told.call-now"}},
		{alerts.Report{Right: map[string]string{"lens": "stuck"}}, []string{"told.stuck-lens", "told.call-today"}},
		{alerts.Report{Right: map[string]string{"lens": "stuck", "sight": "lost"}}, []string{"told.stuck-lens", "told.go-now"}},
		{alerts.Report{Right: map[string]string{"pain": "persists"}}, []string{"told.lenses-out", "told.call-now"}},
		{alerts.Report{Right: map[string]string{"redness": "mild"}}, []string{"told.lenses-out", "told.call-today"}},
		{alerts.Report{Now: "sight"}, []string{"told.lenses-out", "told.go-now"}},
		{alerts.Report{Right: map[string]string{}, Left: map[string]string{}}, []string{"level.unsure.told"}},
	} {
		o := alerts.Default().Triage(c.report)
		if got := o.Headline(); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.report, got, c.want)
		}
	}
}

// What several reports come to together, from the same cases as the test of the
// phone's: the lens of each eye by itself, and a stuck lens is not forgotten.
func TestReportsTogether(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	knock := tb.Triage(alerts.Report{Right: map[string]string{"injury": "knock", "lens": "stuck"}, Other: "unknown"})
	red := tb.Triage(alerts.Report{Left: map[string]string{"redness": "marked", "lens": "in"}, Other: "unknown"})
	both := tb.Triage(alerts.Report{Right: map[string]string{"injury": "chemical"}, Left: map[string]string{"injury": "cut"}})
	// Said first, then which eye: a chemical in the right, something stuck in the left; and a
	// chemical of which nobody said the eye. NHS, Eye injuries: a chemical is rinsed; AAO: what
	// is stuck is not, and nothing presses on that eye.
	chemical := tb.Triage(alerts.Report{Now: "chemical", Right: map[string]string{}, Other: "unknown"})
	unnamed := tb.Triage(alerts.Report{Now: "chemical"})
	held := tb.Triage(alerts.Report{Now: "cut", Left: map[string]string{}, Other: "unknown"})
	for _, all := range [][]alerts.Outcome{{chemical, held}, {held, chemical}, {unnamed, held}} {
		if got := tb.Guarded(all, "left"); !slices.Equal(got, []string{"leave-lens", "shield", "no-rinse"}) || tb.Guarded(all, "right") != nil {
			t.Errorf("beside a rinse the left eye is told %v", got)
		}
	}
	for _, c := range []struct {
		all         []alerts.Outcome
		right, left string
	}{
		{[]alerts.Outcome{chemical, held}, "rinse-eye", "leave-lens"},
		{[]alerts.Outcome{unnamed, held}, "", "leave-lens"},
		{[]alerts.Outcome{unnamed, chemical, held}, "rinse-eye", "leave-lens"}, // which eye was said after it
		{[]alerts.Outcome{chemical, held, unnamed}, "", "leave-lens"},          // once more, of which eye is not known
		{[]alerts.Outcome{chemical}, "", ""},
		{[]alerts.Outcome{knock, red}, "lens-if-loose", "lenses-out"},
		{[]alerts.Outcome{both}, "rinse-eye", "leave-lens"},
		{[]alerts.Outcome{red}, "", ""}, // of one eye alone
	} {
		if r, l := tb.EyeSteps(c.all); r != c.right || l != c.left {
			t.Errorf("right %q, left %q; want %q, %q", r, l, c.right, c.left)
		}
	}
	stuck := tb.Triage(alerts.Report{Right: map[string]string{"lens": "stuck"}})
	open := tb.Triage(alerts.Report{Right: map[string]string{"pain": "none"}})
	for _, c := range []struct {
		all  []alerts.Outcome
		want []string
	}{
		{[]alerts.Outcome{stuck, tb.Triage(alerts.Report{Now: "sight"})}, []string{"told.stuck-lens", "told.go-now"}},
		{[]alerts.Outcome{stuck, open}, []string{"told.stuck-lens", "told.call-today"}},
		{[]alerts.Outcome{knock, red}, []string{"told.lens-if-loose", "told.call-now"}},
	} {
		o := tb.Foremost(c.all)
		if got := o.Headline(); !slices.Equal(got, c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}
