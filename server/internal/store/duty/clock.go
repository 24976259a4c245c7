package duty

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// ClockMark returns the newest time of the server's clock that was written down
// as long as it ran; zero when none was. A clock that shows less was put back.
func (tx *Tx) ClockMark() (at time.Time) {
	_ = tx.p.Setting(clockMark, &at) // one that cannot be read is none
	return at
}

// MarkClock writes down what the server's clock shows.
func (tx *Tx) MarkClock() error { return tx.p.SetSetting(clockMark, tx.p.Now) }

const clockMark = "health"

// ClockStepped moves everything that waits for an instant after the server's
// clock was put ahead by some time, or back by a negative one: no alert is told
// of later than its interval says, at worst earlier.
//
// Put back, the ladder, the outbox and its leases go back with the clock, and
// every wearer's reminders are worked out again. Put ahead, nothing waits longer:
// the machine may have been asleep, and then the time has really passed; only a
// message's age does not grow by it, so that none is given up.
func (tx *Tx) ClockStepped(by time.Duration) error {
	var rows []escalate.Row
	if err := outbox.Scan(tx.p, nil, func(_ []byte, r escalate.Row) bool { rows = append(rows, r); return true }); err != nil {
		return err
	}
	for _, r := range rows {
		if err := tx.DropRow(r.Key()); err != nil {
			return err
		}
		if r.Created = r.Created.Add(by); by < 0 {
			r.Due = r.Due.Add(by)
			if !r.LeaseUntil.IsZero() {
				r.LeaseUntil = r.LeaseUntil.Add(by)
			}
		}
		if err := tx.SetRow(r); err != nil {
			return err
		}
	}
	if by > 0 {
		return nil
	}
	live, err := tx.LiveAlerts()
	if err != nil {
		return err
	}
	for _, a := range live {
		if a.Since = a.Since.Add(by); !a.NextStepAt.IsZero() {
			a.NextStepAt = a.NextStepAt.Add(by)
		}
		if err := tx.PutAlert(a); err != nil {
			return err
		}
	}
	return tx.remindAnew()
}

// remindAnew lets the next tick look at every wearer who has a plan.
func (tx *Tx) remindAnew() error {
	var all []care.WearerID
	tx.p.EachKey("due_at", func(k []byte) { all = append(all, care.WearerID(slices.Clone(k))) })
	for _, w := range all {
		if err := tx.moveDue(w, tx.p.Now); err != nil {
			return err
		}
	}
	return nil
}
