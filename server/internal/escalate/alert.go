package escalate

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// State is where an alert stands. The empty State is an alert that has not
// been raised yet.
type State string

// The states.
const (
	Unraised     State = ""
	Open         State = "open"         // nobody has taken it
	Acknowledged State = "acknowledged" // a named person has it
	Closed       State = "closed"       // dealt with, with an outcome
)

// Alert is one finding that a person must deal with: one per wearer, rule and
// episode. Every change is in History.
type Alert struct {
	ID          care.AlertID  `json:"id"`
	Wearer      care.WearerID `json:"wearer"`
	Family      care.FamilyID `json:"family"`
	Drill       bool          `json:"drill,omitempty"` // nobody is ill: see drill.go
	Rule        string        `json:"rule"`
	RuleVersion int           `json:"rule_version"` // of the table that raised or last worsened it
	Level       Level         `json:"level"`        // only ever goes up
	Eye         string        `json:"eye"`          // right, left, both, or empty
	Entry       care.EntryID  `json:"entry"`        // the newest entry it was raised by
	State       State         `json:"state"`
	Opened      time.Time     `json:"opened"`         // first raised
	Began       time.Time     `json:"began,omitzero"` // the trouble, as reported; earliest said
	Since       time.Time     `json:"since"`          // became open last; the ladder counts from here

	// The acknowledgement in force, or before a hand-over the last one; a
	// worsening clears it.
	AckBy   care.PersonID `json:"ack_by,omitempty"`
	AckName string        `json:"ack_name,omitempty"`
	AckAt   time.Time     `json:"ack_at,omitzero"`

	// Of a red flag: the desk has phoned the family. It stops nothing.
	DeskName string    `json:"desk_name,omitempty"`
	DeskAt   time.Time `json:"desk_at,omitzero"`

	Owner     care.PersonID `json:"owner,omitempty"` // who has it, or is to take it
	OwnerName string        `json:"owner_name,omitempty"`

	ClosedBy   care.PersonID `json:"closed_by,omitempty"`
	ClosedName string        `json:"closed_name,omitempty"`
	ClosedAt   time.Time     `json:"closed_at,omitzero"`
	Outcome    string        `json:"outcome,omitempty"`
	Note       string        `json:"note,omitempty"`

	// Closings are all there were, oldest first, also before it was opened again.
	Closings []Closing `json:"closings,omitempty"`
	// Decided are the entries about which the last closing decided. What they said to
	// do at once has had its day, also while the alert is open for a later one; a
	// person who opens it again puts them before everybody again.
	Decided []care.EntryID `json:"decided,omitempty"`

	Step       int       `json:"step"`                  // steps taken, over the whole life; numbers the rows
	Rung       int       `json:"rung"`                  // 0 nobody told, 1 on duty, 2 deputy, 3 everybody
	NextStepAt time.Time `json:"next_step_at,omitzero"` // zero: nothing will happen by itself
	ShownAt    time.Time `json:"shown_at,omitzero"`     // first shown on a device since it became open
	LapsedAt   time.Time `json:"lapsed_at,omitzero"`    // nobody answered for the policy's limit
	Raised     int       `json:"raised"`                // times it was opened again
	History    []Event   `json:"history"`               // oldest first

	// What was reported in the episode, see [Alert.Repeats].
	Signs  []string       `json:"signs,omitempty"`  // each sign with its eye, sorted
	Told   []civil.Date   `json:"told,omitempty"`   // nights about which they were told
	ToldAt time.Time      `json:"told_at,omitzero"` // when the last of those was
	Newest civil.Date     `json:"newest,omitzero"`  // the latest night about which anything was said
	Recent []care.EntryID `json:"recent,omitempty"` // the last entries that said nothing new
}

// Live reports whether somebody still has to do something.
func (a *Alert) Live() bool { return a.State == Open || a.State == Acknowledged }

// Lapsed reports whether nobody answered in time and nobody has answered
// since: the console shows a red banner, and the family is told plainly to
// phone.
func (a *Alert) Lapsed() bool { return a.State == Open && !a.LapsedAt.IsZero() }

// Entries returns the entries that raised it, oldest first; of those that said nothing
// new the last.
func (a *Alert) Entries() []care.EntryID {
	out := []care.EntryID{}
	for _, e := range a.History {
		if e.Entry != "" {
			out = append(out, e.Entry)
		}
	}
	return append(out, a.Recent...)
}

// Due reports whether [StepDue] should be applied at now.
func (a *Alert) Due(now time.Time) bool { return !a.NextStepAt.IsZero() && !now.Before(a.NextStepAt) }

// Looks reports whether a step has just come due, and the ladder is about to take it.
func (a *Alert) Looks(now time.Time) bool {
	return a.Due(now) && now.Sub(a.NextStepAt) < firstWord
}

// reopenWithin is how long after closing the same red flag belongs to the same
// episode (our choice).
const reopenWithin = 24 * time.Hour

// Continues reports whether a new finding of the same wearer and rule belongs
// to this alert; otherwise it needs an alert of its own. A live alert takes
// it; a red flag closed less than 24 hours ago is opened again.
func (a *Alert) Continues(now time.Time) bool {
	return a.Live() || !a.Drill && a.State == Closed && a.Level.RedFlag() && now.Sub(a.ClosedAt) < reopenWithin
}

