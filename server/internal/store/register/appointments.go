package register

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

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

var calendarEvents = pairs.Table[CalendarEvent]{Name: "calendar_events"}

// CalendarEvents returns what a family's feed, or for "" the practice's, has
// shown so far, by wearer and UID.
func (tx *Chart) CalendarEvents(f care.FamilyID) ([]CalendarEvent, error) {
	return calendarEvents.List(tx.p, pairs.Key(string(f), ""))
}

// PutCalendarEvent notes what a feed shows.
func (tx *Chart) PutCalendarEvent(f care.FamilyID, e CalendarEvent) error {
	return calendarEvents.Put(tx.p, pairs.Key(string(f), string(e.Wearer), e.UID), e)
}

// MoveEvents moves what the old family's calendar has shown of the wearer.
func (tx *Chart) MoveEvents(w care.Wearer, from care.FamilyID) error {
	var keys [][]byte
	var events []CalendarEvent
	err := calendarEvents.Scan(tx.p, pairs.Key(string(from), string(w.ID), ""), func(k []byte, e CalendarEvent) bool {
		keys, events = append(keys, slices.Clone(k)), append(events, e)
		return true
	})
	if err != nil {
		return err
	}
	for i, e := range events {
		if err := calendarEvents.Delete(tx.p, keys[i]); err != nil {
			return err
		}
		if err := tx.PutCalendarEvent(w.Family, e); err != nil {
			return err
		}
	}
	return nil
}
