package dispatch

import (
	"encoding/json"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
)

// Reminders is the durable memory of reminders over a [store.DB]; with Read it fits
// [remind.Ledger].
type Reminders struct {
	DB *store.DB
	// Read reads a wearer's plan and log inside a read transaction.
	Read func(tx *store.Tx, w care.WearerID) (remind.Case, error)
}

// Due returns the wearers whose instant has come.
func (r Reminders) Due(now time.Time, limit int) (out []care.WearerID, err error) {
	err = r.DB.View(func(tx *store.Tx) error { out = tx.Duty().DueBy(now, limit); return nil })
	return out, err
}

// Load reads everything about one wearer that decides what is due.
func (r Reminders) Load(w care.WearerID) (c remind.Case, err error) {
	err = r.DB.View(func(tx *store.Tx) error {
		if c, err = r.Read(tx, w); err != nil {
			return err
		}
		c.Input.Fired, err = tx.Duty().Fired(w, civil.DateOf(tx.Now).AddDays(-40))
		return err
	})
	return c, err
}

// Commit records firings and moves the wearers on, all in one transaction.
func (r Reminders) Commit(steps []remind.Step) (fresh [][]schedule.Firing, err error) {
	err = r.DB.Write(func(tx *store.Tx) error {
		fresh = make([][]schedule.Firing, len(steps))
		for i, s := range steps {
			for _, f := range s.Fired {
				first, err := tx.Duty().RecordFired(s.Wearer, f, s.At)
				if err != nil {
					return err
				}
				if first {
					fresh[i] = append(fresh[i], f)
				}
			}
			if err := tx.Duty().AdvanceDue(s.Wearer, s.At, s.Next); err != nil {
				return err
			}
		}
		return nil
	})
	return fresh, err
}

// Wait makes durable which messages have begun to wait and which no longer do.
func (r Reminders) Wait(begin, end []remind.Waiting) error {
	return r.DB.Write(func(tx *store.Tx) error {
		for i := range end {
			if err := tx.Duty().DropWaiting(end[i].Message.Family, end[i].Key()); err != nil {
				return err
			}
		}
		for i := range begin {
			raw, err := json.Marshal(begin[i])
			if err != nil {
				return err
			}
			if err := tx.Duty().PutWaiting(begin[i].Message.Family, begin[i].Key(), raw); err != nil {
				return err
			}
		}
		return nil
	})
}

// Waiting returns the messages that wait.
func (r Reminders) Waiting() (out []remind.Waiting, err error) {
	err = r.DB.View(func(tx *store.Tx) error {
		out = nil
		return tx.Duty().Waiting(func(raw json.RawMessage) {
			var w remind.Waiting
			if json.Unmarshal(raw, &w) == nil { // of another version of the program: it has no use any more
				out = append(out, w)
			}
		})
	})
	return out, err
}
