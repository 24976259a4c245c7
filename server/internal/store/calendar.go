package store

import (
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Calendar is a secret address at which calendar programs read appointments.
// Only the hash of the secret is stored; a family has one at most, and so has
// the practice.
type Calendar struct {
	Family  care.FamilyID `json:"family,omitempty"` // empty: the practice's
	By      care.PersonID `json:"by"`
	Created time.Time     `json:"created"`
}

// CalendarEvent is what a feed has last shown of one appointment, kept so that
// a change can be counted and a vanished appointment be called off.
type CalendarEvent struct {
	Wearer    care.WearerID `json:"wearer"`
	UID       string        `json:"uid"`
	Sequence  int           `json:"sequence"`
	Changed   time.Time     `json:"changed"`
	Date      civil.Date    `json:"date"`
	At        *civil.Clock  `json:"at,omitempty"`
	Code      string        `json:"code,omitempty"`
	Tentative bool          `json:"tentative,omitempty"`
	Cancelled bool          `json:"cancelled,omitempty"`
}

var (
	calendars      = table[Calendar]{"calendars"}
	calendarEvents = table[CalendarEvent]{"calendar_events"}
)

// SetCalendar stores a new address and ends the one before.
func (tx *Tx) SetCalendar(secret string, c Calendar) error {
	if err := tx.DropCalendar(c.Family); err != nil {
		return err
	}
	return calendars.put(tx, hashSecret(secret), c)
}

// DropCalendar ends a family's address, or for "" the practice's. Without one
// it does nothing.
func (tx *Tx) DropCalendar(f care.FamilyID) error {
	_, at, err := tx.calendarOf(f)
	if err != nil || at == nil {
		return err
	}
	return calendars.delete(tx, at)
}

// CalendarOf returns a family's address without its secret, or for "" the
// practice's; false when there is none.
func (tx *Tx) CalendarOf(f care.FamilyID) (Calendar, bool, error) {
	c, at, err := tx.calendarOf(f)
	return c, at != nil, err
}

func (tx *Tx) calendarOf(f care.FamilyID) (found Calendar, at []byte, err error) {
	err = calendars.scan(tx, nil, func(k []byte, c Calendar) bool {
		if c.Family == f {
			found, at = c, append([]byte(nil), k...)
		}
		return at == nil
	})
	return found, at, err
}

// CalendarAt returns the calendar of a secret. One that is unknown or was
// ended gives one and the same [care.NotFound] error.
func (tx *Tx) CalendarAt(secret string) (Calendar, error) {
	c, err := calendars.get(tx, hashSecret(secret))
	if err != nil {
		return c, care.Errorf(care.NotFound, "no-such-calendar", "there is no calendar at this address; it may have been ended or replaced")
	}
	return c, nil
}

// CalendarEvents returns what a family's feed, or for "" the practice's, has
// shown so far, by wearer and UID.
func (tx *Tx) CalendarEvents(f care.FamilyID) ([]CalendarEvent, error) {
	return calendarEvents.list(tx, key(string(f), ""))
}

// PutCalendarEvent notes what a feed shows.
func (tx *Tx) PutCalendarEvent(f care.FamilyID, e CalendarEvent) error {
	return calendarEvents.put(tx, key(string(f), string(e.Wearer), e.UID), e)
}
