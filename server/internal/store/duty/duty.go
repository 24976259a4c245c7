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
	marked   care.WearerID // whom MarkChanged marked last
}

// New gives the part of one transaction.
func New(p *pairs.Tx, r *register.Tx) Tx { return Tx{p: p, register: r} }
