package store

import (
	"errors"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// ClockMark returns the newest time of the server's clock that was written down
// as long as it ran; zero when none was. A clock that shows less was put back.
func (tx *Tx) ClockMark() (at time.Time) {
	_ = tx.Setting(clockMark, &at) // one that cannot be read is none
	return at
}

// MarkClock writes down what the server's clock shows.
func (tx *Tx) MarkClock() error { return tx.SetSetting(clockMark, tx.Now) }

// Mark counts up in the data file and then in a small file beside it, which a copy
// of the data file put back by hand does not take along. It is called now and
// then while the server runs.
func (db *DB) Mark() error {
	n := 0
	err := db.Write(func(tx *Tx) error {
		if err := errors.Join(tx.Setting(fileMark, &n), tx.MarkClock()); err != nil {
			return err
		}
		n++
		return tx.SetSetting(fileMark, n)
	})
	if err != nil {
		return err
	}
	tmp := db.markPath() + ".part"
	if err := os.WriteFile(tmp, []byte(strconv.Itoa(n)+"\n"), 0o600); err != nil {
		return err
	}
	return os.Rename(tmp, db.markPath())
}

// WentBack reports whether the data file is older than one that stood here
// before, by the small file beside it, and then starts a new epoch, as a restore
// does: all phones read the log anew and offer again what it lacks.
func (db *DB) WentBack() (back bool, err error) {
	raw, err := os.ReadFile(db.markPath())
	if err != nil {
		return false, nil // none yet: the file says what there is
	}
	beside, err := strconv.Atoi(strings.TrimSpace(string(raw)))
	if err != nil {
		return false, nil
	}
	err = db.Update(func(tx *Tx) error {
		n := 0
		if err := tx.Setting(fileMark, &n); err != nil || n >= beside {
			return err
		}
		back = true
		return errors.Join(tx.NewEpoch(), tx.SetSetting(fileMark, beside))
	})
	return back, err
}

func (db *DB) markPath() string { return markOf(db.Path()) }

// markOf is the name of the small file beside a data file.
func markOf(path string) string { return path + ".mark" }

const fileMark = "mark"

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
	if err := outbox.scan(tx, nil, func(_ []byte, r escalate.Row) bool { rows = append(rows, r); return true }); err != nil {
		return err
	}
	for _, r := range rows {
		if err := tx.dropRow(r.Key()); err != nil {
			return err
		}
		if r.Created = r.Created.Add(by); by < 0 {
			r.Due = r.Due.Add(by)
			if !r.LeaseUntil.IsZero() {
				r.LeaseUntil = r.LeaseUntil.Add(by)
			}
		}
		if err := tx.setRow(r); err != nil {
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
		if err := tx.putAlert(a); err != nil {
			return err
		}
	}
	return tx.remindAnew()
}

// remindAnew lets the next tick look at every wearer who has a plan.
func (tx *Tx) remindAnew() error {
	var all []care.WearerID
	tx.eachKey("due_at", func(k []byte) { all = append(all, care.WearerID(slices.Clone(k))) })
	for _, w := range all {
		if err := tx.moveDue(w, tx.Now); err != nil {
			return err
		}
	}
	return nil
}
