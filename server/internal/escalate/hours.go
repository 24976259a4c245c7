package escalate

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// searchDays is how far ahead an opening is looked for: longer than any
// holiday of a clinic.
const searchDays = 60

// OpenAt reports whether the clinic answers the phone at t. Hours that end at
// or before they start end at midnight.
func OpenAt(c care.Contacts, t time.Time) bool { return openAt(c, t, zone(c.Zone)) }

func openAt(c care.Contacts, t time.Time, loc *time.Location) bool {
	date := civil.DateOf(t.In(loc))
	return slices.ContainsFunc(hoursOn(c, date), func(h care.Hours) bool {
		if t.Before(civil.At(date, h.From, loc)) {
			return false
		}
		return h.To <= h.From || t.Before(civil.At(date, h.To, loc))
	})
}

// NextOpening returns the first instant at or after t at which the clinic is
// open; the zero time when it does not open within 60 days or has no hours.
func NextOpening(c care.Contacts, t time.Time) time.Time {
	loc := zone(c.Zone)
	if openAt(c, t, loc) {
		return t
	}
	for i := range searchDays {
		day := civil.DateOf(t.In(loc)).AddDays(i)
		var first time.Time
		for _, h := range hoursOn(c, day) {
			at := civil.At(day, h.From, loc)
			if !at.Before(t) && openAt(c, at, loc) && (first.IsZero() || at.Before(first)) {
				first = at
			}
		}
		if !first.IsZero() {
			return first
		}
	}
	return time.Time{}
}

// hoursOn returns the hours of a date, none on a holiday.
func hoursOn(c care.Contacts, date civil.Date) []care.Hours {
	if slices.Contains(c.Closed, date) {
		return nil
	}
	var out []care.Hours
	for _, h := range c.Hours {
		if h.Weekday == int(date.Weekday()) {
			out = append(out, h)
		}
	}
	return out
}
