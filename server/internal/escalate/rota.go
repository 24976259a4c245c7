package escalate

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Rota says who is on duty when, on the wall clock of one zone: single dates first,
// then weekly slots; dates on which somebody is away; and what two people swapped.
type Rota struct {
	Zone  string    `json:"zone"` // IANA; an unknown one counts as UTC, Check refuses it
	Slots []Slot    `json:"slots"`
	Off   []Absence `json:"off"`
	// Dates are duties of single dates. While one of them holds, no weekly slot does.
	Dates []Duty `json:"dates"`
	// Holidays are dates on which the slots of Sunday hold.
	Holidays []civil.Date `json:"holidays"`
	// Swaps are what both people have confirmed.
	Swaps []Swap `json:"swaps"`
}

// Duty is a stretch of one date, with times as in [Slot].
type Duty struct {
	Date   civil.Date    `json:"date"`
	From   civil.Clock   `json:"from"`
	To     civil.Clock   `json:"to"`
	Person care.PersonID `json:"person"`
	Deputy care.PersonID `json:"deputy"` // may be empty
}

// Swap puts somebody else in a person's place in whatever begins on a date.
type Swap struct {
	On  civil.Date    `json:"on"`
	Out care.PersonID `json:"out"`
	In  care.PersonID `json:"in"`
}

