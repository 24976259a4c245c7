package store

import (
	"sync"
	"time"
)

// WriteUse says how much one write kept all others waiting.
type WriteUse struct {
	Records int           // read one by one under the lock
	Held    time.Duration // of the machine's clock, without the commit
}

// writeUse keeps the most that any write has used since it was last asked.
type writeUse struct {
	mu   sync.Mutex
	most WriteUse
}

// used notes what a write used that began at an instant.
func (db *DB) used(tx *Tx, began time.Time) {
	db.use.mu.Lock()
	defer db.use.mu.Unlock()
	db.use.most.Records = max(db.use.most.Records, tx.pairs.Reads)
	db.use.most.Held = max(db.use.most.Held, time.Since(began))
}

// LongestWrite returns the most records and the longest time of one write since
// it was last called: while one holds the lock a sore eye waits, so what is long
// is read before, in a transaction that only reads.
func (db *DB) LongestWrite() WriteUse {
	db.use.mu.Lock()
	defer db.use.mu.Unlock()
	out := db.use.most
	db.use.most = WriteUse{}
	return out
}
