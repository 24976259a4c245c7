package register

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Calendar is a secret address at which calendar programs read appointments.
// Only the hash of the secret is stored; a family has one at most, and so has
// the practice.
type Calendar struct {
	Family  care.FamilyID `json:"family,omitempty"` // empty: the practice's
	By      care.PersonID `json:"by"`
	Created time.Time     `json:"created"`
}

var calendars = pairs.Table[Calendar]{Name: "calendars"}

// SetCalendar stores a new address and ends the one before.
func (tx *Access) SetCalendar(secret string, c Calendar) error {
	if err := tx.DropCalendar(c.Family); err != nil {
		return err
	}
	return calendars.Put(tx.p, hashSecret(secret), c)
}

// DropCalendar ends a family's address, or for "" the practice's. Without one
// it does nothing.
func (tx *Access) DropCalendar(f care.FamilyID) error {
	_, at, err := tx.calendarOf(f)
	if err != nil || at == nil {
		return err
	}
	return calendars.Delete(tx.p, at)
}

// CalendarOf returns a family's address without its secret, or for "" the
// practice's; false when there is none.
func (tx *Access) CalendarOf(f care.FamilyID) (Calendar, bool, error) {
	c, at, err := tx.calendarOf(f)
	return c, at != nil, err
}

func (tx *Access) calendarOf(f care.FamilyID) (found Calendar, at []byte, err error) {
	err = calendars.Scan(tx.p, nil, func(k []byte, c Calendar) bool {
		if c.Family == f {
			found, at = c, append([]byte(nil), k...)
		}
		return at == nil
	})
	return found, at, err
}

// CalendarAt returns the calendar of a secret. One that is unknown or was
// ended gives one and the same [care.NotFound] error.
func (tx *Access) CalendarAt(secret string) (Calendar, error) {
	c, err := calendars.Get(tx.p, hashSecret(secret))
	if err != nil {
		return c, care.Errorf(care.NotFound, "no-such-calendar", "there is no calendar at this address; it may have been ended or replaced")
	}
	return c, nil
}
