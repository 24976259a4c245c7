package escalate

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/care"
)

// NotReached is the outcome that is a call attempt and not an ending, for a red
// flag.
const NotReached = "not-reached"

// Closing is the record of one closing. It is never changed, and stays when the
// alert is opened again.
type Closing struct {
	At       time.Time      `json:"at"`
	By       care.PersonID  `json:"by"`
	Name     string         `json:"name"`
	Outcome  string         `json:"outcome"`
	Note     string         `json:"note,omitempty"`
	Decision Decision       `json:"decision,omitempty"` // about wear; empty for closings of before there was one
	Where    string         `json:"where,omitempty"`    // of sent-on
	Said     []care.EntryID `json:"said,omitempty"`     // what was written to the family with it
}

// Waits returns for each closing how long the alert had stood until somebody took
// it: from when it was raised or opened again to the first acknowledgement after
// that, and at the latest to the closing.
func (a *Alert) Waits() []time.Duration {
	var out []time.Duration
	open, taken, closed := a.Opened, time.Time{}, false
	for _, e := range a.History {
		switch e.Kind {
		case Raised, Worsened, Reopen:
			if closed {
				open, taken, closed = e.At, time.Time{}, false
			}
		case Acknowledge:
			if taken.IsZero() {
				taken = e.At
			}
		case Close:
			if taken.IsZero() {
				taken = e.At
			}
			out, closed = append(out, taken.Sub(open)), true
		}
	}
	return out
}

// Decision is what a closing decides about wear.
type Decision string

// The decisions.
const (
	Resumed  Decision = "resume"  // lenses again, from a date
	Stays    Decision = "stays"   // no lens until the visit or the date of review
	SentOn   Decision = "sent-on" // the same, and where the wearer was sent
	NoneMade Decision = "none"    // no wear decision needed
)

// Decisions returns every decision.
func Decisions() []Decision { return []Decision{Resumed, Stays, SentOn, NoneMade} }

// Results of a call, in the order the console offers them.
var callResults = []string{"reached", "not-reached", "left-word"}

// call notes an attempt to phone the family. It ends nothing: the ladder goes
// on.
func (r Rules) call(a Alert, e Event) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	e.Text = strings.TrimSpace(e.Text)
	switch {
	case a.State == Closed:
		return a, nil, r.alreadyClosed(a)
	case !slices.Contains(callResults, e.Result):
		return a, nil, care.Refuse("bad-result", "result", "result %q: want one of %s", e.Result, strings.Join(callResults, ", "))
	case utf8.RuneCountInString(e.Text) > maxText:
		return a, nil, care.Refuse("bad-text", "text", "want at most %d characters", maxText)
	}
	a = a.with(e)
	if a.State == Acknowledged && a.Level.RedFlag() && a.reached() {
		a.NextStepAt = e.At.Add(minutes(r.policy().StillOpen))
	}
	return a, nil, nil
}

// openAgain opens a closed alert because a person of the practice says so. What
// it was closed with stays on record.
func (r Rules) openAgain(a Alert, e Event, now time.Time) (Alert, []Effect, error) {
	if err := ofPractice(e); err != nil {
		return a, nil, err
	}
	e.Text = strings.TrimSpace(e.Text)
	switch {
	case a.State != Closed:
		return a, nil, care.Errorf(care.Conflict, "not-closed", "this alert is open already")
	case e.Text == "" || utf8.RuneCountInString(e.Text) > maxText:
		return a, nil, care.Refuse("bad-text", "text", "want why it is opened again, in 1 to %d characters", maxText)
	}
	a.Decided = nil
	next, effects := r.reopen(a.with(e), now)
	return next, effects, nil
}

// entries returns the entries that an alert knows of, each once, oldest first; of
// those that said nothing new the last.
func (a *Alert) entries() []care.EntryID {
	var out []care.EntryID
	for _, e := range a.History {
		if e.Entry != "" && !slices.Contains(out, e.Entry) {
			out = append(out, e.Entry)
		}
	}
	for _, id := range slices.Concat(a.Recent, a.Decided) {
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// Carried returns a live alert as it goes on in a file that was put back: taken by
// somebody who is not there any more it is open again, and an open one takes its next
// step at once, for nobody knows what of it went out.
func (a Alert) Carried(ownerThere bool, now time.Time) Alert {
	if a.State == Acknowledged && !ownerThere {
		a.State, a.Owner, a.OwnerName, a.Since = Open, "", "", now
	}
	if a.State == Open {
		a.NextStepAt = now
	}
	return a
}
