package store

import (
	"encoding/binary"
	"encoding/json"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

// atOnce is where the index of reminders has those whose log has changed, beside
// the instant they are due: all of them together, so that a push writes there
// what the pushes beside it write too.
var atOnce = time.UnixMilli(0)

// SetDue moves a wearer to an instant in the index of reminders; the zero time
// takes the wearer out.
func (tx *Tx) SetDue(w care.WearerID, at time.Time) error {
	if err := tx.del("due", key(atOnce, string(w))); err != nil {
		return err
	}
	return tx.moveDue(w, at)
}

// moveDue is SetDue for one whose log may have changed meanwhile.
func (tx *Tx) moveDue(w care.WearerID, at time.Time) error {
	tx.touched = ""
	if old := tx.get("due_at", []byte(w)); len(old) == 8 {
		was := time.UnixMilli(int64(binary.BigEndian.Uint64(old)))
		if err := tx.del("due", key(was, string(w))); err != nil {
			return err
		}
	}
	if at.IsZero() {
		return tx.del("due_at", []byte(w))
	}
	if err := tx.put("due_at", []byte(w), key(at)); err != nil {
		return err
	}
	return tx.put("due", key(at, string(w)), nil)
}

// touch lets the next tick look at a wearer again, because the log changed. A
// wearer without a plan is not in the index and stays out.
func (tx *Tx) touch(w care.WearerID) error {
	if tx.get("due_at", []byte(w)) == nil {
		return nil // no plan
	}
	return tx.put("due", key(atOnce, string(w)), key(tx.Now))
}

// looked moves a wearer on, whose log was read at an instant. What changed the
// log after that asks for another look.
func (tx *Tx) looked(w care.WearerID, when, next time.Time) error {
	if changed := tx.get("due", key(atOnce, string(w))); !next.IsZero() && changedBy(changed).After(when) {
		return tx.moveDue(w, next)
	}
	return tx.SetDue(w, next)
}

// changedBy reads when a log changed; the beginning of time for one that did not.
func changedBy(raw []byte) time.Time {
	if len(raw) != 8 {
		return atOnce
	}
	return time.UnixMilli(int64(binary.BigEndian.Uint64(raw)))
}

// DueBy returns up to limit wearers whose log has changed by now, or whose instant
// is at or before now, in this order and earliest first.
func (tx *Tx) DueBy(now time.Time, limit int) []care.WearerID {
	var out []care.WearerID
	for k, changed := range tx.up("due", nil) {
		if len(out) >= limit {
			break
		}
		if len(k) < 10 {
			tx.aside("due", k, errNightKey)
			continue
		}
		at, w := time.UnixMilli(int64(binary.BigEndian.Uint64(k[:8]))), string(k[9:])
		switch {
		case at.After(now):
			return out
		case at.Equal(atOnce):
			if changedBy(changed).After(now) {
				continue // after this tick began; the next one looks
			}
		case tx.logChanged(w, now):
			continue // is among them already
		}
		out = append(out, care.WearerID(w))
	}
	return out
}

// logChanged reports whether a wearer's log has changed by now.
func (tx *Tx) logChanged(w string, now time.Time) bool {
	changed := tx.get("due", key(atOnce, w))
	return changed != nil && !changedBy(changed).After(now)
}

// Reminders is the durable memory of reminders over a [DB]; with Read it fits
// [remind.Ledger].
type Reminders struct {
	DB *DB
	// Read reads a wearer's plan and log inside a read transaction.
	Read func(tx *Tx, w care.WearerID) (remind.Case, error)
}

// Due returns the wearers whose instant has come.
func (r Reminders) Due(now time.Time, limit int) (out []care.WearerID, err error) {
	err = r.DB.View(func(tx *Tx) error { out = tx.DueBy(now, limit); return nil })
	return out, err
}

// Load reads everything about one wearer that decides what is due.
func (r Reminders) Load(w care.WearerID) (c remind.Case, err error) {
	err = r.DB.View(func(tx *Tx) error {
		if c, err = r.Read(tx, w); err != nil {
			return err
		}
		c.Input.Fired, err = tx.Fired(w, civil.DateOf(tx.Now).AddDays(-40))
		return err
	})
	return c, err
}

// Commit records firings and moves the wearers on, all in one transaction.
func (r Reminders) Commit(steps []remind.Step) (fresh [][]schedule.Firing, err error) {
	err = r.DB.Write(func(tx *Tx) error {
		fresh = make([][]schedule.Firing, len(steps))
		for i, s := range steps {
			for _, f := range s.Fired {
				first, err := tx.fire(s.Wearer, f, s.At)
				if err != nil {
					return err
				}
				if first {
					fresh[i] = append(fresh[i], f)
				}
			}
			if err := tx.looked(s.Wearer, s.At, s.Next); err != nil {
				return err
			}
		}
		return nil
	})
	return fresh, err
}

// fired records are kept under wearer|date|key so that old ones are easily
// skipped.
var fired = table[json.RawMessage]{"fired"}

func (tx *Tx) fire(w care.WearerID, f schedule.Firing, at time.Time) (bool, error) {
	k := key(string(w), f.Date.String(), f.Key)
	if tx.get(fired.name, k) != nil {
		return false, nil
	}
	return true, tx.put(fired.name, k, key(at))
}

// Fired returns the reminders of a wearer recorded for a date or later.
func (tx *Tx) Fired(w care.WearerID, from civil.Date) ([]schedule.Firing, error) {
	prefix := key(string(w), "")
	var out []schedule.Firing
	for k := range tx.up(fired.name, key(string(w), from.String())) {
		if !hasPrefix(k, prefix) {
			break
		}
		rest := string(k[len(prefix):])
		date, err := civil.ParseDate(rest[:min(10, len(rest))])
		if err != nil || len(rest) < 12 {
			tx.aside("fired", k, errNightKey)
			continue
		}
		out = append(out, schedule.Firing{Key: rest[11:], Date: date})
	}
	return out, nil
}
