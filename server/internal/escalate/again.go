package escalate

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Limits of what an alert remembers of reports that said nothing new. Without
// them its record, which every report writes anew, would grow with each.
const (
	maxTold   = 32 // nights about which the same signs ring between two decisions
	maxRecent = 50 // entries that said it again, so that a phone finds its own
)

// Said is what one finding says, to be held against what an alert knows.
type Said struct {
	Entry care.EntryID
	Night civil.Date
	Level Level
	Eye   string
	Began time.Time // of the trouble; zero when not said
	Signs []string  // each with its eye, in any order
	Blind bool      // it could not be read: it may say anything
}

// New reports whether a finding says more than the alert knows: a sign or another
// eye not named before, or a worse level. Which eye it is, said after the sign, is
// noted and rings nobody again. What could not be read may say more than whatever the
// clinic decided on.
func (a *Alert) New(s Said) bool {
	return a.newSign(s) || s.Blind && a.told() == nil || s.Level.Worse(a.Level) || a.Eye != "" && bothEyes(a.Eye, s.Eye) != a.Eye
}

func (a *Alert) newSign(s Said) bool {
	return slices.ContainsFunc(s.Signs, func(sign string) bool { return !slices.Contains(a.Signs, sign) })
}

// NewNight reports whether a finding is a red flag of a later night than any that
// the alert knows of. Whoever took the alert decided on the nights before.
func (a *Alert) NewNight(s Said) bool { return s.Level.RedFlag() && s.Night.After(a.Newest) }

// Repeats reports whether a finding says what was said before about the same
// night, and the clinic has decided nothing since: then nobody is rung again.
// After so many nights without a decision another night is nothing new either.
func (a *Alert) Repeats(s Said) bool {
	told := a.told()
	return a.Live() && !a.New(s) && (slices.Contains(told, s.Night) || len(told) >= maxTold)
}

// told returns the nights about which the signs were told since the clinic last
// decided.
func (a *Alert) told() []civil.Date {
	if at := a.decided(); !at.IsZero() && !a.ToldAt.After(at) {
		return nil
	}
	return a.Told
}

// decided returns when somebody of the practice last took, passed on or closed
// the alert; zero if nobody has.
func (a *Alert) decided() time.Time {
	for _, e := range slices.Backward(a.History) {
		if e.Kind == Acknowledge || e.Kind == HandOver || e.Kind == Close {
			return e.At
		}
	}
	return time.Time{}
}

// Learn notes what a finding says that is about to be raised at now.
func (a *Alert) Learn(s Said, now time.Time) {
	signs := slices.Concat(a.Signs, s.Signs)
	slices.Sort(signs)
	a.Signs = slices.Compact(signs)
	a.Told, a.ToldAt = append(slices.Clone(a.told()), s.Night), now
	if s.Night.After(a.Newest) {
		a.Newest = s.Night
	}
}

// Again returns the alert after a finding that [Alert.Repeats]. It is counted on
// the event that said it last, so that it costs the same however often it is
// said.
func (a Alert) Again(s Said, now time.Time) Alert {
	a = a.merge(Event{Entry: s.Entry, Began: s.Began, Eye: s.Eye})
	return a.count(s.Entry, now, func(e Event) bool { return e.Kind == Raised || e.Kind == Worsened })
}

// ImprovedBefore reports whether the family has said that it is better since it
// was last worse and since the clinic last decided; saying so again is counted
// by [Alert.ImprovedAgain] only.
func (a *Alert) ImprovedBefore() bool {
	for _, e := range slices.Backward(a.History) {
		switch e.Kind {
		case Improved:
			return true
		case Raised, Worsened, Acknowledge, HandOver, Close:
			return false
		}
	}
	return false
}

// ImprovedAgain returns the alert after another report without signs.
func (a Alert) ImprovedAgain(entry care.EntryID, now time.Time) Alert {
	return a.count(entry, now, func(e Event) bool { return e.Kind == Improved })
}

// count notes an entry on the last event of a kind.
func (a Alert) count(entry care.EntryID, now time.Time, kind func(Event) bool) Alert {
	a.History = slices.Clone(a.History)
	for i := len(a.History) - 1; i >= 0; i-- {
		if e := &a.History[i]; kind(*e) {
			e.Times, e.Last = e.Times+1, now
			break
		}
	}
	a.Recent = append(slices.Clone(a.Recent), entry)
	a.Recent = a.Recent[max(0, len(a.Recent)-maxRecent):]
	return a
}
