// Package pairs is the base of the store's rooms: keys and values of named buckets
// with content sums and digests, tables and indices over them, what is remembered
// between transactions, and what could not be read.
package pairs

import (
	"time"

	"nightkeep/server/internal/kv"
)

// Memory is what an open store remembers between transactions.
type Memory struct {
	stamps     stamps
	caches     caches
	Quarantine Quarantine
}

// Tx is one transaction on pairs.
type Tx struct {
	kv    kv.Tx
	plain bool // values have no content sum: a layout before 6

	stamps     *stamps     // nil: nobody keeps lists
	caches     *caches     // nil: nothing is kept
	quarantine *Quarantine // nil: nobody asks
	// Reads counts the records that were read one by one.
	Reads   int
	changes []change // of each bucket
	*Clock
}

// Clock is the one time of a transaction, shared by its parts.
type Clock struct {
	// Now is the server's time of this transaction, UTC, whole milliseconds.
	Now time.Time
}

// New gives a transaction of an open store.
func New(k kv.Tx, m *Memory, now time.Time) *Tx {
	return &Tx{kv: k, stamps: &m.stamps, caches: &m.caches, quarantine: &m.Quarantine, Clock: &Clock{now}}
}

// Bare gives a transaction that remembers nothing; plain says that values have no
// content sum, as before layout 6.
func Bare(k kv.Tx, now time.Time, plain bool) *Tx {
	return &Tx{kv: k, plain: plain, Clock: &Clock{now}}
}
