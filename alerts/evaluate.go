package alerts

import (
	"encoding/json"
	"math"
	"slices"
	"time"

	"nightkeep/schedule/civil"
)

// Value is one logged value: a number or a word. The zero Value is unknown.
type Value struct {
	word     string
	number   float64
	isNumber bool
}

// Number returns a numerical value, in the sign's unit.
func Number(n float64) Value { return Value{number: n, isNumber: true} }

// Word returns one of a sign's answers.
func Word(w string) Value { return Value{word: w} }

// MarshalJSON writes a number, a string, or null for the zero Value.
func (v Value) MarshalJSON() ([]byte, error) {
	switch {
	case v.isNumber:
		return json.Marshal(v.number)
	case v.word != "":
		return json.Marshal(v.word)
	}
	return []byte("null"), nil
}

// UnmarshalJSON reads a number or a string; any other JSON value is unknown.
func (v *Value) UnmarshalJSON(b []byte) error {
	var a any
	if err := json.Unmarshal(b, &a); err != nil {
		return err
	}
	switch a := a.(type) {
	case float64:
		*v = Number(a)
	case string:
		*v = Word(a)
	default:
		*v = Value{}
	}
	return nil
}

// Signs are the values of one night, or the facts of today. A sign that is
// absent, of the wrong type, out of range or an unheard-of word (such as
// "unlogged") is unknown. Names that the table does not know are ignored.
type Signs map[Sign]Value

// Value returns one of the signs; the zero Value when it is not among them.
func (s Signs) Value(name Sign) Value { return s[name] }

// Night tells the signs of one night one by one, for a caller who has them in a
// form of its own and many nights to judge.
type Night interface {
	// Value returns a sign of the night, as [Signs] would hold it.
	Value(Sign) Value
}

// Report is one symptom report. An absent sign means "don't know".
type Report struct {
	Right map[string]string `json:"right"`
	Left  map[string]string `json:"left"`
	Began time.Time         `json:"began,omitzero"`  // zero: not said
	Ill   string            `json:"ill,omitempty"`   // no, yes, or empty for "don't know"
	Now   string            `json:"now,omitempty"`   // the worst of it, asked first; see the sign
	Water string            `json:"water,omitempty"` // no, yes, or empty for "don't know"
	// Other is the one word about an eye that the report does not name: usual,
	// not-usual, unknown, or empty when it was not asked. With usual, that eye is
	// left out; else it is unknown.
	Other string `json:"other,omitempty"`
	// Table is the version of the table by which the questions were asked; 0: this
	// one. What it did not ask yet is unknown, and raises nobody's pulse by itself.
	Table int `json:"table,omitempty"`
}

// Input is everything a rule may look at.
type Input struct {
	Today  civil.Date           `json:"today"`  // the current night, as civil.NightOf gives it
	Report *Report              `json:"report"` // nil: rules about symptoms are left out
	Nights map[civil.Date]Signs `json:"nights"` // nights after Today are ignored
	// Back, when it is not nil, stands in for Nights: tonight first, then night
	// by night, nil where nothing is logged. It is at least LongestWindow long.
	Back     []Night        `json:"-"`
	Facts    Signs          `json:"facts"`
	Settings map[string]int `json:"settings"` // absent: the default; out of bounds: the nearer bound

	asked int // by which version of the table a report was asked; 0: this one
}

// Finding is what one rule says, for one eye when it is about an eye.
type Finding struct {
	Rule        string   `json:"rule"`
	Level       Level    `json:"level"`
	State       State    `json:"state"`
	Eye         string   `json:"eye"` // right, left, or empty
	RuleVersion int      `json:"version"`
	Family      string   `json:"family"`
	Clinic      string   `json:"clinic"`
	Actions     []string `json:"actions"` // shared with the table: do not change
}

// Evaluate returns one finding per rule (two for a rule about an eye, right
// before left) in the table's order, whatever their state.
func (t *Table) Evaluate(in Input) []Finding {
	most := t.ofRecord
	if in.Report != nil {
		most = 2 * len(t.Rules) // both eyes
	}
	out := make([]Finding, 0, most)
	back := t.lookBack(&in)
	for i := range t.Rules {
		r := &t.Rules[i]
		switch {
		case r.About == "record":
			out = append(out, r.finding(t, "", t.eval(&r.When, &scene{in: &in, now: in.Facts, back: back})))
		case in.Report != nil:
			out = t.appendSymptom(out, r, &in)
		}
	}
	return out
}

// LongestWindow returns how many nights, tonight included, the rules look back
// at most, whatever the settings.
func (t *Table) LongestWindow() int { return t.longest }

// lookBack returns the nights that any window reaches, tonight first.
func (t *Table) lookBack(in *Input) []Night {
	if in.Today.IsZero() {
		return nil
	}
	if in.Back != nil {
		return in.Back
	}
	out := make([]Night, t.longest)
	for date, s := range in.Nights {
		if back := in.Today.DaysSince(date); back >= 0 && back < len(out) {
			out[back] = s
		}
	}
	return out
}

func (t *Table) symptomFindings(report *Report, asked int) []Finding {
	out := make([]Finding, 0, 2*len(t.Rules))
	in := Input{Report: report, asked: asked}
	for i := range t.Rules {
		if r := &t.Rules[i]; r.About == "symptoms" {
			out = t.appendSymptom(out, r, &in)
		}
	}
	return out
}

