package store

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/duty"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Tx is one transaction with one time. Its parts are the rooms of the store. It
// must not leave the function it was given to.
type Tx struct {
	*pairs.Clock
	kv       kv.Tx
	pairs    *pairs.Tx
	audit    audit.Tx
	register register.Tx
	access   register.Access
	chart    register.Chart
	duty     duty.Tx
	log      log.Tx
	archive  archive.Tx
}

func (db *DB) tx(k kv.Tx) *Tx {
	now := db.now().UTC().Truncate(time.Millisecond)
	return newTx(k, pairs.New(k, &db.memory, now))
}

// bare is a transaction without what an open store remembers; plain says that
// values have no content sum.
func bare(k kv.Tx, now time.Time, plain bool) *Tx { return newTx(k, pairs.Bare(k, now, plain)) }

func newTx(k kv.Tx, p *pairs.Tx) *Tx {
	tx := &Tx{Clock: p.Clock, kv: k, pairs: p, audit: audit.New(p)}
	tx.register, tx.access, tx.chart = register.New(p)
	tx.duty = duty.New(p, &tx.register)
	tx.log = log.New(p, &tx.register, &tx.access, &tx.duty, &tx.audit)
	tx.archive = archive.New(p, &tx.register, &tx.access, &tx.chart, &tx.duty, &tx.log, &tx.audit)
	return tx
}

// Log is the part about what families wrote.
func (tx *Tx) Log() *log.Tx { return &tx.log }

// Register is the part about families, people, wearers, devices and the practice.
func (tx *Tx) Register() *register.Tx { return &tx.register }

// Access is the part about what lets somebody in, or reaches them.
func (tx *Tx) Access() *register.Access { return &tx.access }

// Chart is the part about what the practitioner wrote of a wearer.
func (tx *Tx) Chart() *register.Chart { return &tx.chart }

// Duty is the part about alerts, messages and reminders.
func (tx *Tx) Duty() *duty.Tx { return &tx.duty }

// Archive is the part about whole records.
func (tx *Tx) Archive() *archive.Tx { return &tx.archive }

// Audit is the part about who did what.
func (tx *Tx) Audit() *audit.Tx { return &tx.audit }

// Try runs f, which only reads: what it cannot read, a damaged part of the file,
// ends f alone and is set aside. Lists read each of their lines so.
func (tx *Tx) Try(f func() error) error { return tx.pairs.Try(f) }

// Lists looks whether the list of buckets can be read, and with it the small ones that
// stand in it.
func (tx *Tx) Lists() error { return tx.Try(func() error { tx.kv.Buckets(); return nil }) }

// Serial names the state of the file this transaction sees, within this opening
// of it; 0 in a write transaction, whose state may never come to be.
func (tx *Tx) Serial() int { return tx.pairs.Serial() }

// Unchanged reports whether nothing about a wearer has changed since a state
// named by [Tx.Serial]: the log, plan, visits, alerts, follow-ups, the family
// and its devices, and the staff. It is false for a serial of 0.
func (tx *Tx) Unchanged(since int, w care.WearerID, f care.FamilyID) bool {
	return tx.pairs.Unchanged(since, w, f)
}
