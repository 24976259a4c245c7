package duty

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// changedLog is where the index of reminders has those whose log has changed, beside
// the instant they are due: all of them together, so that a push writes there
// what the pushes beside it write too.
var changedLog = time.UnixMilli(0)

// SetDue moves a wearer to an instant in the index of reminders; the zero time
// takes the wearer out.
func (tx *Tx) SetDue(w care.WearerID, at time.Time) error {
	if err := tx.p.Delete("due", pairs.Key(changedLog, string(w))); err != nil {
		return err
	}
	return tx.moveDue(w, at)
}

// moveDue is SetDue for one whose log may have changed meanwhile.
func (tx *Tx) moveDue(w care.WearerID, at time.Time) error {
	if old := tx.p.Get("due_at", []byte(w)); len(old) == 8 {
		was := time.UnixMilli(int64(binary.BigEndian.Uint64(old)))
		if err := tx.p.Delete("due", pairs.Key(was, string(w))); err != nil {
			return err
		}
	}
	if at.IsZero() {
		return tx.p.Delete("due_at", []byte(w))
	}
	if err := tx.p.Put("due_at", []byte(w), pairs.Key(at)); err != nil {
		return err
	}
	return tx.p.Put("due", pairs.Key(at, string(w)), nil)
}

// MarkChanged says that the log of a wearer changed: the next tick looks again. A wearer without a plan is not in the index and stays out.
func (tx *Tx) MarkChanged(w care.WearerID) error {
	if tx.marked.wearer == w && tx.marked.writes == tx.p.Writes("due", "due_at") {
		return nil
	}
	if tx.p.Get("due_at", []byte(w)) != nil { // has a plan
		if err := tx.p.Put("due", pairs.Key(changedLog, string(w)), pairs.Key(tx.p.Now)); err != nil {
			return err
		}
	}
	tx.marked = marked{w, tx.p.Writes("due", "due_at")}
	return nil
}

// AdvanceDue moves a wearer on, whose log was read at an instant. What changed the
// log after that asks for another look.
func (tx *Tx) AdvanceDue(w care.WearerID, when, next time.Time) error {
	if changed := tx.p.Get("due", pairs.Key(changedLog, string(w))); !next.IsZero() && changedBy(changed).After(when) {
		return tx.moveDue(w, next)
	}
	return tx.SetDue(w, next)
}

// changedBy reads when a log changed; the beginning of time for one that did not.
func changedBy(raw []byte) time.Time {
	if len(raw) != 8 {
		return changedLog
	}
	return time.UnixMilli(int64(binary.BigEndian.Uint64(raw)))
}

// DueBy returns up to limit wearers whose log has changed by now, or whose instant
// is at or before now, in this order and earliest first.
func (tx *Tx) DueBy(now time.Time, limit int) []care.WearerID {
	var out []care.WearerID
	for k, changed := range tx.p.All("due") {
		if len(out) >= limit {
			break
		}
		if len(k) < 10 {
			tx.p.Quarantine("due", k, errKey)
			continue
		}
		at, w := time.UnixMilli(int64(binary.BigEndian.Uint64(k[:8]))), string(k[9:])
		switch {
		case at.After(now):
			return out
		case at.Equal(changedLog):
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
	changed := tx.p.Get("due", pairs.Key(changedLog, w))
	return changed != nil && !changedBy(changed).After(now)
}

// fired records are kept under wearer|date|key so that old ones are easily
// skipped.
var fired = pairs.Table[json.RawMessage]{Name: "fired"}

// RecordFired writes down that a reminder of a wearer was fired, and reports
// whether it was the first time.
func (tx *Tx) RecordFired(w care.WearerID, f schedule.Firing, at time.Time) (bool, error) {
	k := pairs.Key(string(w), f.Date.String(), f.Key)
	if tx.p.Get(fired.Name, k) != nil {
		return false, nil
	}
	return true, tx.p.Put(fired.Name, k, pairs.Key(at))
}

// Fired returns the reminders of a wearer recorded for a date or later.
func (tx *Tx) Fired(w care.WearerID, from civil.Date) ([]schedule.Firing, error) {
	prefix := pairs.Key(string(w), "")
	var out []schedule.Firing
	for k := range tx.p.Ascend(fired.Name, pairs.Key(string(w), from.String())) {
		if !pairs.HasPrefix(k, prefix) {
			break
		}
		rest := string(k[len(prefix):])
		date, err := civil.ParseDate(rest[:min(10, len(rest))])
		if err != nil || len(rest) < 12 {
			tx.p.Quarantine("fired", k, errKey)
			continue
		}
		out = append(out, schedule.Firing{Key: rest[11:], Date: date})
	}
	return out, nil
}

// errKey is of a key that names no wearer or date.
var errKey = errors.New("store: a key of the reminders is not well formed")