func (t *Table) appendSymptom(out []Finding, r *Rule, in *Input) []Finding {
	if !r.perEye {
		return append(out, r.finding(t, "", t.eval(&r.When, &scene{in: in})))
	}
	for _, eye := range []string{"right", "left"} {
		if in.Report.asUsual(eye) {
			continue
		}
		out = append(out, r.finding(t, eye, t.eval(&r.When, &scene{in: in, eye: in.Report.eye(eye)})))
	}
	return out
}

// asUsual reports whether an eye is out of question: the report is about the
// other one, and says that this one is as usual.
func (r *Report) asUsual(eye string) bool {
	asked := r.Right != nil || r.Left != nil
	return asked && r.Other == "usual" && r.eye(eye) == nil
}

// silentOn reports whether the report does not speak of an eye at all: it is
// about the other, and was not asked about this one.
func (r *Report) silentOn(eye string) bool {
	asked := r.Right != nil || r.Left != nil
	return asked && eye != "" && r.Other == "" && r.eye(eye) == nil
}

func (r *Report) eye(name string) map[string]string {
	if name == "right" {
		return r.Right
	}
	return r.Left
}

// Eye returns the eye that the report is about: right, left, both, or empty when it
// names none.
func (r *Report) Eye() string {
	switch {
	case r.Right != nil && r.Left != nil:
		return "both"
	case r.Right != nil:
		return "right"
	case r.Left != nil:
		return "left"
	}
	return ""
}

// whole returns the answer to a sign of the whole report.
func (r *Report) whole(sign Sign) string {
	switch sign {
	case "ill":
		return r.Ill
	case "now":
		return r.Now
	case "water":
		return r.Water
	}
	return ""
}

func (r *Rule) finding(t *Table, eye string, s State) Finding {
	return Finding{r.ID, r.Level, s, eye, t.Version, r.Family, r.Clinic, r.Actions}
}

// scene is where a comparison looks for its sign.
type scene struct {
	in  *Input
	eye map[string]string
	now Night // facts, or one night inside a window; nil when it is not logged
	// back are the nights, tonight first; nil when tonight is not known.
	back []Night
}

func (s *scene) value(def *SignDef) Value {
	said := ""
	switch def.Scope {
	case OfEye:
		said = s.eye[string(def.Name)]
	case OfReport:
		said = s.in.Report.whole(def.Name)
	}
	if def.Scope == OfEye || def.Scope == OfReport {
		if said == "" && s.in.asked > 0 && def.Since > s.in.asked {
			said = def.Answers[0] // what was not asked yet
		}
		return Word(said)
	}
	if s.now == nil {
		return Value{}
	}
	return s.now.Value(def.Name)
}

func (t *Table) eval(c *Cond, s *scene) State {
	switch {
	case c.All != nil:
		least := Fired
		for i := range c.All {
			least = min(least, t.eval(&c.All[i], s))
		}
		return least
	case c.Any != nil:
		most := Clear
		for i := range c.Any {
			most = max(most, t.eval(&c.Any[i], s))
		}
		return most
	case c.Not != nil:
		return -t.eval(c.Not, s)
	case c.Nights != nil:
		return t.evalWindow(c.Nights, s)
	}
	return t.compare(c, s)
}

func (t *Table) compare(c *Cond, s *scene) State {
	def := c.def
	v := s.value(def)
	if def.Answers != nil {
		got := slices.Index(def.Answers, v.word)
		if v.isNumber || got < 0 {
			return Unknown
		}
		return truth(got == c.rank || c.Op == ">=" && got > c.rank)
	}
	if !v.isNumber || math.IsNaN(v.number) || v.number < *def.Min || v.number > *def.Max {
		return Unknown
	}
	limit := t.limit(*c.Value, s.in.Settings)
	switch c.Op {
	case ">=":
		return truth(v.number >= limit)
	case "<=":
		return truth(v.number <= limit)
	case "<":
		return truth(v.number < limit)
	case ">":
		return truth(v.number > limit)
	}
	return truth(v.number == limit)
}

// evalWindow counts calendar nights, so a night with 23 or 25 hours is one
// night. A night without an entry is unknown.
func (t *Table) evalWindow(w *Window, s *scene) State {
	if s.back == nil {
		return Unknown
	}
	fired, unknown := 0, 0
	night := scene{in: s.in}
	for _, night.now = range s.back[:int(t.limit(w.Of, s.in.Settings))] {
		switch t.eval(&w.Where, &night) {
		case Fired:
			fired++
		case Unknown:
			unknown++
		}
	}
	atLeast := int(t.limit(w.AtLeast, s.in.Settings))
	switch {
	case fired >= atLeast:
		return Fired
	case fired+unknown >= atLeast:
		return Unknown
	}
	return Clear
}

func (t *Table) limit(o Operand, settings map[string]int) float64 {
	if o.Number != nil {
		return *o.Number
	}
	def := t.settings[o.Setting]
	if v, ok := settings[def.Name]; ok {
		return float64(min(max(v, def.Min), def.Max))
	}
	return float64(def.Default)
}

// Limit returns a setting's value: that of the practice within the table's
// bounds, else the usual one. It is what every rule and every list goes by, so
// that no two of them disagree. 0 for a setting that the table does not have.
func (t *Table) Limit(name string, settings map[string]int) int {
	if t.settings[name] == nil {
		return 0
	}
	return int(t.limit(Operand{Setting: name}, settings))
}