// Slot is one stretch of every week. To at or before From ends on the day
// after; the same time twice is a whole day.
type Slot struct {
	Weekday int           `json:"weekday"` // of From; 0 Sunday to 6 Saturday
	From    civil.Clock   `json:"from"`
	To      civil.Clock   `json:"to"` // not included
	Person  care.PersonID `json:"person"`
	Deputy  care.PersonID `json:"deputy"` // may be empty
	// Since is a date in a week in which the slot holds when it holds every second
	// week only; zero: every week. Weeks begin on Monday.
	Since civil.Date `json:"since,omitzero"`
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
	for _, d := range r.Dates {
		switch {
		case d.Date.IsZero():
			return care.Refuse("bad-date", "dates", "want a date")
		case d.From < 0 || d.From > 1439 || d.To < 0 || d.To > 1439:
			return care.Refuse("bad-time", "dates", "want times between 00:00 and 23:59")
		case d.Person == "":
			return care.Refuse("no-person", "dates", "a duty needs a person")
		case d.Person == d.Deputy:
			return care.Refuse("same-person", "dates", "the deputy must be somebody else")
		}
	}
	for _, x := range r.Swaps {
		if x.On.IsZero() || x.Out == "" || x.In == "" || x.Out == x.In {
			return care.Refuse("bad-swap", "swaps", "want a date and two people")
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
	empty := func(list ...*care.PersonID) {
		for _, p := range list {
			if !may(*p) {
				*p = ""
			}
		}
	}
	r.Slots, r.Dates, r.Swaps = slices.Clone(r.Slots), slices.Clone(r.Dates), slices.Clone(r.Swaps)
	for i := range r.Slots {
		empty(&r.Slots[i].Person, &r.Slots[i].Deputy)
	}
	for i := range r.Dates {
		empty(&r.Dates[i].Person, &r.Dates[i].Deputy)
	}
	for i := range r.Swaps {
		empty(&r.Swaps[i].In)
	}
	return r
}

// OnDuty returns who is on duty at t and who is the deputy. Where the person
// is away the deputy stands in; both empty means a gap. Of overlapping slots
// the first one that has somebody counts.
func OnDuty(r Rota, t time.Time) (person, deputy care.PersonID) {
	_, person, deputy = r.onDuty(t, zone(r.Zone))
	return person, deputy
}

// onDuty returns beside them the date on which their duty began.
func (r Rota) onDuty(t time.Time, loc *time.Location) (start civil.Date, person, deputy care.PersonID) {
	for _, d := range r.Dates {
		if d.covers(t, loc) {
			person, deputy = r.here(d.Date, d.Person, d.Deputy)
			return d.Date, person, deputy
		}
	}
	for _, s := range r.Slots {
		start, ok := r.covers(s, t, loc)
		if !ok {
			continue
		}
		if person, deputy = r.here(start, s.Person, s.Deputy); person != "" {
			return start, person, deputy
		}
	}
	return civil.Date{}, "", ""
}

// here leaves of two people those who are there on a date, whoever took a place in
// a swap included.
func (r Rota) here(start civil.Date, person, deputy care.PersonID) (on, next care.PersonID) {
	var list []care.PersonID
	for _, p := range []care.PersonID{r.swapped(start, person), r.swapped(start, deputy)} {
		if p != "" && !slices.Contains(list, p) && !r.away(p, start) {
			list = append(list, p)
		}
	}
	list = append(list, "", "")
	return list[0], list[1]
}

func (r Rota) swapped(on civil.Date, p care.PersonID) care.PersonID {
	for _, x := range r.Swaps {
		if x.On == on && x.Out == p {
			return x.In
		}
	}
	return p
}

// covers reports whether a slot holds at t, and the date it started on. Both
// ends are instants, so an hour that the wall clock shows twice belongs to the
// slot as a whole.
func (r Rota) covers(s Slot, t time.Time, loc *time.Location) (civil.Date, bool) {
	today := civil.DateOf(t.In(loc))
	for _, start := range []civil.Date{today, today.AddDays(-1)} {
		if r.begins(s, start) && within(t, start, s.From, s.To, loc) {
			return start, true
		}
	}
	return civil.Date{}, false
}

// begins reports whether a slot begins on a date.
func (r Rota) begins(s Slot, start civil.Date) bool {
	weekday := int(start.Weekday())
	if slices.Contains(r.Holidays, start) {
		weekday = 0
	}
	if weekday != s.Weekday {
		return false
	}
	return s.Since.IsZero() || monday(start).DaysSince(monday(s.Since))%14 == 0
}

// monday is the first day of a date's week.
func monday(d civil.Date) civil.Date { return d.AddDays(-(int(d.Weekday()) + 6) % 7) }

func (d Duty) covers(t time.Time, loc *time.Location) bool {
	return within(t, d.Date, d.From, d.To, loc)
}

// within reports whether a stretch that begins on a date holds at t.
func within(t time.Time, start civil.Date, from, to civil.Clock, loc *time.Location) bool {
	end := start
	if to <= from {
		end = start.AddDays(1)
	}
	return !t.Before(civil.At(start, from, loc)) && t.Before(civil.At(end, to, loc))
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
	add := func(list ...care.PersonID) {
		for _, p := range list {
			if p != "" && !slices.Contains(out, p) && !r.away(p, date) {
				out = append(out, p)
			}
		}
	}
	person, deputy := OnDuty(r, t)
	if len(r.Dates)+len(r.Swaps) > 0 {
		add(person, deputy) // who may have no slot at all
	}
	for _, s := range r.Slots {
		add(s.Person, s.Deputy)
	}
	return out
}

// Duties returns who is on duty, stretch by stretch, over a number of calendar days
// from a date on, in order; gaps are left out.
func Duties(r Rota, from civil.Date, days int) []OnDutyFor {
	var out []OnDutyFor
	loc := zone(r.Zone)
	edges := edges(r, care.Contacts{Zone: r.Zone}, from, days)
	for i := 0; i+1 < len(edges); i++ {
		start, person, deputy := r.onDuty(edges[i], loc)
		if person == "" {
			continue
		}
		x := OnDutyFor{start, edges[i], edges[i+1], person, deputy}
		if n := len(out); n > 0 && out[n-1].To.Equal(x.From) && out[n-1].Start == start && out[n-1].Person == person && out[n-1].Deputy == deputy {
			out[n-1].To = x.To
			continue
		}
		out = append(out, x)
	}
	return out
}

// OnDutyFor is a stretch for which somebody is on duty.
type OnDutyFor struct {
	Start    civil.Date // on which the duty began, by which it is swapped
	From, To time.Time  // in the rota's zone
	Person   care.PersonID
	Deputy   care.PersonID
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
		if _, person, _ := r.onDuty(a, loc); person != "" {
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
		for _, x := range r.Dates {
			add(civil.At(day, x.From, loc))
			add(civil.At(day, x.To, loc))
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