// Missed reports whether something that was written and came at two instants belongs to
// this alert although it is closed: it was written in the episode before whoever closed it
// could have seen it. All of a phone that was without a network belongs where it would have
// come in time.
func (a *Alert) Missed(wrote, came time.Time) bool {
	return !a.Drill && a.State == Closed && wrote.Before(a.ClosedAt) && !came.Before(a.ClosedAt) && wrote.After(a.Opened.Add(-reopenWithin))
}

// knows reports whether an entry has raised this alert before, so that
// evaluating the same entry again changes nothing.
func (a *Alert) knows(id care.EntryID) bool {
	return id != "" && slices.ContainsFunc(a.History, func(e Event) bool {
		return e.Entry == id && (e.Kind == Raised || e.Kind == Worsened)
	})
}

// bothEyes joins two statements of which eye.
func bothEyes(a, b string) string {
	switch {
	case a == b || b == "":
		return a
	case a == "":
		return b
	}
	return "both"
}

// EventKind says what happened to an alert.
type EventKind string

// The events. The words are kept in the history.
const (
	Raised      EventKind = "raised"       // a finding; the first one makes the alert
	Worsened    EventKind = "worsened"     // more signs, a worse one, or the other eye
	Improved    EventKind = "improved"     // the family reports it better; changes nothing
	Acknowledge EventKind = "acknowledged" // a person of the practice takes it
	HandOver    EventKind = "handed-over"  // to another person, who has to acknowledge
	Comment     EventKind = "comment"
	Close       EventKind = "closed"
	Call        EventKind = "called"       // the family was phoned, reached or not; ends nothing
	Reopen      EventKind = "reopened"     // a closed one, by a person of the practice
	StepDue     EventKind = "escalated"    // NextStepAt has come; too early it changes nothing
	Sent        EventKind = "sent"         // a push service or mail server took a message
	Failed      EventKind = "failed"       // a message can never be delivered
	Shown       EventKind = "shown"        // a device showed the notification
	Opened      EventKind = "opened"       // somebody opened it from the notification
	DeskPhoned  EventKind = "desk-phoned"  // the desk has phoned about a red flag; the ladder goes on
	NotCalled   EventKind = "not-called"   // taken, and nobody reached the family in time: the ladder goes on
	PassedOn    EventKind = "passed-on"    // to whoever is on duty now
	Gone        EventKind = "gone"         // whoever had it has left the practice, or may not have it any more
	FamilyTold  EventKind = "family-told"  // a message to the family's devices went out, or could not
	FamilyShown EventKind = "family-shown" // a device of the family showed it
	Cleared     EventKind = "cleared"      // a review cleared an eye of the disease that a closing named
)

// Kinds returns every kind of event.
func Kinds() []EventKind {
	return []EventKind{Raised, Worsened, Improved, Acknowledge, HandOver, Comment, Close, Call, Reopen, StepDue, Sent, Failed, Shown, Opened,
		DeskPhoned, NotCalled, PassedOn, Gone, FamilyTold, FamilyShown, Cleared}
}

// Event is one thing that happened. Which fields are read depends on its kind.
type Event struct {
	Kind EventKind `json:"kind"`
	At   time.Time `json:"at"` // set by Apply

	By   care.PersonID `json:"by,omitempty"` // who; empty for the program itself
	Name string        `json:"name,omitempty"`
	Role care.Role     `json:"role,omitempty"`

	Text    string        `json:"text,omitempty"`    // comment, note, or how far a step went
	To      care.PersonID `json:"to,omitempty"`      // hand-over
	ToName  string        `json:"to_name,omitempty"` // hand-over
	Outcome string        `json:"outcome,omitempty"` // close
	Result  string        `json:"result,omitempty"`  // call: reached, not-reached or left-word

	// Of a close: what it decides about wear, where the wearer was sent, and what
	// was written to the family with it.
	Decision Decision       `json:"decision,omitempty"`
	Where    string         `json:"where,omitempty"`
	Said     []care.EntryID `json:"said,omitempty"`
	Request  string         `json:"request,omitempty"` // of a close: by what the same one is known that comes twice

	// A finding: raised and worsened.
	Level       Level        `json:"level,omitempty"`
	Eye         string       `json:"eye,omitempty"`
	Entry       care.EntryID `json:"entry,omitempty"`
	Began       time.Time    `json:"began,omitzero"`
	Rule        string       `json:"rule,omitempty"` // what was found; absent in files of before it was kept
	RuleVersion int          `json:"rule_version,omitempty"`

	// The same said again, with nothing new.
	Times int       `json:"times,omitempty"`
	Last  time.Time `json:"last,omitzero"`
}

// EffectKind says what the caller has to do in the same transaction.
type EffectKind string

// The effects.
const (
	Deliver EffectKind = "deliver" // put a row in the outbox
	Cancel  EffectKind = "cancel"  // take the alert's waiting rows out; comes before any Deliver
	Family  EffectKind = "family"  // tell the family's devices
)

// Effect is something to do in the transaction that stores the alert.
type Effect struct {
	Kind     EffectKind
	Delivery Delivery // of a Deliver; of a Family its step and kind
}

// Rows returns the outbox rows of the Deliver effects.
func Rows(a care.AlertID, effects []Effect, now time.Time) []Row {
	var out []Row
	for _, e := range effects {
		if e.Kind == Deliver {
			out = append(out, Row{Delivery: e.Delivery, Alert: a, Created: now, Due: now})
		}
	}
	return out
}
