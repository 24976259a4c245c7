package store

import (
	"cmp"
	"encoding/binary"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

var outbox = table[escalate.Row]{"outbox"}

// PutRow stores a delivery that waits. A row with the same key that waits
// already is left alone.
func (tx *Tx) PutRow(r escalate.Row) error {
	if tx.get(outbox.name, []byte(r.Key())) != nil {
		return nil
	}
	return tx.setRow(r)
}

// instant is when a row may next be leased; the index is ordered by it.
func instant(r escalate.Row) time.Time {
	if r.LeaseUntil.After(r.Due) {
		return r.LeaseUntil
	}
	return r.Due
}

func (tx *Tx) setRow(r escalate.Row) error {
	if err := outbox.put(tx, []byte(r.Key()), r); err != nil {
		return err
	}
	return tx.put("outbox_due", key(instant(r), r.Key()), nil)
}

func (tx *Tx) dropRow(k string) error {
	r, err := outbox.get(tx, []byte(k))
	if care.KindOf(err) == care.NotFound {
		return nil
	}
	if err != nil {
		return outbox.delete(tx, []byte(k)) // set aside: its place among the instants leads nowhere from now on
	}
	if err := tx.del("outbox_due", key(instant(r), k)); err != nil {
		return err
	}
	return outbox.delete(tx, []byte(k))
}

// DropRows takes every row of an alert out of the outbox.
func (tx *Tx) DropRows(a care.AlertID) error {
	var keys []string
	if err := outbox.scan(tx, key(string(a), ""), func(k []byte, _ escalate.Row) bool { keys = append(keys, string(k)); return true }); err != nil {
		return err
	}
	for _, k := range keys {
		if err := tx.dropRow(k); err != nil {
			return err
		}
	}
	return nil
}

// OldestOutbox returns the instant at which the row that waits longest was
// made; zero when nothing waits.
func (tx *Tx) OldestOutbox() (time.Time, error) {
	var oldest time.Time
	err := outbox.scan(tx, nil, func(_ []byte, r escalate.Row) bool {
		if oldest.IsZero() || r.Created.Before(oldest) {
			oldest = r.Created
		}
		return true
	})
	return oldest, err
}

// Outbox is the durable outbox over a [DB]; it fits [escalate.Outbox].
type Outbox struct{ DB *DB }

// leaseScan bounds how many due rows one lease looks at.
const leaseScan = 2000

// Lease takes up to n rows that are due, the most pressing first.
func (o Outbox) Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error) {
	var rows []escalate.Row
	if err := o.DB.View(func(tx *Tx) (err error) { rows, err = tx.ready(now); return err }); err != nil || len(rows) == 0 {
		return nil, err
	}
	err := o.DB.WriteFirst(func(tx *Tx) error {
		var err error
		if rows, err = tx.ready(now); err != nil {
			return err
		}
		if rows, err = tx.newestMails(rows); err != nil {
			return err
		}
		slices.SortStableFunc(rows, func(a, b escalate.Row) int {
			return cmp.Or(cmp.Compare(a.Level.Rank(), b.Level.Rank()), a.Due.Compare(b.Due))
		})
		rows = rows[:min(n, len(rows))]
		for i := range rows {
			if err := tx.dropRow(rows[i].Key()); err != nil {
				return err
			}
			rows[i].LeaseUntil, rows[i].Attempt = now.Add(lease), rows[i].Attempt+1
			if err := tx.setRow(rows[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return rows, err
}

// newestMails drops, of the mails about one alert that wait for one person, all
// but the last. After a day without a mail server the ladder has left one for
// every quarter of an hour, and all say the same; each alert is mailed once.
func (tx *Tx) newestMails(rows []escalate.Row) (kept []escalate.Row, err error) {
	type about struct {
		alert care.AlertID
		to    care.PersonID
	}
	last := map[about]int{}
	for _, r := range rows {
		if a := (about{r.Alert, r.Target}); r.Channel == escalate.Mail {
			last[a] = max(last[a], r.Step)
		}
	}
	for _, r := range rows {
		if r.Channel != escalate.Mail || r.Step == last[about{r.Alert, r.Target}] {
			kept = append(kept, r)
			continue
		}
		if err := tx.dropRow(r.Key()); err != nil {
			return nil, err
		}
	}
	return kept, nil
}

// ready returns rows that may be leased, oldest instant first.
func (tx *Tx) ready(now time.Time) ([]escalate.Row, error) {
	var out []escalate.Row
	for k := range tx.up("outbox_due", nil) {
		if len(out) >= leaseScan {
			break
		}
		if len(k) < 9 {
			continue
		}
		if int64(binary.BigEndian.Uint64(k[:8])) > now.UnixMilli() {
			break
		}
		r, err := outbox.get(tx, k[9:])
		if err != nil {
			continue // set aside, or a place that leads nowhere: the messages behind it go out
		}
		if r.Ready(now) {
			out = append(out, r)
		}
	}
	return out, nil
}

// Done removes a row that a push service or mail server has taken, and puts
// those of devices that have not in its place.
func (o Outbox) Done(r escalate.Row, _ time.Time, note string, left ...escalate.Row) error {
	return o.finish(r, escalate.Sent, note, left...)
}

func (o Outbox) finish(r escalate.Row, kind escalate.EventKind, note string, left ...escalate.Row) error {
	return o.DB.WriteFirst(func(tx *Tx) error {
		if tx.get(outbox.name, []byte(r.Key())) == nil {
			return nil // cancelled, or finished by another worker
		}
		if err := tx.dropRow(r.Key()); err != nil {
			return err
		}
		for _, x := range left {
			if err := tx.PutRow(x); err != nil {
				return err
			}
		}
		return tx.noteDelivery(r, kind, note)
	})
}

// Retry frees a row for another attempt at a later instant.
func (o Outbox) Retry(r escalate.Row, at time.Time, note string) error {
	return o.DB.WriteFirst(func(tx *Tx) error {
		have, err := outbox.get(tx, []byte(r.Key()))
		if care.KindOf(err) == care.NotFound {
			return nil
		}
		if err != nil {
			return err
		}
		if err := tx.dropRow(r.Key()); err != nil {
			return err
		}
		have.Due, have.LeaseUntil, have.Last = at, time.Time{}, note
		return tx.setRow(have)
	})
}

// Drop removes a row that can never be delivered.
func (o Outbox) Drop(r escalate.Row, _ time.Time, note string) error {
	return o.finish(r, escalate.Failed, note)
}
