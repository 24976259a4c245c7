package schedule

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
)

// silenced reports whether a nightly rule holds its tongue on a date: after
// several reminders in a row to which nothing was logged it speaks more rarely. Never
// so of a lens that is known to be in: it must come out.
func (d day) silenced(it Item) bool {
	if it.Rule == "removal" && d.night(it.Date).Inserted {
		return false
	}
	var last civil.Date
	sent := 0
	for _, f := range d.Fired {
		if f.Key == it.Rule && f.Date.Before(it.Date) && !d.answeredSince(it, f.Date) {
			sent++
			last = later(f.Date, last)
		}
	}
	return sent > 0 && it.Date.DaysSince(last) < d.rule(it.Rule).every(sent)
}

// answeredSince reports whether the log answers the rule of an item for a
// night from one date up to the item's own.
func (d day) answeredSince(it Item, from civil.Date) bool {
	for _, n := range d.Log.Nights {
		if !n.Night.Before(from) && n.Night.Before(it.Date) && done(it.Rule, n) {
			return true
		}
	}
	return false
}

func (d day) rule(id string) *Rule {
	rules := Rules()
	return &rules[slices.IndexFunc(rules, func(r Rule) bool { return r.ID == id })]
}

// done reports whether a night's log answers a nightly rule.
func done(rule string, n Night) bool {
	switch rule {
	case "insertion":
		return n.Inserted || n.NotWorn
	case "removal":
		return n.Removed || n.NotWorn
	case "care":
		return n.Care || n.NotWorn
	case "evening-sight":
		return n.EveningSight
	}
	return false
}

// nightly returns the items of the nightly routine that a night brings and
// that its log does not answer, but for the rules left out.
func (d day) nightly(date civil.Date, without []string) []Item {
	var out []Item
	logged, asked := d.night(date), d.asked(date)
	for _, r := range Rules() {
		if r.ThenEveryDays != 0 || r.ID == "sync" || !asked || done(r.ID, logged) || slices.Contains(without, r.ID) {
			continue
		}
		it := d.item(&r, date)
		if d.wanted(r.ID, it) {
			out = append(out, it)
		}
	}
	return out
}

// asked reports whether a night's routine is reminded of: the plan asks for
// lenses and the family has not paused it. A lens that is in must come out,
// whatever was paused.
func (d day) asked(night civil.Date) bool {
	return d.Plan.Wearing(night) && (!paused(d.Log.Pauses, night) || d.night(night).Inserted)
}

// wanted reports whether the log, as far as it is known before the item's
// instant, asks for a nightly item in a night of wear. What the log has yet to say is
// taken to ask for it.
func (d day) wanted(rule string, it Item) bool {
	n, early := d.night(it.Date), d.Now.Before(it.At)
	if !d.allows(rule, it.Date) || d.Log.Ended && (rule != "removal" || !n.Inserted) {
		return false
	}
	switch rule {
	case "evening-sight":
		return d.asked(it.Date.AddDays(-1))
	case "care":
		return n.Removed || early
	case "spectacles":
		return n.NotWorn || (early || d.heldSince(it.Date)) && !n.Inserted
	}
	return true
}

// item returns the bare item of a rule on a date.
func (d day) item(r *Rule, date civil.Date) Item {
	at := civil.AtNight(date, d.Plan.clockOn(r.At, date), d.loc)
	if r.ID == "care" {
		if removed := d.night(date).RemovedAt; removed.After(at) {
			at = removed
		}
	}
	at = at.Add(time.Duration(r.PlusMinutes) * time.Minute)
	it := Item{Rule: r.ID, Date: date, To: r.To, At: at, Key: r.Key, Group: r.Group}
	if it.To == "first" {
		it.To = d.Plan.RemindFirst
	}
	if free := d.free(date); len(free) == 1 && (r.ID == "insertion" && d.Plan.Eyes == "both" || r.ID == "care" && d.stopped(date)) {
		it.Eye = free[0]
	}
	switch r.Until {
	case "night-end":
		it.UsefulUntil = civil.At(date.AddDays(1), civil.NightStarts, d.loc)
	case "full-night":
		out := civil.AtNight(date, d.Plan.WearTo, d.loc)
		it.UsefulUntil = out.Add(-time.Duration(d.Plan.MinHours * float64(time.Hour)))
		if hour := at.Add(time.Hour); hour.After(it.UsefulUntil) {
			it.UsefulUntil = hour
		}
	default:
		it.UsefulUntil = at.Add(time.Duration(r.Useful) * time.Minute)
	}
	return it
}
