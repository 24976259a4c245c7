package escalate

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/server/internal/care"
)

// Channel is a way to reach a person.
type Channel string

// The channels.
const (
	Push Channel = "push" // every device of the person, or the one device of a row
	Mail Channel = "mail" // the person's mail address
)

// Channels are all there are. The ladder sends over no other, and each has its
// courier: a message that nobody can carry is an alert that nobody hears.
func Channels() []Channel { return []Channel{Push, Mail} }

// Kind says what a message is for; it is the kind of the push payload too.
type Kind string

// The kinds of message.
const (
	KindAlert    Kind = "alert"    // somebody must acknowledge
	KindReminder Kind = "reminder" // acknowledged, but still not closed
	KindCanary   Kind = "canary"   // daily proof that a device still shows messages
	KindWord     Kind = "word"     // to a family's device: the practice has written
	KindLapsed   Kind = "lapsed"   // by mail: nobody acknowledged for the policy's limit
	KindStop     Kind = "stop"     // to a family's other devices: what one of them wrote stops a lens
	KindTaken    Kind = "taken"    // to a family's devices: somebody of the practice has it
	KindSilence  Kind = "silence"  // to a family's devices: nobody has answered, they are to phone
	KindClosed   Kind = "closed"   // to a family's devices: it was decided on
	KindDevice   Kind = "device"   // to a family's other devices: one more reads their log
	KindRota     Kind = "rota"     // by mail: nobody is on duty for a time soon
	KindRehearse Kind = "rehearse" // by mail: no backup was tried for a quarter
	KindStaff    Kind = "staff"    // by mail: somebody may come to read wearers
	KindSummary  Kind = "summary"  // by mail: several that waited while no mail could be sent
)

// OfFamily reports whether a message is for a family's devices.
func (k Kind) OfFamily() bool {
	return slices.Contains([]Kind{KindWord, KindStop, KindTaken, KindSilence, KindClosed, KindDevice}, k)
}

// PracticeOwner is the target that stands for the practice's owner address;
// it is not a person's id.
const PracticeOwner care.PersonID = "practice-owner"

// Delivery is one message that one step of an alert sends to one person over
// one channel.
type Delivery struct {
	Step    int           `json:"step"` // counts up over the alert's life, never reused
	Channel Channel       `json:"channel"`
	Target  care.PersonID `json:"target"` // a person, or [PracticeOwner]
	Kind    Kind          `json:"kind"`
	Level   Level         `json:"level"`
	Drill   bool          `json:"drill,omitempty"`
}

// Row is one delivery waiting in the outbox. It is written in the transaction
// that changes its alert, so there is no alert without its messages.
type Row struct {
	Delivery
	Alert      care.AlertID  `json:"alert"`            // "canary-YYYY-MM-DD" for a canary, "rota-YYYY-MM-DD" for a notice
	Device     care.DeviceID `json:"device,omitempty"` // only this device: a canary, or one that others went ahead of
	Created    time.Time     `json:"created"`
	Due        time.Time     `json:"due"`                  // not before; moves on every retry
	LeaseUntil time.Time     `json:"lease_until,omitzero"` // zero: nobody is sending it
	Attempt    int           `json:"attempt"`              // leases so far
	StandsFor  int           `json:"stands_for,omitempty"` // older mails that this one takes the place of
	Last       string        `json:"last,omitempty"`       // what the last attempt ended with, for the log
}

// Key returns the row's key: alert, step, channel and target, so the same step
// planned twice is one row. The parts contain no zero byte.
func (r *Row) Key() string {
	target := string(r.Target)
	if r.Device != "" {
		target = string(r.Device)
	}
	return strings.Join([]string{string(r.Alert), strconv.Itoa(r.Step), string(r.Channel), target}, "\x00")
}

// Ready reports whether the row may be leased at now: due, and not leased or
// with a lease that has run out because its worker died.
func (r *Row) Ready(now time.Time) bool {
	return !now.Before(r.Due) && !now.Before(r.LeaseUntil)
}

// firstWord is how long a message that nobody has tried yet counts as on its way; our
// own choice: the worker looks every few seconds, and one that does not is news.
const firstWord = time.Minute

// OnTheWay reports whether a message to the practice has still to be tried, or is being
// tried, for the first time: until then nobody can say that no way leads to anybody.
func (r *Row) OnTheWay(now time.Time) bool {
	return !r.Kind.OfFamily() && r.Last == "" && (now.Before(r.LeaseUntil) || now.Sub(r.Created) < firstWord)
}

// Outbox is where rows wait; package store implements it. Every method is one
// durable transaction. Putting rows is not part of it: that happens inside the
// transaction that changes the alert.
type Outbox interface {
	// Lease returns at most n rows that are [Row.Ready] at now, earliest due
	// first, emergencies before the rest, with LeaseUntil set to now plus lease
	// and Attempt one higher.
	Lease(now time.Time, n int, lease time.Duration) ([]Row, error)
	// Done removes the row: a push service or mail server has taken it. A row
	// that is gone already is no error. The result belongs in the alert's
	// history. left are the rows of devices that have not taken it, put in its
	// place; of a row that is gone nothing is left.
	Done(r Row, now time.Time, note string, left ...Row) error
	// Retry keeps the row, free of its lease, due at at. A row that was
	// cancelled meanwhile stays gone; that is no error.
	Retry(r Row, at time.Time, note string) error
	// Drop removes a row that can never be delivered. A row that is gone
	// already is no error.
	Drop(r Row, now time.Time, note string) error
}

// Verdict says what became of one attempt.
type Verdict int

// The verdicts. The zero Verdict is TryAgain, so a forgotten answer is never
// taken for a delivery.
const (
	TryAgain   Verdict = iota // not delivered, may work later
	HandedOver                // taken by the push service or mail server; not yet shown to anybody
	Impossible                // can never work: no device, no address
)

// Result is what a [Deliverer] answers.
type Result struct {
	Verdict Verdict
	After   time.Duration // for TryAgain: not sooner than this; 0 leaves it to the worker
	Note    string        // for the history and the log; no names, no addresses
	// Left are, after HandedOver, devices of the person that did not take it and
	// may yet: each is tried on its own, because every device is to show it.
	Left []Left
}

// Left is a device to try again, not sooner than After from now.
type Left struct {
	Device care.DeviceID
	After  time.Duration
}

// Deliverer sends one row; package app implements it over push and mail. It
// must return within the context's deadline and may be called twice for the
// same row.
type Deliverer interface {
	Deliver(ctx context.Context, r Row) Result
}
