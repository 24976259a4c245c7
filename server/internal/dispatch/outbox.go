package dispatch

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// Outbox is the durable outbox over a [store.DB]; it fits [escalate.Outbox].
type Outbox struct{ DB *store.DB }

// Lease takes up to n rows that are due, the most pressing first.
func (o Outbox) Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error) {
	var rows []escalate.Row
	if err := o.DB.View(func(tx *store.Tx) (err error) { rows, err = tx.Duty().Ready(now); return err }); err != nil || len(rows) == 0 {
		return nil, err
	}
	err := o.DB.WriteFirst(func(tx *store.Tx) error {
		var err error
		if rows, err = tx.Duty().Ready(now); err != nil {
			return err
		}
		if rows, err = clearBacklog(tx, rows, now); err != nil {
			return err
		}
		slices.SortStableFunc(rows, func(a, b escalate.Row) int {
			return cmp.Or(cmp.Compare(a.Level.Rank(), b.Level.Rank()), a.Due.Compare(b.Due))
		})
		rows = rows[:min(n, len(rows))]
		for i := range rows {
			if err := tx.Duty().DropRow(rows[i].Key()); err != nil {
				return err
			}
			rows[i].LeaseUntil, rows[i].Attempt = now.Add(lease), rows[i].Attempt+1
			if err := tx.Duty().SetRow(rows[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return rows, err
}

// Done removes a row that a push service or mail server has taken, and puts
// those of devices that have not in its place.
func (o Outbox) Done(r escalate.Row, _ time.Time, note string, left ...escalate.Row) error {
	return o.finish(r, escalate.Sent, note, left...)
}

func (o Outbox) finish(r escalate.Row, kind escalate.EventKind, note string, left ...escalate.Row) error {
	return o.DB.WriteFirst(func(tx *store.Tx) error {
		if _, waits, err := tx.Duty().Row(r.Key()); err != nil || !waits {
			return err // cancelled, or finished by another worker
		}
		if err := tx.Duty().DropRow(r.Key()); err != nil {
			return err
		}
		for _, x := range left {
			if err := tx.Duty().PutRow(x); err != nil {
				return err
			}
		}
		return recordDelivery(tx, r, kind, note)
	})
}

// Retry frees a row for another attempt at a later instant.
func (o Outbox) Retry(r escalate.Row, at time.Time, note string) error {
	return o.DB.WriteFirst(func(tx *store.Tx) error {
		have, waits, err := tx.Duty().Row(r.Key())
		if err != nil || !waits {
			return err
		}
		if err := tx.Duty().DropRow(r.Key()); err != nil {
			return err
		}
		have.Due, have.LeaseUntil, have.Last = at, time.Time{}, note
		return tx.Duty().SetRow(have)
	})
}

// Drop removes a row that can never be delivered.
func (o Outbox) Drop(r escalate.Row, _ time.Time, note string) error {
	return o.finish(r, escalate.Failed, note)
}
