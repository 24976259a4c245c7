// Package remind sends the reminders that package schedule computes.
//
// It owns the tick, and nothing about what is due: the ledger loads one
// wearer's plan and log, schedule says what is due and when to look again,
// the sender carries the message. A reminder is recorded before it is sent,
// under (wearer, key, date), so it is sent at most once however often the
// process restarts; one that has lost its use after downtime is dropped. It
// refuses to carry alerts: those are at least once, in package escalate.
//
// Invariant: a tick costs what is due. Wearers with nothing due are never
// loaded; the ledger's index, ordered by instant, holds exactly one instant
// for each wearer who has a plan.
package remind

import (
	"context"
	"errors"
	"time"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
)

// Ledger is the durable memory of reminders. Calls come from one goroutine at
// a time, except Load, which may also come from [Runner.Reconsider].
type Ledger interface {
	// Due returns at most limit wearers whose instant in the index is at or
	// before now, earliest first. It does not remove them: [Ledger.Commit] does,
	// by moving their instant on.
	Due(now time.Time, limit int) ([]care.WearerID, error)
	// Load reads everything about one wearer that decides what is due. The Now
	// of the input is filled in by the runner. A wearer who is gone or has no
	// plan gives a zero Case and no error, and leaves the index.
	Load(w care.WearerID) (Case, error)
	// Commit makes all steps durable in one transaction and returns the firings
	// that were not recorded before, step by step and in order: only those may
	// be sent. A firing that is there already is left alone.
	Commit(steps []Step) ([][]schedule.Firing, error)
	// Wait makes durable which messages have begun to wait and which no longer do.
	Wait(begin, end []Waiting) error
	// Waiting returns the messages that wait.
	Waiting() ([]Waiting, error)
}

// Case is one wearer as the ledger knows them. The zero Case has no plan.
type Case struct {
	Family care.FamilyID
	Input  schedule.Input // Plan, Loc, Log, Fired and Snoozes
}

// Step is what a tick decided about one wearer.
type Step struct {
	Wearer care.WearerID
	Fired  []schedule.Firing // to record, at the instant At
	At     time.Time
	Next   time.Time // the wearer's new instant in the index; zero: take the wearer out
}

// Sender carries a reminder to people. It should hand over quickly: the tick
// waits for it.
type Sender interface {
	// Remind sends one message to the devices of the people of a family whom
	// the reminder is for; when none of them has a device, to the family's other
	// ones. An error is counted and logged; the reminder is sent again only when
	// the error is a [Later].
	Remind(ctx context.Context, m Message) error
}

// ErrNobody is what a [Sender] answers when nobody a reminder is for has a device
// with notifications: there is nothing to mend, so it is not logged.
var ErrNobody = errors.New("nobody has a device with notifications")

// Message is one reminder as people get it: everything of one family that is
// due at the same time and for the same people.
type Message struct {
	Family care.FamilyID
	To     string // teen (the wearers themselves), parent or all
	// Words is neutral when any of the wearers' plans says so, else plain. A
	// neutral message must not name what is due.
	Words string
	Items []WearerItem // by instant, then wearer
	// Tag is the same for repeats of the same reminder, so that a device shows
	// one; it holds no name and no condition.
	Tag         string
	UsefulUntil time.Time // the latest of the items: a push need not live longer
}

// WearerItem is a due item and whose it is.
type WearerItem struct {
	Wearer care.WearerID
	schedule.Item
}
