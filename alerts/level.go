package alerts

import "fmt"

// Level is how soon a finding needs a person. Levels are ordered: a larger
// Level is more pressing. The zero Level is [None], which means that no rule
// fired; it never means that an eye is well.
type Level int

// The levels, from none to most pressing. The times are those of the table's
// sources: suspected infection in a lens wearer within 24 hours (NHS trust
// urgency list), the rest common practice.
const (
	None      Level = iota // no rule fired
	Note                   // raise at the next recall
	Routine                // next working day
	Urgent                 // lenses out, be seen within 24 hours
	Emergency              // lenses out now, be seen today
)

var levelNames = [...]string{"none", "note", "routine", "urgent", "emergency"}

// String returns the level's word in rules.json, and "none" for [None].
func (l Level) String() string {
	if l < None || l > Emergency {
		return fmt.Sprintf("Level(%d)", int(l))
	}
	return levelNames[l]
}

// MarshalText writes the level's word.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads what MarshalText writes and refuses any other word.
func (l *Level) UnmarshalText(b []byte) error {
	for i, name := range levelNames {
		if name == string(b) {
			*l = Level(i)
			return nil
		}
	}
	return fmt.Errorf("level %q: want one of %v", b, levelNames)
}

// State is what is known of a rule. Its zero value is [Unknown], so that
// nothing is clear by omission.
type State int8

// The three states. They are ordered: "all" is the least and "any" the
// greatest of its terms (Kleene's strong logic).
const (
	Clear   State = -1 // every answer needed was given, and the rule does not hold
	Unknown State = 0  // could not be assessed
	Fired   State = 1  // the rule holds whatever the missing answers are
)

// String returns clear, unknown or fired.
func (s State) String() string { return [...]string{"clear", "unknown", "fired"}[s+1] }

// MarshalText writes the state's word.
func (s State) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *State) UnmarshalText(b []byte) error {
	for _, v := range []State{Clear, Unknown, Fired} {
		if v.String() == string(b) {
			*s = v
			return nil
		}
	}
	return fmt.Errorf("state %q: want clear, unknown or fired", b)
}

func truth(b bool) State {
	if b {
		return Fired
	}
	return Clear
}
