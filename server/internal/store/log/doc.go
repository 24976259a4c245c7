// Package log keeps what families wrote: the entries in their order, what was
// received of each device, and of every night which entries are about it.
package log

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/duty"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Tx is the part of a transaction about the log.
type Tx struct {
	p        *pairs.Tx
	register *register.Tx
	access   *register.Access
	duty     *duty.Tx
	audit    *audit.Tx

	// What appends in this transaction left to do, see Flush.
	dirty map[nightID]*added
	head  head // of the log appended to last
	ties  ties // of the family looked at last
	// baseline holds the signs of nights before they changed, see SetBaseline.
	baseline map[nightID][]byte
}

// New gives the part of one transaction. Whoever wrote with it calls [Tx.Flush]
// at the end.
func New(p *pairs.Tx, r *register.Tx, a *register.Access, d *duty.Tx, u *audit.Tx) Tx {
	return Tx{p: p, register: r, access: a, duty: d, audit: u}
}

// ties says whether any entry of a family refers to another.
type ties struct {
	family care.FamilyID
	writes int // to the references when this was read
	any    bool
}
