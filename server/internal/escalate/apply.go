package escalate

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/care"
)

// maxText is the longest comment or note, in characters.
const maxText = 2000

// Rules is everything an alert's life depends on, besides the alert.
type Rules struct {
	Policy   Policy
	Rota     Rota
	Contacts care.Contacts // for the clinic's hours, which routine alerts wait for
	Outcomes []string      // keys an alert may be closed with
	// Names returns a person's name; nil: none is known.
	Names func(care.PersonID) string
}

// Apply returns the alert after an event at now, and what to do in the same
// transaction. The given alert is not changed. Errors are [care.Error] and
// leave everything as it was: Conflict when somebody was first or the state
// forbids it, Forbidden for a person who is not of the practice, Invalid for a
// bad outcome or text.
func (r Rules) Apply(a Alert, e Event, now time.Time) (Alert, []Effect, error) {
	e.At = now
	if a.State == Unraised && e.Kind != Raised {
		return a, nil, care.Errorf(care.NotFound, "no-alert", "there is no such alert")
	}
	switch e.Kind {
	case Raised, Worsened:
		next, effects := r.raise(a, e, now)
		return next, effects, nil
	case Acknowledge:
		return r.acknowledge(a, e, now)
	case HandOver:
		return r.handOver(a, e, now)
	case Comment:
		return comment(a, e)
	case Close:
		return r.close(a, e, now)
	case Call:
		return r.call(a, e)
	case Reopen:
		return r.openAgain(a, e, now)
	case StepDue:
		next, effects := r.due(a, now)
		return next, effects, nil
	case Gone:
		next, effects := r.gone(a, e, now)
		return next, effects, nil
	case DeskPhoned, NotCalled, PassedOn:
		return a, nil, nil // these follow from others, see duty.go
	case Improved, Sent, Opened, FamilyTold, FamilyShown, Cleared:
		return a.with(e), nil, nil
	case Failed:
		return failed(a, e, now), nil, nil
	case Shown:
		return r.shown(a, e, now), nil, nil
	}
	return a, nil, care.Refuse("unknown-event", "kind", "event %q: want one of %v", e.Kind, Kinds())
}

// with returns the alert with an event appended to a history of its own.
func (a Alert) with(e Event) Alert {
	a.History = append(slices.Clone(a.History), e)
	return a
}

// raise takes a finding: the first one, the same again, or a worse one.
func (r Rules) raise(a Alert, e Event, now time.Time) (Alert, []Effect) {
	if a.State == Unraised {
		return r.first(a, e, now)
	}
	higher := e.Level != "" && e.Level.Worse(a.Level)
	otherEye := bothEyes(a.Eye, e.Eye) != a.Eye
	if a.knows(e.Entry) && !higher {
		if otherEye && a.Live() { // the same report, about the other eye as well
			a = a.merge(e).with(e)
		}
		return a, nil
	}
	worse := e.Kind == Worsened || higher || otherEye
	if worse {
		e.Kind = Worsened
	}
	wasRed := a.Level.RedFlag()
	a = a.merge(e)
	switch {
	case a.State == Closed, worse && a.State == Acknowledged:
		a = a.with(e)
		return r.reopen(a, now)
	case worse:
		a = a.with(e)
		a.Raised++
		if !wasRed && a.Level.RedFlag() {
			a.Since, a.Rung, a.ShownAt = now, 0, time.Time{}
		}
		return r.step(a, now)
	case a.State == Acknowledged && a.Level.RedFlag():
		// Said again and no worse: whoever has it should know.
		a = a.with(e)
		a.Step++
		return a, []Effect{a.deliver(Push, a.Owner, KindAlert)}
	}
	return a.with(e), nil
}

// first turns a new alert's fields and its first finding into an open alert.
func (r Rules) first(a Alert, e Event, now time.Time) (Alert, []Effect) {
	e.Kind = Raised
	a = a.merge(e)
	a.State, a.Opened, a.Since = Open, now, now
	return r.step(a.with(e), now)
}

