package alerts

import (
	"slices"
	"time"
)

// Outcome is what one symptom report comes to.
type Outcome struct {
	Level    Level     `json:"level"`    // at least this; None is not a clean bill of health
	CouldBe  Level     `json:"couldBe"`  // the most it could be, given what was not answered; never below Level
	Unknown  bool      `json:"unknown"`  // some rule could not be assessed
	Unsure   bool      `json:"unsure"`   // below urgent, and with what was asked and not answered it could be urgent or worse
	Eye      string    `json:"eye"`      // right or left: the one eye that the report names; what it says of no eye is of this one
	Findings []Finding `json:"findings"` // fired and unknown ones, in the table's order
	Actions  []string  `json:"actions"`  // advice steps in the order to take them, each once
	Cautions []string  `json:"cautions"` // text keys, never empty
}

// Triage evaluates one symptom report. The level is that of the worst rule
// that fired. A report that is not fully answered says so in Unknown; one that
// could be urgent is headed by what to do, in Unsure. A report without any sign
// still carries the cautions.
func (t *Table) Triage(r Report) Outcome {
	var o Outcome
	if eye := r.Eye(); eye != "both" {
		o.Eye = eye
	}
	steps := map[string]bool{}
	asked := None // the most it could be, given what was asked and not answered
	old := t.symptomFindings(&r, r.Table)
	for i, f := range t.symptomFindings(&r, 0) {
		// Of what its table did not ask yet the best answer counts, for whether an
		// all-clear is one: never for a level.
		if old[i].State != Clear && !(r.Table > 0 && r.silentOn(f.Eye)) {
			asked = max(asked, f.Level)
		}
		if f.State == Clear {
			continue
		}
		o.Findings = append(o.Findings, f)
		o.CouldBe = max(o.CouldBe, f.Level)
		if f.State == Unknown {
			o.Unknown = true
			continue
		}
		o.Level = max(o.Level, f.Level)
		for _, a := range f.Actions {
			steps[a] = true
		}
	}
	o.Unsure = o.Level < Urgent && asked >= Urgent
	o.Actions = t.order(steps, o)
	o.Cautions = cautions(o)
	return o
}

// Headline returns the text keys that head the advice on the phone: what to do
// about the lens, then whom to see and how soon; the twin of headline of the phone.
func (o *Outcome) Headline() []string {
	if o.Unsure {
		return []string{"level.unsure.told"}
	}
	first := firstOf(lensFirst, o.Actions)
	call := firstOf([]string{"go-now", "call-now", "call-today"}, o.Actions)
	switch {
	case first == "rinse-eye":
		return []string{"told.rinse-eye"} // its own words end with going
	case o.Level >= Urgent && first != "" && call != "":
		return []string{"told." + first, "told." + call}
	}
	return []string{"level." + o.Level.String() + ".told"}
}

// firstOf returns the first of some steps that is told; "" for none.
func firstOf(steps, told []string) string {
	for _, a := range steps {
		if slices.Contains(told, a) {
			return a
		}
	}
	return ""
}

// Foremost returns what some reports of an episode come to together, in the order in
// which they were written: the gravest, the last of its level, with the steps of
// every red flag of that level and what all of them say of the lens first. It is
// what the phone shows; the twin of foremost of the phone.
func (t *Table) Foremost(all []Outcome) (lead Outcome) {
	rank := func(o *Outcome) int { // what was said leads what is open
		if o.Unsure {
			return max(2*int(o.Level), 2*int(Urgent)-1)
		}
		return 2 * int(o.Level)
	}
	for i := range all {
		if i == 0 || rank(&all[i]) >= rank(&lead) {
			lead = all[i]
		}
	}
	if lead.Level < Urgent {
		return lead
	}
	steps := map[string]bool{}
	for _, o := range all {
		for _, a := range o.Actions {
			if o.Level == lead.Level || slices.Contains(lensFirst, a) {
				steps[a] = true
			}
		}
	}
	lead.Actions = t.together(steps)
	return lead
}

// stuckSteps are what is done about a lens that will not move or cannot be found, and
// freedSteps what is done instead once it is out.
var (
	stuckSteps = []string{"stuck-lens", "stuck-steps", "stuck-press", "find-lens"}
	freedSteps = []string{"lenses-out", "stuck-again"}
)

// CameOff returns what a report comes to once it was said that a lens it calls stuck,
// or not found, is out of some eyes ("right", "left"). What it found and how pressing it
// is stay as they were: only the steps for a lens that will not come give way to those
// for one that came off. The twin of cameOff of the phone.
func (t *Table) CameOff(o Outcome, eyes ...string) Outcome {
	steps, freed := map[string]bool{}, false
	o.Findings = slices.Clone(o.Findings)
	for i, f := range o.Findings {
		if f.State != Fired {
			continue
		}
		if slices.Contains(eyes, f.Eye) && slices.Contains(f.Actions, "stuck-lens") {
			freed = true
			kept := slices.DeleteFunc(slices.Clone(f.Actions), func(a string) bool { return slices.Contains(stuckSteps, a) })
			o.Findings[i].Actions = slices.Concat(freedSteps, kept)
		}
		for _, a := range o.Findings[i].Actions {
			steps[a] = true
		}
	}
	if freed {
		o.Actions = t.together(steps)
	}
	return o
}

