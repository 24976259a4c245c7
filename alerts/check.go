package alerts

import (
	"fmt"
	"math"
	"slices"
)

// maxWindow is the longest window in nights: a recall interval of a quarter
// with room to spare. Our own bound.
const maxWindow = 120

// lensFirst are the advice steps that say what to do about a lens first. In an
// emergency one of them opens the advice: rinse a chemical out, leave a cut eye
// alone, take the lens out only if nothing has to be pressed, pull at none that is
// stuck, or take it out.
var lensFirst = []string{"rinse-eye", "leave-lens", "lens-if-loose", "stuck-lens", "lenses-out"}

// needed lists the advice steps without which a rule of a level is refused, one
// of each list: the lens, wear none, phone or go, keep and bring (NHS Scotland
// community eye care; Keay 2006).
var needed = map[Level][][]string{
	Emergency: {lensFirst, {"no-lens"}, {"go-now", "call-now"}, {"keep-lenses"}, {"bring"}},
	Urgent:    {{"lenses-out", "stuck-lens"}, {"no-lens"}, {"call-today"}, {"keep-lenses"}, {"bring"}},
}

func (t *Table) check() error {
	if t.Version < 1 {
		return fmt.Errorf("version %d: want at least 1", t.Version)
	}
	if err := t.checkSigns(); err != nil {
		return err
	}
	if err := t.checkSettingDefs(); err != nil {
		return err
	}
	for _, y := range t.GivesWay {
		for _, a := range append([]string{y.Action}, y.To...) {
			if !slices.Contains(t.Actions, a) || len(y.To) == 0 || slices.Contains(y.To, y.Action) {
				return fmt.Errorf("gives_way: %q to %q: want advice steps, and another one to give way to", y.Action, y.To)
			}
		}
	}
	if len(t.Rules) == 0 {
		return fmt.Errorf("no rules")
	}
	seen := map[string]bool{}
	for i := range t.Rules {
		r := &t.Rules[i]
		if r.ID == "" || seen[r.ID] {
			return fmt.Errorf("rule %d: id %q is missing or used twice", i+1, r.ID)
		}
		seen[r.ID] = true
		if err := t.checkRule(r); err != nil {
			return fmt.Errorf("rule %s: %w", r.ID, err)
		}
	}
	return nil
}

func (t *Table) checkSigns() error {
	t.symptoms, t.record = map[Sign]*SignDef{}, map[Sign]*SignDef{}
	for i := range t.Signs {
		s := &t.Signs[i]
		var in map[Sign]*SignDef
		switch s.Scope {
		case OfEye, OfReport:
			in = t.symptoms
		case OfNight, OfFact:
			in = t.record
		default:
			return fmt.Errorf("sign %q: unknown scope %q", s.Name, s.Scope)
		}
		if s.Name == "" || in[s.Name] != nil {
			return fmt.Errorf("sign %q is unnamed or listed twice", s.Name)
		}
		words := len(s.Answers) >= 2 && s.Min == nil && s.Max == nil
		numbers := s.Answers == nil && s.Min != nil && s.Max != nil && *s.Min < *s.Max && s.Unit != ""
		if words == numbers {
			return fmt.Errorf("sign %q: want two answers or more, or a range with a unit", s.Name)
		}
		in[s.Name] = s
	}
	return nil
}

func (t *Table) checkSettingDefs() error {
	t.settings = map[string]*Setting{}
	for i := range t.Settings {
		s := &t.Settings[i]
		if s.Name == "" || t.settings[s.Name] != nil {
			return fmt.Errorf("setting %q is unnamed or listed twice", s.Name)
		}
		if s.Min > s.Default || s.Default > s.Max || s.Why == "" {
			return fmt.Errorf("setting %q: want a reason, and min <= default <= max", s.Name)
		}
		t.settings[s.Name] = s
	}
	return nil
}

func (t *Table) checkRule(r *Rule) error {
	if r.Level == None {
		return fmt.Errorf("level is missing")
	}
	if r.Source == "" || r.Family == "" || r.Clinic == "" {
		return fmt.Errorf("source, family and clinic text must all be given")
	}
	if r.About != "symptoms" && r.About != "record" {
		return fmt.Errorf("about %q: want symptoms or record", r.About)
	}
	last := -1
	for _, a := range r.Actions {
		i := slices.Index(t.Actions, a)
		if i <= last {
			return fmt.Errorf("advice step %q is unknown, repeated or out of order", a)
		}
		last = i
	}
	if last < 0 {
		return fmt.Errorf("no advice")
	}
	for _, one := range needed[r.Level] {
		if !slices.ContainsFunc(one, func(a string) bool { return slices.Contains(r.Actions, a) }) {
			return fmt.Errorf("level %s needs the advice step %q", r.Level, one)
		}
	}
	if want := markOf(r.Actions); r.Mark != want {
		return fmt.Errorf("mark %s: its advice means %s", r.Mark, want)
	}
	r.perEye = false
	if r.About == "record" {
		t.ofRecord++
	}
	return t.checkCond(r, &r.When, false)
}

