package escalate

import "time"

// A drill is an alert of the practice's own family for drills. It goes the whole
// way of a red flag: ladder, pushes, mails, the family's phones. It ends with the
// first clinician who takes it, or when nobody did by the policy's limit, and is
// never opened again: each drill is an alert of its own, which is its result.

// The outcomes of a drill; no other alert has one of them.
const (
	DrillAnswered   = "drill-answered"
	DrillUnanswered = "drill-unanswered"
)

// end closes a drill. By is empty when nobody answered.
func (a Alert) end(e Event, outcome string) Alert {
	a.State, a.ClosedBy, a.ClosedName, a.ClosedAt = Closed, e.By, e.Name, e.At
	a.Outcome, a.NextStepAt = outcome, time.Time{}
	return a
}

// First returns when something first happened to an alert; zero when it did not.
func (a *Alert) First(k EventKind) time.Time {
	for _, e := range a.History {
		if e.Kind == k {
			return e.At
		}
	}
	return time.Time{}
}