// EyeSteps returns what to do about the lens of each eye by all of some reports,
// where it is not the same for both; else empty. A chemical of which nobody said the
// eye is rinsed out, and an eye that is cut or holds something is named beside it: of
// that eye alone. The twin of eyeSteps of the phone.
func (t *Table) EyeSteps(all []Outcome) (right, left string) {
	right, left = firstOf(lensFirst, t.ofEye(all, "right", true)), firstOf(lensFirst, t.ofEye(all, "left", true))
	if right == left {
		own := func(eye string) string {
			if o := t.ofEye(all, eye, false); right == "rinse-eye" && firstOf(lensFirst, o) == "leave-lens" {
				return "leave-lens"
			}
			return ""
		}
		return own("right"), own("left")
	}
	if right == "" || left == "" {
		return "", ""
	}
	return right, left
}

// ofEye returns the steps of all of some reports, in the order in which they were
// written, for one eye; also of what names no eye, if so asked. What names none and is
// said again of one eye is of that eye.
func (t *Table) ofEye(all []Outcome, eye string, unnamed bool) []string {
	steps := map[string]bool{}
	for i, o := range all {
		for _, f := range o.Findings {
			of := f.Eye
			if of == "" {
				of = o.Eye
			}
			later := func(x Outcome) bool {
				return x.Eye != "" && slices.ContainsFunc(x.Findings, func(y Finding) bool { return y.Rule == f.Rule && y.State == Fired })
			}
			if f.State == Fired && (of == eye || of == "" && unnamed && !slices.ContainsFunc(all[i+1:], later)) {
				for _, a := range f.Actions {
					steps[a] = true
				}
			}
		}
	}
	return t.together(steps)
}

// guards are the steps for an eye that is cut, was hit, holds something or has a lens
// that sticks, which a rinse of the other eye must not hide.
var guards = []string{"leave-lens", "lens-if-loose", "stuck-lens", "shield", "no-rinse"}

// Guarded returns those steps for an eye, in their order, where all that some reports
// come to together is headed by a rinse that is not this eye's; the twin of guarded of
// the phone.
func (t *Table) Guarded(all []Outcome, eye string) (out []string) {
	right, left := t.EyeSteps(all)
	step := map[string]string{"right": right, "left": left}[eye]
	if step == "" || step == "rinse-eye" || !slices.Contains(t.Foremost(all).Actions, "rinse-eye") {
		return nil
	}
	for _, a := range t.ofEye(all, eye, false) {
		if slices.Contains(guards, a) {
			out = append(out, a)
		}
	}
	return out
}

// unsure are the advice steps of a report that could be urgent: what is not
// known is treated as yes until somebody has looked.
var unsure = []string{"unsure", "lenses-out", "call-today", "no-lens-tonight", "keep-lenses", "watch"}

func (t *Table) order(steps map[string]bool, o Outcome) []string {
	if o.Unsure {
		for _, a := range unsure {
			steps[a] = true
		}
	}
	if o.Level == None {
		steps["watch"] = true
	}
	return t.together(steps)
}

// together returns the steps in the table's order, without those that give way
// to another of them. A step that gives way still displaces others.
func (t *Table) together(steps map[string]bool) []string {
	var out []string
	for _, a := range t.Actions {
		if steps[a] && !slices.ContainsFunc(t.GivesWay, func(y Yield) bool {
			return y.Action == a && slices.ContainsFunc(y.To, func(to string) bool { return steps[to] })
		}) {
			out = append(out, a)
		}
	}
	return out
}

func cautions(o Outcome) []string {
	var keys []string
	if o.Unknown {
		keys = append(keys, "caution.at-least", "caution.unknown")
	}
	if o.Level >= Urgent {
		keys = append(keys, "caution.better")
	}
	return append(keys, "caution.cannot-see", "caution.worried", "caution.local")
}

// Delay returns the text key for the time from when a sign began to now.
//
// Treatment more than 12 hours late goes with loss of sight (Keay 2006, P =
// 0.048), and a delay of 49 to 72 hours with an odds ratio of 4.5 (Eye 2009).
// A zero or future began counts as not said.
func Delay(began, now time.Time) string {
	elapsed := now.Sub(began)
	switch {
	case began.IsZero() || elapsed < 0:
		return "delay.unknown"
	case elapsed >= 49*time.Hour:
		return "delay.over-49-hours"
	case elapsed > 12*time.Hour:
		return "delay.over-12-hours"
	}
	return "delay.soon"
}
