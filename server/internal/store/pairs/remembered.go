package pairs

import (
	"bytes"
	"encoding/json"

	"nightkeep/server/internal/care"
)

// What is remembered of stored pairs goes by one rule: the write of a pair, in
// [Tx.Add] or [Tx.Delete], through which all go, ends what is remembered of it.
// Nobody else forgets anything by hand.
//
//   - What bytes decode to is kept by those bytes ([Table.Cached]): other bytes are
//     another question.
//   - What a transaction has worked out from a bucket holds as long as [Tx.Writes]
//     of it says the same.
//   - What the lists of the practice show holds as long as [Tx.Unchanged].
//   - A record is quarantined until it is written.

// Writes counts what this transaction has written to buckets so far. Whoever
// keeps something that was read from them keeps the count beside it.
func (tx *Tx) Writes(buckets ...string) (n int) {
	for _, b := range buckets {
		for i := range tx.changes {
			if tx.changes[i].bucket == b {
				n += tx.changes[i].writes
			}
		}
	}
	return n
}

// forget ends what is remembered of a pair that is being written; v is nil when it
// is taken out.
func (tx *Tx) forget(c *change, k, v []byte) {
	c.writes++
	tx.quarantine.release(c.bucket, k)
	if tx.stamps == nil {
		return // a migration: nobody has read anything yet
	}
	switch c.bucket {
	case "plans", "visits", "events", "followups", "nights", "family_devices", "words_read", "private", "claims":
		owner, _, _ := bytes.Cut(k, []byte{Sep})
		tx.stamps.set(string(owner), tx.kv.Serial())
	case "families", "wearers":
		if v == nil {
			tx.stamps.setAll(tx.kv.Serial())
		}
		tx.stamps.set(string(k), tx.kv.Serial())
	case "alerts":
		var a struct{ Wearer string }
		if json.Unmarshal(v, &a) != nil {
			tx.stamps.setAll(tx.kv.Serial())
		}
		tx.stamps.set(a.Wearer, tx.kv.Serial())
	case "people": // lists name who of the staff followed up
		var p care.Person
		if json.Unmarshal(v, &p) != nil || p.Role.Staff() {
			tx.stamps.setAll(tx.kv.Serial())
		}
	}
}
