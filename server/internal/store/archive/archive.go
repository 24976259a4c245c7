// Package archive does what concerns everything that is kept of a family or of the
// whole file: check, export, erasure, and the parting of a shared record.
package archive

import (
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/duty"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Tx is the part of a transaction about whole records.
type Tx struct {
	p        *pairs.Tx
	register *register.Tx
	access   *register.Access
	chart    *register.Chart
	duty     *duty.Tx
	log      *log.Tx
	audit    *audit.Tx
}

// New gives the part of one transaction.
func New(p *pairs.Tx, r *register.Tx, a *register.Access, c *register.Chart, d *duty.Tx, l *log.Tx, u *audit.Tx) Tx {
	return Tx{p, r, a, c, d, l, u}
}
