package escalate

import "slices"

// Level is how soon an alert needs a person: the words of the rule table.
type Level string

// The levels, most pressing first.
const (
	Emergency Level = "emergency" // be seen today
	Urgent    Level = "urgent"    // be seen within 24 hours
	Routine   Level = "routine"   // next working day
	Note      Level = "note"      // raise at recall
)

// Rank orders levels: 0 for an emergency to 3 for a note. An unknown word
// ranks as an emergency, because a level may be raised by mistake but never
// lowered.
func (l Level) Rank() int {
	return max(0, slices.Index([]Level{Emergency, Urgent, Routine, Note}, l))
}

// Worse reports whether l is more pressing than other.
func (l Level) Worse(other Level) bool { return l.Rank() < other.Rank() }

// RedFlag reports whether the level is told to people at any hour and goes up
// the ladder until somebody acknowledges it.
func (l Level) RedFlag() bool { return l.Rank() <= Urgent.Rank() }
