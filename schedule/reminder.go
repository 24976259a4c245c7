package schedule

import (
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
)

// remind is [Remind]. Nothing is of use beyond the end of its night, so two
// dates are enough.
func (d day) remind() []Item {
	var out []Item
	for n := -1; n <= 0; n++ {
		for _, it := range d.reminders(d.tonight.AddDays(n)) {
			if !it.At.After(d.Now) && it.UsefulUntil.After(d.Now) && !d.fired(it) {
				out = append(out, it)
			}
		}
	}
	slices.SortFunc(out, byTime)
	return out
}

// horizon is how many days ahead [Next] looks: beyond the longest interval of
// a plan in force, two years between visits.
const horizon = 800

// next is [Next].
func (d day) next() time.Time {
	var best time.Time
	for n := -1; n <= horizon; n++ {
		date := d.tonight.AddDays(n)
		if !best.IsZero() && civil.DateOf(best.In(d.loc)).Before(date) {
			break // nothing of this date comes before its midnight
		}
		for _, it := range d.reminders(date) {
			if it.At.After(d.Now) && !d.fired(it) && (best.IsZero() || it.At.Before(best)) {
				best = it.At
			}
		}
	}
	return best
}

// reminders returns all that a date can bring, in the order of the table: its
// nightly items and its dated ones, each with the steps that follow.
func (d day) reminders(date civil.Date) []Item {
	var out []Item
	for _, it := range d.nightly(date, d.Plan.Off) {
		if !d.silenced(it) {
			out = append(out, d.steps(it)...)
		}
	}
	for _, t := range d.targets {
		if d.open(t, date) && t.rule.speaks(date.DaysSince(t.due)) {
			out = append(out, d.steps(d.dated(t, date, date))...)
		}
	}
	return slices.DeleteFunc(out, func(it Item) bool { return !it.At.Before(it.UsefulUntil) })
}

// steps returns a reminder in its newest form and, for a teen's reminder of
// the night, the one to the parents. Quiet hours move each to their end.
func (d day) steps(it Item) []Item {
	for _, s := range d.Snoozes {
		if (s.Rule == it.Rule || s.Rule == "") && s.Date == it.Date && s.Count >= 1 && s.Count <= MaxSnoozes && s.Until.After(it.At) {
			it.At, it.Step = s.Until, fmt.Sprintf("snooze-%d", s.Count)
		}
	}
	out := []Item{it}
	if it.To == "teen" && d.Plan.ParentAfterMinutes > 0 && it.Due.IsZero() {
		p := it
		p.Step, p.To = "parent", "parent"
		p.At = it.At.Add(time.Duration(d.Plan.ParentAfterMinutes) * time.Minute)
		out = append(out, p)
	}
	for i := range out {
		out[i].At = d.afterQuiet(out[i].At)
	}
	return out
}

func (d day) afterQuiet(t time.Time) time.Time { return d.Plan.AfterQuiet(t, d.loc) }

// AfterQuiet returns t, or the end of the quiet hours t lies in on the wall clock
// of a zone.
func (p *Plan) AfterQuiet(t time.Time, loc *time.Location) time.Time {
	local := t.In(loc)
	if !p.quiet(civil.ClockOf(local)) {
		return t
	}
	date := civil.DateOf(local)
	if end := civil.At(date, p.QuietTo, loc); end.After(t) {
		return end
	}
	return civil.At(date.AddDays(1), p.QuietTo, loc)
}

func (d day) fired(it Item) bool { return slices.Contains(d.Fired, it.Firing()) }
