// Package duty keeps what somebody must be told of: alerts, the outbox of
// messages, and when each wearer's reminders are due.
package duty

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Tx is the part of a transaction about alerts, messages and reminders.
type Tx struct {
	p        *pairs.Tx
	register *register.Tx
	marked   marked
}

// marked is whom MarkChanged marked last, and what had been written by then to the
// index of reminders.
type marked struct {
	wearer care.WearerID
	writes int
}

// New gives the part of one transaction.
func New(p *pairs.Tx, r *register.Tx) Tx { return Tx{p: p, register: r} }