func (t *Table) checkCond(r *Rule, c *Cond, window bool) error {
	forms := 0
	for _, set := range []bool{c.All != nil, c.Any != nil, c.Not != nil, c.Sign != "" || c.Op != "" || c.Value != nil, c.Nights != nil} {
		if set {
			forms++
		}
	}
	switch {
	case forms != 1:
		return fmt.Errorf("a condition has %d forms: want one of all, any, not, a comparison, nights", forms)
	case c.Sign != "" || c.Op != "" || c.Value != nil:
		return t.checkComparison(r, c, window)
	case c.Nights != nil:
		return t.checkWindow(r, c.Nights, window)
	case c.Not != nil:
		if r.Level >= Urgent {
			return fmt.Errorf("not: refused in an urgent or emergency rule")
		}
		return t.checkCond(r, c.Not, window)
	}
	terms := c.All
	if terms == nil {
		terms = c.Any
	}
	if len(terms) < 2 {
		return fmt.Errorf("all or any: want two terms or more")
	}
	for i := range terms {
		if err := t.checkCond(r, &terms[i], window); err != nil {
			return err
		}
	}
	return nil
}

func (t *Table) checkComparison(r *Rule, c *Cond, window bool) error {
	def := t.defs(r)[c.Sign]
	if def == nil {
		return fmt.Errorf("sign %q is not one of the %s", c.Sign, r.About)
	}
	if r.About == "record" && window != (def.Scope == OfNight) {
		return fmt.Errorf("sign %q: a night's sign is read inside a window, a fact outside", c.Sign)
	}
	c.def = def
	r.perEye = r.perEye || def.Scope == OfEye
	if c.Value == nil {
		return fmt.Errorf("sign %q: value is missing", c.Sign)
	}
	if def.Answers != nil {
		c.rank = slices.Index(def.Answers, c.Value.Word)
		if c.rank < 0 || c.Op != "=" && (c.Op != ">=" || c.rank == 0) {
			return fmt.Errorf("sign %q: %s %q: want = or >= and one of %v", c.Sign, c.Op, c.Value.Word, def.Answers)
		}
		return nil
	}
	if !slices.Contains([]string{">=", "<=", "<", ">", "="}, c.Op) {
		return fmt.Errorf("sign %q: unknown operator %q", c.Sign, c.Op)
	}
	lo, hi, err := t.bounds(r, *c.Value, c.Op == "<=" || c.Op == "<")
	if err != nil || lo < *def.Min || hi > *def.Max {
		return fmt.Errorf("sign %q: limit: want a number from %v to %v (%v)", c.Sign, *def.Min, *def.Max, err)
	}
	return nil
}

func (t *Table) checkWindow(r *Rule, w *Window, window bool) error {
	if window || r.About != "record" {
		return fmt.Errorf("nights: only once, in a rule about the record")
	}
	ofLo, ofHi, err := t.bounds(r, w.Of, true)
	if err != nil {
		return fmt.Errorf("nights.of: %w", err)
	}
	atLo, atHi, err := t.bounds(r, w.AtLeast, false)
	if err != nil {
		return fmt.Errorf("nights.atLeast: %w", err)
	}
	if atLo < 1 || atHi > ofLo || ofHi > maxWindow || ofLo != math.Trunc(ofLo) || atLo != math.Trunc(atLo) {
		return fmt.Errorf("nights: want whole numbers, 1 <= atLeast <= of <= %d", maxWindow)
	}
	t.longest = max(t.longest, int(ofHi))
	return t.checkCond(r, &w.Where, true)
}

// bounds returns the least and greatest value an operand can take. A setting
// is refused in an emergency, and in an urgent rule unless its default is the
// bound at which the rule fires least (the smallest if more is looser) or a
// source stands behind its bounds.
func (t *Table) bounds(r *Rule, o Operand, moreIsLooser bool) (lo, hi float64, err error) {
	if o.Number != nil {
		return *o.Number, *o.Number, nil
	}
	s := t.settings[o.Setting]
	if s == nil {
		return 0, 0, fmt.Errorf("want a number or a setting of the table")
	}
	strictest := s.Max
	if moreIsLooser {
		strictest = s.Min
	}
	if r.Level == Emergency || r.Level == Urgent && s.Default != strictest && s.Source == "" {
		return 0, 0, fmt.Errorf("setting %q could lower this rule", s.Name)
	}
	return float64(s.Min), float64(s.Max), nil
}

func (t *Table) defs(r *Rule) map[Sign]*SignDef {
	if r.About == "symptoms" {
		return t.symptoms
	}
	return t.record
}
