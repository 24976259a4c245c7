package schedule

import (
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
)

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
		if !d.off(t.rule.ID) && d.open(t, date) && t.rule.speaks(date.DaysSince(t.due)) {
			out = append(out, d.steps(d.dated(t, date, date))...)
		}
	}
	return slices.DeleteFunc(out, func(it Item) bool { return !it.At.Before(it.UsefulUntil) })
}

// steps returns a reminder in its newest form and, for a teen's reminder of
// the night, the one to the parents. Quiet hours move each to their end.
func (d day) steps(it Item) []Item {
	for _, s := range d.Snoozes {
		if s.Rule == it.Rule && s.Date == it.Date && s.Count >= 1 && s.Count <= MaxSnoozes && s.Until.After(it.At) {
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

// afterQuiet returns t, or the end of the quiet hours t lies in.
func (d day) afterQuiet(t time.Time) time.Time {
	local := t.In(d.loc)
	if !d.Plan.quiet(civil.ClockOf(local)) {
		return t
	}
	date := civil.DateOf(local)
	if end := civil.At(date, d.Plan.QuietTo, d.loc); end.After(t) {
		return end
	}
	return civil.At(date.AddDays(1), d.Plan.QuietTo, d.loc)
}

func (d day) off(rule string) bool { return slices.Contains(d.Plan.Off, rule) }

func (d day) fired(it Item) bool { return slices.Contains(d.Fired, it.Firing()) }
