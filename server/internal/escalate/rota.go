package escalate

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Rota says who is on duty when: weekly slots on the wall clock of one zone,
// and dates on which somebody is away.
type Rota struct {
	Zone  string    `json:"zone"` // IANA; an unknown one counts as UTC, Check refuses it
	Slots []Slot    `json:"slots"`
	Off   []Absence `json:"off"`
}

// Slot is one stretch of every week. To at or before From ends on the day
// after; the same time twice is a whole day.
type Slot struct {
	Weekday int           `json:"weekday"` // of From; 0 Sunday to 6 Saturday
	From    civil.Clock   `json:"from"`
	To      civil.Clock   `json:"to"` // not included
	Person  care.PersonID `json:"person"`
	Deputy  care.PersonID `json:"deputy"` // may be empty
}

// Absence is a stretch of dates on which a person takes no slot, both included.
// A slot that starts on such a date and runs past midnight is off as a whole.
type Absence struct {
	Person care.PersonID `json:"person"`
	From   civil.Date    `json:"from"`
	To     civil.Date    `json:"to"`
}

// Gap is a stretch of time in which nobody is on duty.
type Gap struct {
	From  time.Time `json:"from"` // in the rota's zone
	To    time.Time `json:"to"`
	Hours bool      `json:"hours"` // within the clinic's hours
}

// Check returns a [care.Invalid] error about the first thing that is not well
// formed. Gaps are no error: they are shown, and fall to the owner.
func (r Rota) Check() error {
	if _, err := civil.LoadZone(r.Zone); err != nil || r.Zone == "" {
		return care.Refuse("bad-zone", "zone", "zone %q: want an IANA name such as Europe/Berlin", r.Zone)
	}
	for _, s := range r.Slots {
		switch {
		case s.Weekday < 0 || s.Weekday > 6:
			return care.Refuse("bad-weekday", "slots", "weekday %d: want 0 (Sunday) to 6 (Saturday)", s.Weekday)
		case s.From < 0 || s.From > 1439 || s.To < 0 || s.To > 1439:
			return care.Refuse("bad-time", "slots", "want times between 00:00 and 23:59")
		case s.Person == "":
			return care.Refuse("no-person", "slots", "a slot needs a person")
		case s.Person == s.Deputy:
			return care.Refuse("same-person", "slots", "the deputy must be somebody else")
		}
	}
	for _, o := range r.Off {
		if o.Person == "" || o.From.IsZero() || o.To.Before(o.From) {
			return care.Refuse("bad-absence", "off", "want a person and two dates in order")
		}
	}
	return nil
}

// Only returns the rota without those who may not: their places stand empty.
func (r Rota) Only(may func(care.PersonID) bool) Rota {
	r.Slots = slices.Clone(r.Slots)
	for i, s := range r.Slots {
		if !may(s.Person) {
			r.Slots[i].Person = ""
		}
		if !may(s.Deputy) {
			r.Slots[i].Deputy = ""
		}
	}
	return r
}

// OnDuty returns who is on duty at t and who is the deputy. Where the person
// is away the deputy stands in; both empty means a gap. Of overlapping slots
// the first one that has somebody counts.
func OnDuty(r Rota, t time.Time) (person, deputy care.PersonID) {
	return r.onDuty(t, zone(r.Zone))
}

func (r Rota) onDuty(t time.Time, loc *time.Location) (person, deputy care.PersonID) {
	for _, s := range r.Slots {
		start, ok := s.covers(t, loc)
		if !ok {
			continue
		}
		here := slices.DeleteFunc([]care.PersonID{s.Person, s.Deputy}, func(p care.PersonID) bool { return p == "" || r.away(p, start) })
		switch len(here) {
		case 2:
			return here[0], here[1]
		case 1:
			return here[0], ""
		}
	}
	return "", ""
}

// covers reports whether the slot holds at t, and the date it started on. Both
// ends are instants, so an hour that the wall clock shows twice belongs to the
// slot as a whole.
func (s Slot) covers(t time.Time, loc *time.Location) (civil.Date, bool) {
	today := civil.DateOf(t.In(loc))
	for _, start := range []civil.Date{today, today.AddDays(-1)} {
		end := start
		if s.To <= s.From {
			end = start.AddDays(1)
		}
		if int(start.Weekday()) == s.Weekday && !t.Before(civil.At(start, s.From, loc)) && t.Before(civil.At(end, s.To, loc)) {
			return start, true
		}
	}
	return civil.Date{}, false
}

func (r Rota) away(p care.PersonID, on civil.Date) bool {
	return slices.ContainsFunc(r.Off, func(o Absence) bool {
		return o.Person == p && !on.Before(o.From) && !on.After(o.To)
	})
}

// Present returns everybody who has a slot or is a deputy and is not away on
// the date of t, each once, in the order of the slots.
func (r Rota) Present(t time.Time) []care.PersonID {
	date := civil.DateOf(t.In(zone(r.Zone)))
	var out []care.PersonID
	for _, s := range r.Slots {
		for _, p := range []care.PersonID{s.Person, s.Deputy} {
			if p != "" && !slices.Contains(out, p) && !r.away(p, date) {
				out = append(out, p)
			}
		}
	}
	return out
}

// Gaps returns when nobody is on duty, over a number of calendar days from a
// date on, in order. A gap is cut where the clinic opens or closes, so that
// each lies wholly inside or outside its hours.
func Gaps(r Rota, c care.Contacts, from civil.Date, days int) []Gap {
	var out []Gap
	loc, clinic := zone(r.Zone), zone(c.Zone)
	edges := edges(r, c, from, days)
	for i := 0; i+1 < len(edges); i++ {
		a, b := edges[i], edges[i+1]
		if person, _ := r.onDuty(a, loc); person != "" {
			continue
		}
		hours := openAt(c, a, clinic)
		if n := len(out); n > 0 && out[n-1].To.Equal(a) && out[n-1].Hours == hours {
			out[n-1].To = b
			continue
		}
		out = append(out, Gap{a, b, hours})
	}
	return out
}

// edges returns every instant at which duty or hours may change, in order.
func edges(r Rota, c care.Contacts, from civil.Date, days int) []time.Time {
	loc, clinic := zone(r.Zone), zone(c.Zone)
	first, last := civil.At(from, 0, loc), civil.At(from.AddDays(days), 0, loc)
	out := []time.Time{first, last}
	add := func(t time.Time) {
		if t = t.In(loc); t.After(first) && t.Before(last) {
			out = append(out, t)
		}
	}
	for d := -1; d <= days; d++ {
		day := from.AddDays(d)
		add(civil.At(day, 0, loc))
		add(civil.At(day, 0, clinic))
		for _, s := range r.Slots {
			add(civil.At(day, s.From, loc))
			add(civil.At(day, s.To, loc))
		}
		for _, h := range c.Hours {
			add(civil.At(day, h.From, clinic))
			add(civil.At(day, h.To, clinic))
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// zone returns a location, or UTC for a name that does not exist.
func zone(name string) *time.Location {
	loc, err := civil.LoadZone(name)
	if err != nil {
		return time.UTC
	}
	return loc
}

// clock writes an instant for people, on the rota's wall clock.
func (r Rota) clock(t time.Time) string { return t.In(zone(r.Zone)).Format("15:04 on 2 January") }
