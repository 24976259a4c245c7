package care

import (
	"slices"

	"nightkeep/schedule/civil"
)

// LensIn is a lens that is in an eye by the last word of the log.
type LensIn struct {
	Eye   string     `json:"eye" enum:"right,left"`
	Night civil.Date `json:"night"` // of its insertion
	// On and At are when it went in, on the clock of where that was; zero and empty where
	// the clock cannot be read.
	On    civil.Date `json:"on,omitzero"`
	At    string     `json:"at,omitempty"`
	Entry EntryID    `json:"entry"`
	// Held is the more careful of what holds for the eye tonight and of what held in the
	// night of its insertion: a release from a later night on is none of this lens.
	Held Mark `json:"held"`
	// Told: what holds it back is not only a decision of the practice, but also something
	// that the family wrote.
	Told bool `json:"told"`
}

// LensesIn returns the lenses that are in by the newest night that says anything of their
// eye, right before left. Nights are in order of their dates.
func LensesIn(nights []Night, facts []WearFact, tonight civil.Date) []LensIn {
	out := []LensIn{}
	for _, eye := range []string{"right", "left"} {
		for i := len(nights) - 1; i >= 0; i-- {
			n := &nights[i]
			if n.In(eye) {
				out = append(out, n.lensIn(eye, facts, tonight))
			}
			if n.tells(eye) {
				break
			}
		}
	}
	return out
}

// tells reports whether a night says anything of the lens of an eye.
func (n *Night) tells(eye string) bool {
	return n.Item("insertion/"+eye) != nil || n.Item("removal/"+eye) != nil || n.Item("not-worn/"+eye) != nil
}

// TellOfLenses reports whether nights say something of the lens of each eye, so that no
// earlier one can change what [LensesIn] returns.
func TellOfLenses(nights []Night) bool {
	tells := func(eye string) bool {
		return slices.ContainsFunc(nights, func(n Night) bool { return n.tells(eye) })
	}
	return tells("right") && tells("left")
}

func (n *Night) lensIn(eye string, facts []WearFact, tonight civil.Date) LensIn {
	key := "insertion/" + eye
	l := LensIn{Eye: eye, Night: n.Date, Entry: n.Item(key).Facts[0].Entry}
	for _, s := range n.stays(key, 0) {
		if s.entry == l.Entry && s.loc != nil {
			l.On, l.At = civil.DateOf(s.insertion(n.Date).In(s.loc)), s.at.String()
		}
	}
	now, then := WearOf(facts, tonight, false, nil), WearOf(facts, n.Date, true, nil)
	for _, e := range []*EyeWear{now.Eye(eye), then.Eye(eye)} {
		l.Held = max(l.Held, e.State)
		l.Told = l.Told || slices.ContainsFunc(e.Causes, func(c Cause) bool { return c.Left == Stop && c.Kind != Cease })
	}
	return l
}

// LensesHeld returns those of the lenses that are in an eye which may have none.
func LensesHeld(in []LensIn) []LensIn {
	return slices.DeleteFunc(slices.Clone(in), func(l LensIn) bool { return l.Held < Rest })
}
