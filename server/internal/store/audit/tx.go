// Package audit keeps who did what, in lines of which each holds the hash of the
// one before.
package audit

import "nightkeep/server/internal/store/pairs"

// Tx is the part of a transaction about the audit log.
type Tx struct{ p *pairs.Tx }

// New gives the part of one transaction.
func New(p *pairs.Tx) Tx { return Tx{p} }
