package alerts

import (
	"slices"
	"time"
)

// calls are the advice steps that say how soon to phone, most pressing first.
// Only the most pressing one is told.
var calls = []string{"call-now", "call-today", "call-clinic", "tell-at-recall"}

// Outcome is what one symptom report comes to.
type Outcome struct {
	Level    Level     `json:"level"`    // at least this; None is not a clean bill of health
	CouldBe  Level     `json:"couldBe"`  // the most it could be, given what was not answered; never below Level
	Unknown  bool      `json:"unknown"`  // some rule could not be assessed
	Findings []Finding `json:"findings"` // fired and unknown ones, in the table's order
	Actions  []string  `json:"actions"`  // advice steps in the order to take them, each once
	Cautions []string  `json:"cautions"` // text keys, never empty
}

// Triage evaluates one symptom report. The level is that of the worst rule
// that fired. A report that is not fully answered says so in Unknown, and a
// report without any sign still carries the cautions.
func (t *Table) Triage(r Report) Outcome {
	var o Outcome
	steps := map[string]bool{}
	for _, f := range t.symptomFindings(&r) {
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
	o.Actions = t.order(steps, o)
	o.Cautions = cautions(o)
	return o
}

func (t *Table) order(steps map[string]bool, o Outcome) []string {
	if o.Unknown {
		steps["unsure"] = true
	}
	if o.Level == None {
		steps["watch"] = true
	}
	called := false
	for _, c := range calls {
		steps[c] = steps[c] && !called
		called = called || steps[c]
	}
	return slices.DeleteFunc(slices.Clone(t.Actions), func(a string) bool { return !steps[a] })
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
