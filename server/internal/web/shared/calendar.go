package shared

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// feedNights is how far back a feed reaches, in days: what is older no calendar
// program needs to be told any more.
const feedNights = 60

type calendarState struct {
	Made *time.Time `json:"made"` // null: there is none
}

type calendarAddress struct {
	Address string `json:"address"` // secret; it cannot be shown again
}

func (c *call) calendarState() error {
	var s calendarState
	return c.ReplyView(&s, func(tx *store.Tx) error {
		cal, ok, err := tx.Access().CalendarOf(c.Caller.Person.Family)
		if ok {
			s.Made = &cal.Created
		}
		return err
	})
}

func (c *call) newCalendar() error {
	secret, who := access.NewToken(), c.Caller.Person
	if who.Role.Staff() { // everybody's appointments, to whoever has the address
		if err := c.Rechecked(); err != nil {
			return err
		}
	}
	out := calendarAddress{c.Srv.BaseURL + "/calendar/" + secret + ".ics"}
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		if err := tx.Access().SetCalendar(secret, register.Calendar{Family: who.Family, By: who.ID, Created: tx.Now}); err != nil {
			return err
		}
		return tx.Audit().Append(who.ID, "made calendar address", string(who.Family))
	})
}

func (c *call) endCalendar() error {
	who := c.Caller.Person
	if who.Role.Staff() { // the appointments vanish from everybody's calendar program
		if err := c.Rechecked(); err != nil {
			return err
		}
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		if err := tx.Access().DropCalendar(who.Family); err != nil {
			return err
		}
		return tx.Audit().Append(who.ID, "ended calendar address", string(who.Family))
	})
}

// calendarFeed answers a calendar program. What it was shown is noted only
// when something changed, so that being asked again writes nothing.
func (c *call) calendarFeed() error {
	secret := strings.TrimSuffix(c.Params("secret"), ".ics")
	var feed interop.Calendar
	var changed []register.CalendarEvent
	read := func(tx *store.Tx) (care.FamilyID, error) {
		cal, err := tx.Access().CalendarAt(secret)
		if err != nil {
			return "", err
		}
		feed, changed, err = readFeed(tx, cal.Family)
		return cal.Family, err
	}
	err := c.View(func(tx *store.Tx) error { _, err := read(tx); return err })
	if err == nil && len(changed) > 0 {
		err = c.Update(func(tx *store.Tx) error {
			family, err := read(tx) // again: somebody may have been quicker
			for _, e := range changed {
				if err == nil {
					err = tx.Chart().PutCalendarEvent(family, e)
				}
			}
			return err
		})
	}
	if err != nil {
		return err
	}
	return c.sendCalendar(feed.ICal())
}

func (c *call) sendCalendar(raw []byte) error {
	sum := sha256.Sum256(raw)
	etag := `"` + hex.EncodeToString(sum[:16]) + `"`
	c.Set(fiber.HeaderETag, etag)
	c.Set(fiber.HeaderCacheControl, "private, no-cache")
	if c.Get(fiber.HeaderIfNoneMatch) == etag {
		return c.SendStatus(fiber.StatusNotModified)
	}
	c.Set(fiber.HeaderContentType, "text/calendar; charset=utf-8")
	return c.Send(raw)
}

// readFeed returns a family's feed, or for "" the practice's, and what of it
// differs from what was shown before.
func readFeed(tx *store.Tx, family care.FamilyID) (interop.Calendar, []register.CalendarEvent, error) {
	feed := interop.Calendar{Name: "Appointments"}
	today, loc, err := record.Today(tx)
	if err != nil {
		return feed, nil, err
	}
	feed.Loc = loc
	shown, err := tx.Chart().CalendarEvents(family)
	if err != nil {
		return feed, nil, err
	}
	wanted, err := practiceEvents(tx, today)
	if family != "" {
		wanted, err = familyEvents(tx, family, today)
	}
	if err != nil {
		return feed, nil, err
	}
	all, changed := reconcile(shown, wanted, today, tx.Now)
	for _, e := range all {
		feed.Events = append(feed.Events, interop.Event{
			UID: e.UID, Sequence: e.Sequence, Changed: e.Changed, Date: e.Date, At: e.At, Code: e.Code, Tentative: e.Tentative, Cancelled: e.Cancelled,
		})
	}
	return feed, changed, nil
}

// practiceEvents are the appointments of everybody, by code.
func practiceEvents(tx *store.Tx, today civil.Date) ([]register.CalendarEvent, error) {
	var all []care.Wearer
	if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
		return nil, err
	}
	var out []register.CalendarEvent
	for _, w := range all {
		visits, err := register.Visits[record.Appointment](tx.Chart(), w.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, visitEvents(w.ID, w.Code, visits, today)...)
	}
	return out, nil
}

// familyEvents are the family's appointments and the dates on which the plan
// asks for one that nobody has booked.
func familyEvents(tx *store.Tx, family care.FamilyID, today civil.Date) ([]register.CalendarEvent, error) {
	wearers, err := tx.Register().Wearers(family)
	if err != nil {
		return nil, err
	}
	var out []register.CalendarEvent
	for _, w := range wearers {
		f, err := record.OpenDiary(tx, w.ID, today)
		if err != nil {
			return nil, err
		}
		out = append(out, visitEvents(w.ID, "", f.Visits, today)...)
		for _, r := range f.Recalls {
			if r.State != "booked" && !r.Due.Before(today.AddDays(-feedNights)) {
				out = append(out, register.CalendarEvent{Wearer: w.ID, UID: interop.UID(string(w.ID), r.Kind, r.Due.String()), Date: r.Due, Tentative: true})
			}
		}
	}
	return out, nil
}

func visitEvents(w care.WearerID, code string, visits []record.Appointment, today civil.Date) []register.CalendarEvent {
	var out []register.CalendarEvent
	for _, v := range visits {
		if v.Date.Before(today.AddDays(-feedNights)) || v.State == "waived" {
			continue
		}
		e := register.CalendarEvent{Wearer: w, UID: interop.UID(string(w), v.ID), Date: v.Date, Code: code, Cancelled: v.State == "cancelled"}
		if at, err := civil.ParseClock(v.Time); err == nil {
			e.At = &at
		}
		out = append(out, e)
	}
	return out
}

// reconcile gives each wanted event its sequence: one more than shown when it
// changed. An event that was shown and is wanted no more stays, called off. It
// returns all events of the feed, and those that have to be noted.
func reconcile(shown, wanted []register.CalendarEvent, today civil.Date, now time.Time) (all, changed []register.CalendarEvent) {
	before := map[string]register.CalendarEvent{}
	for _, e := range shown {
		before[e.UID] = e
	}
	put := func(e register.CalendarEvent) {
		old, known := before[e.UID]
		if known {
			e.Sequence, e.Changed = old.Sequence, old.Changed
			if !sameEvent(e, old) {
				e.Sequence++
			}
		}
		if !known || e.Sequence != old.Sequence {
			e.Changed = now
			changed = append(changed, e)
		}
		all = append(all, e)
	}
	stays := map[string]bool{}
	for _, e := range wanted {
		stays[e.UID] = true
		put(e)
	}
	for _, e := range shown {
		if !stays[e.UID] && !e.Date.Before(today.AddDays(-feedNights)) {
			e.Cancelled = true
			put(e)
		}
	}
	return all, changed
}

func sameEvent(a, b register.CalendarEvent) bool {
	sameTime := a.At == b.At || a.At != nil && b.At != nil && *a.At == *b.At
	return sameTime && a.Date == b.Date && a.Code == b.Code && a.Tentative == b.Tentative && a.Cancelled == b.Cancelled
}