// merge takes over what a finding says. The level never goes down, and the
// trouble began at the earliest time anybody said.
func (a Alert) merge(e Event) Alert {
	if e.Level != "" && (a.Level == "" || e.Level.Worse(a.Level)) {
		a.Level = e.Level
	}
	a.Eye = bothEyes(a.Eye, e.Eye)
	if e.Entry != "" {
		a.Entry = e.Entry
	}
	if e.RuleVersion != 0 {
		a.RuleVersion = e.RuleVersion
	}
	if !e.Began.IsZero() && (a.Began.IsZero() || e.Began.Before(a.Began)) {
		a.Began = e.Began
	}
	return a
}

// reopen undoes acknowledgement and closing and starts the ladder anew.
// Whoever had it stays the owner, to be told beside the person on duty.
func (r Rules) reopen(a Alert, now time.Time) (Alert, []Effect) {
	a.Raised++
	a.State, a.Since, a.Rung = Open, now, 0
	a.AckBy, a.AckName, a.AckAt = "", "", time.Time{}
	a.ClosedBy, a.ClosedName, a.ClosedAt, a.Outcome, a.Note = "", "", time.Time{}, "", ""
	a.ShownAt, a.LapsedAt = time.Time{}, time.Time{}
	a.DeskName, a.DeskAt = "", time.Time{}
	return r.step(a, now)
}

func (r Rules) acknowledge(a Alert, e Event, now time.Time) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	switch {
	case a.State == Closed:
		return a, nil, r.alreadyClosed(a)
	case a.State == Acknowledged && a.AckBy == e.By, a.State == Open && a.DeskName != "" && a.DeskName == e.Name:
		return a, nil, nil // the same tap twice
	case a.State == Acknowledged:
		return a, nil, care.Errorf(care.Conflict, "already-acknowledged", "already acknowledged by %s at %s", a.AckName, r.Rota.clock(a.AckAt))
	}
	if a.Level.RedFlag() && e.Role != care.Clinician {
		e.Kind = DeskPhoned
		a = a.with(e)
		a.DeskName, a.DeskAt = e.Name, now
		return a, nil, nil
	}
	a = a.with(e)
	a.State, a.AckBy, a.AckName, a.AckAt = Acknowledged, e.By, e.Name, now
	a.Owner, a.OwnerName, a.NextStepAt = e.By, e.Name, time.Time{}
	if !a.Level.RedFlag() {
		return a, []Effect{{Kind: Cancel}}, nil
	}
	a.NextStepAt = now.Add(calledWithin)
	if a.reached() {
		a.NextStepAt = now.Add(minutes(r.policy().StillOpen))
	}
	a.Step++
	if a.Drill {
		a = a.end(e, DrillAnswered)
	}
	return a, []Effect{{Kind: Cancel}, a.family(KindTaken)}, nil
}

// handOver makes another person the owner. An acknowledgement does not pass
// on: the alert is open until the other person, or anybody, acknowledges. A
// ladder that is running goes on where it was.
func (r Rules) handOver(a Alert, e Event, now time.Time) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	switch {
	case a.State == Closed:
		return a, nil, r.alreadyClosed(a)
	case e.To == "":
		return a, nil, care.Refuse("no-person", "to", "want the person to hand over to")
	case e.To == e.By || a.State == Acknowledged && e.To == a.AckBy:
		return a, nil, care.Refuse("same-person", "to", "want another person: %s has it already", e.ToName)
	}
	a = a.with(e)
	a.Owner, a.OwnerName = e.To, e.ToName
	if a.State == Acknowledged {
		a.State, a.Since, a.Rung, a.ShownAt, a.LapsedAt = Open, now, 0, time.Time{}, time.Time{}
		if a.Level.RedFlag() {
			next, effects := r.step(a, now)
			return next, effects, nil
		}
		a.NextStepAt = r.nextRoutine(a, now)
	}
	a.Step++
	return a, []Effect{a.deliver(Push, a.Owner, KindAlert), a.deliver(Mail, a.Owner, KindAlert)}, nil
}

