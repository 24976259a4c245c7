package alerts

import (
	"maps"
	"slices"
	"time"
)

// Outcome is what one symptom report comes to.
type Outcome struct {
	Level    Level     `json:"level"`    // at least this; None is not a clean bill of health
	CouldBe  Level     `json:"couldBe"`  // the most it could be, given what was not answered; never below Level
	Unknown  bool      `json:"unknown"`  // some rule could not be assessed
	Unsure   bool      `json:"unsure"`   // below urgent, and with what was asked and not answered it could be urgent or worse
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
	steps := map[string]bool{}
	asked := None // the most it could be, given what was asked and not answered
	filled := t.fill(&r)
	for i, f := range t.symptomFindings(&r) {
		if f.State == Clear {
			continue
		}
		if filled == nil || filled[i].State != Clear && !r.silentOn(f.Eye) {
			asked = max(asked, f.Level)
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

// fill returns the findings of a report with the best answer to each question
// that its version of the table did not ask yet, and nil when it asked them all.
// Only whether an all-clear is one is judged so; never a level.
func (t *Table) fill(r *Report) []Finding {
	if r.Table == 0 || r.Table >= t.Version {
		return nil
	}
	full := *r
	full.Right, full.Left = maps.Clone(r.Right), maps.Clone(r.Left)
	for _, s := range t.Signs {
		if s.Since <= r.Table {
			continue
		}
		switch s.Scope {
		case OfEye:
			for _, eye := range []map[string]string{full.Right, full.Left} {
				if _, said := eye[string(s.Name)]; eye != nil && !said {
					eye[string(s.Name)] = s.Answers[0]
				}
			}
		case OfReport:
			full.setWhole(s.Name, s.Answers[0])
		}
	}
	return t.symptomFindings(&full)
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
