package duty

import (
	"encoding/binary"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store/pairs"
)

var outbox = pairs.Table[escalate.Row]{Name: "outbox"}

// PutRow stores a delivery that waits. A row with the same key that waits
// already is left alone.
func (tx *Tx) PutRow(r escalate.Row) error {
	if tx.p.Get(outbox.Name, []byte(r.Key())) != nil {
		return nil
	}
	return tx.SetRow(r)
}

// Row returns the row of a key, and whether one waits.
func (tx *Tx) Row(k string) (r escalate.Row, waits bool, err error) {
	r, err = outbox.Get(tx.p, []byte(k))
	if care.KindOf(err) == care.NotFound {
		return r, false, nil
	}
	return r, err == nil, err
}

// instant is when a row may next be leased; the index is ordered by it.
func instant(r escalate.Row) time.Time {
	if r.LeaseUntil.After(r.Due) {
		return r.LeaseUntil
	}
	return r.Due
}

// SetRow stores a delivery, one that waits already anew.
func (tx *Tx) SetRow(r escalate.Row) error {
	if err := outbox.Put(tx.p, []byte(r.Key()), r); err != nil {
		return err
	}
	return tx.p.Put("outbox_due", pairs.Key(instant(r), r.Key()), nil)
}

// DropRow takes the row of a key out; a missing one is no error.
func (tx *Tx) DropRow(k string) error {
	r, err := outbox.Get(tx.p, []byte(k))
	if care.KindOf(err) == care.NotFound {
		return nil
	}
	if err != nil {
		return outbox.Delete(tx.p, []byte(k)) // set aside: its place among the instants leads nowhere from now on
	}
	if err := tx.p.Delete("outbox_due", pairs.Key(instant(r), k)); err != nil {
		return err
	}
	return outbox.Delete(tx.p, []byte(k))
}

// DropRows takes every row of an alert out of the outbox.
func (tx *Tx) DropRows(a care.AlertID) error {
	var keys []string
	if err := outbox.Scan(tx.p, pairs.Key(string(a), ""), func(k []byte, _ escalate.Row) bool { keys = append(keys, string(k)); return true }); err != nil {
		return err
	}
	for _, k := range keys {
		if err := tx.DropRow(k); err != nil {
			return err
		}
	}
	return nil
}

// RowsOf returns the rows of an alert that wait and can be read.
func (tx *Tx) RowsOf(a care.AlertID) (out []escalate.Row) {
	_ = outbox.Scan(tx.p, pairs.Key(string(a), ""), func(_ []byte, r escalate.Row) bool { out = append(out, r); return true })
	return out
}

// EachRow calls f for every row that waits and can be read.
func (tx *Tx) EachRow(f func(escalate.Row)) error {
	return outbox.Scan(tx.p, nil, func(_ []byte, r escalate.Row) bool { f(r); return true })
}

// OldestOutbox returns the instant at which the row that waits longest was
// made; zero when nothing waits.
func (tx *Tx) OldestOutbox() (time.Time, error) {
	var oldest time.Time
	err := outbox.Scan(tx.p, nil, func(_ []byte, r escalate.Row) bool {
		if oldest.IsZero() || r.Created.Before(oldest) {
			oldest = r.Created
		}
		return true
	})
	return oldest, err
}

// Ready returns rows that may be leased, oldest instant first.
func (tx *Tx) Ready(now time.Time) ([]escalate.Row, error) {
	var out []escalate.Row
	for k := range tx.p.All("outbox_due") {
		if len(out) >= leaseScan {
			break
		}
		if len(k) < 9 {
			continue
		}
		if int64(binary.BigEndian.Uint64(k[:8])) > now.UnixMilli() {
			break
		}
		var r escalate.Row
		err := tx.p.Try(func() (err error) { r, err = outbox.Get(tx.p, k[9:]); return err })
		if err != nil {
			continue // set aside, or a place that leads nowhere: the messages behind it go out
		}
		if r.Ready(now) {
			out = append(out, r)
		}
	}
	return out, nil
}

// leaseScan bounds how many due rows one lease looks at.
const leaseScan = 2000

// WordsTo is what messages to a family about the practice's words stand under in
// the outbox.
func WordsTo(f care.FamilyID) care.AlertID { return "word-" + care.AlertID(f) }