func comment(a Alert, e Event) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	if e.Text = strings.TrimSpace(e.Text); e.Text == "" || utf8.RuneCountInString(e.Text) > maxText {
		return a, nil, care.Refuse("bad-text", "text", "want a comment of 1 to %d characters", maxText)
	}
	return a.with(e), nil, nil
}

// close ends an alert. An emergency, and the outcome "other", need a note.
func (r Rules) close(a Alert, e Event, now time.Time) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	e.Text = strings.TrimSpace(e.Text)
	switch {
	case a.State == Closed && a.ClosedBy == e.By && a.Outcome == e.Outcome && a.closedBy() == e.Request:
		return a, nil, nil // the same tap twice
	case a.State == Closed:
		return a, nil, r.alreadyClosed(a)
	case !slices.Contains(r.Outcomes, e.Outcome):
		return a, nil, care.Refuse("bad-outcome", "outcome", "outcome %q: want one of %s", e.Outcome, strings.Join(r.Outcomes, ", "))
	case e.Outcome == NotReached && a.Level.RedFlag():
		return a, nil, care.Refuse("not-an-ending", "outcome", "a family that could not be reached is a call to be tried again: log the call, and the ladder goes on")
	case utf8.RuneCountInString(e.Text) > maxText:
		return a, nil, care.Refuse("bad-text", "note", "want a note of at most %d characters", maxText)
	case e.Text == "" && (a.Level == Emergency || e.Outcome == "other"):
		return a, nil, care.Refuse("no-note", "note", "want a note: what was done")
	}
	a = a.with(e)
	a.State, a.ClosedBy, a.ClosedName, a.ClosedAt = Closed, e.By, e.Name, now
	a.Outcome, a.Note, a.NextStepAt = e.Outcome, e.Text, time.Time{}
	a.Decided = a.entries()
	a.Closings = append(slices.Clone(a.Closings), Closing{now, e.By, e.Name, e.Outcome, e.Text, e.Decision, e.Where, e.Said})
	if a.AckBy == "" {
		a.AckBy, a.AckName, a.AckAt = e.By, e.Name, now
	}
	effects := []Effect{{Kind: Cancel}}
	if a.Level.RedFlag() && len(e.Said) == 0 { // else the practice's own words go out
		a.Step++
		effects = append(effects, a.family(KindClosed))
	}
	return a, effects, nil
}

// closedBy is what the last closing was asked for by.
func (a *Alert) closedBy() string {
	for _, e := range slices.Backward(a.History) {
		if e.Kind == Close {
			return e.Request
		}
	}
	return ""
}

func (r Rules) alreadyClosed(a Alert) error {
	return care.Errorf(care.Conflict, "already-closed", "already closed by %s at %s", a.ClosedName, r.Rota.clock(a.ClosedAt))
}

func ofPractice(e Event) error {
	if e.By == "" || !e.Role.Staff() {
		return care.Errorf(care.Forbidden, "not-of-practice", "only a person of the practice may do this")
	}
	return nil
}

// shown notes that a device showed the alert. While only the person on duty
// has been told, it gives that person the rest of the first interval; a
// receipt of anybody but the owner does not.
func (r Rules) shown(a Alert, e Event, now time.Time) Alert {
	a = a.with(e)
	if a.State != Open || a.Owner != "" && e.By != a.Owner || !a.ShownAt.IsZero() {
		return a
	}
	a.ShownAt = now
	if at := a.Since.Add(minutes(r.policy().Deputy)); a.Level.RedFlag() && a.Rung == 1 && at.After(a.NextStepAt) {
		a.NextStepAt = at
	}
	return a
}

// failed notes a message that can never arrive. While only the person on duty
// has been told there is nothing to wait for.
func failed(a Alert, e Event, now time.Time) Alert {
	a = a.with(e)
	if a.State == Acknowledged && a.Level.RedFlag() && e.To == a.Owner && !a.reached() && now.Before(a.NextStepAt) {
		a.NextStepAt = now // whoever has it does not hear of what is said again
	}
	if a.State == Open && a.Level.RedFlag() && a.Rung == 1 && a.ShownAt.IsZero() && now.Before(a.NextStepAt) {
		a.NextStepAt = now
	}
	return a
}
