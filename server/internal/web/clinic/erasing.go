package clinic

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// erasure is whom and what an erasure would take: all that an administrator has to
// see so that no other family goes.
type erasure struct {
	Family  care.FamilyID `json:"family"`
	Name    string        `json:"name"`
	Wearers []string      `json:"wearers"` // names and codes
	People  int           `json:"people"`
	Devices int           `json:"devices"`
	Entries uint64        `json:"entries"` // of the log, as numbered
	Visits  int           `json:"visits"`
	Alerts  int           `json:"alerts"`
	Open    int           `json:"open"` // alerts that nobody has closed
}

type leavingList struct {
	Leaving []leavingRow `json:"leaving"` // the first to go first
}

// leavingRow is a family that was erased and can still be put back.
type leavingRow struct {
	Family  care.FamilyID `json:"family"`
	Name    string        `json:"name"`
	Wearers []string      `json:"wearers"`
	At      time.Time     `json:"at"`
	Until   time.Time     `json:"until"` // then it is gone for good
	By      string        `json:"by"`
}

// erasureOf tells an administrator whom and what an erasure would take.
func (c *call) erasureOf() error {
	e := erasure{Family: care.FamilyID(c.Params("id")), Wearers: []string{}}
	if err := c.View(func(tx *store.Tx) error { return e.read(tx) }); err != nil {
		return err
	}
	if err := c.Audit("looked at before erasing", string(e.Family)); err != nil {
		return err
	}
	return c.Reply(e)
}

func (e *erasure) read(tx *store.Tx) error {
	f, err := tx.Register().Family(e.Family)
	if err != nil {
		return err
	}
	e.Name = f.Name
	people, err := tx.Register().People(f.ID)
	if err != nil {
		return err
	}
	devices, err := tx.Register().Devices(f.ID)
	if err != nil {
		return err
	}
	e.People, e.Devices = len(people), len(devices)
	if e.Entries, _, err = tx.Log().Head(f.ID); err != nil {
		return err
	}
	wearers, err := tx.Register().Wearers(f.ID)
	for _, w := range wearers {
		e.Wearers = append(e.Wearers, w.Name+" "+w.Code)
		visits, err := register.Visits[record.Appointment](tx.Chart(), w.ID)
		if err != nil {
			return err
		}
		alerts, err := tx.Duty().WearerAlerts(w.ID)
		if err != nil {
			return err
		}
		e.Visits, e.Alerts = e.Visits+len(visits), e.Alerts+len(alerts)
	}
	if err != nil {
		return err
	}
	e.Open, err = tx.Archive().OpenAlerts(f.ID)
	return err
}

// eraseFamily takes a family out of everything. For a day an administrator can put
// it back; then it is erased for good. One of whom an alert is open stays: an erasure
// must silence nobody, and who closes alerts is a clinician.
func (c *call) eraseFamily() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	if care.FamilyID(c.Params("id")) == care.DrillFamily {
		return isDrill()
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		open, err := tx.Archive().OpenAlerts(care.FamilyID(c.Params("id")))
		if err != nil {
			return err
		}
		if open > 0 {
			return care.Errorf(care.Conflict, "alert-open", "an alert of this family is open, so it cannot be erased: a clinician deals with it and closes it first")
		}
		return tx.Archive().SetAside(care.FamilyID(c.Params("id")), c.Caller.Person.ID, tx.Now.Add(archive.UndoFor))
	})
}

// leaving lists the families that can still be put back.
func (c *call) leaving() error {
	list := leavingList{Leaving: []leavingRow{}}
	return c.ReplyView(&list, func(tx *store.Tx) error {
		all, err := tx.Archive().Leaving()
		for _, l := range all {
			list.Leaving = append(list.Leaving, leavingRow{l.Family, l.Name, l.Wearers, l.At, l.Until, record.Name(tx, l.By)})
		}
		return err
	})
}

// putBack takes an erasure back.
func (c *call) putBack() error {
	if err := c.Rechecked(); err != nil { // its people and their phones are let in again
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		return tx.Archive().PutBack(care.FamilyID(c.Params("id")), c.Caller.Person.ID)
	})
}
