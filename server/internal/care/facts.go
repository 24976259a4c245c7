package care

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// SupplyBody is the body of a supply entry.
type SupplyBody struct {
	Item             string     `json:"item"`   // case, solution, lens, holder or drops
	Action           string     `json:"action"` // started, discarded, or kept as a spare
	On               civil.Date `json:"on"`
	Eye              string     `json:"eye"`
	DiscardAfterDays int        `json:"discard_after_days"`
	Label            string     `json:"label"`
	Of               EntryID    `json:"of"`  // the entry of that very thing; empty when none is named
	Why              string     `json:"why"` // of what is discarded: finished or lost
}

// LostLens is an eye, "right" or "left", whose lens was logged as lost on a date, with
// none taken into use since.
type LostLens struct {
	Eye   string
	On    civil.Date
	Spare bool // one for that eye is kept at home
}

// LostLenses returns the eyes that have no lens because it was lost, from one wearer's
// nights with supplies, in order of date.
func LostLenses(nights []Night) []LostLens {
	var have supplies
	var out []LostLens
	spares := map[EntryID][]string{} // eyes, by the entry that says that it is kept
	inUse := func(eye string) bool {
		return slices.ContainsFunc(have.Supplies, func(s schedule.Supply) bool { return s.Item == "lens" && s.Eye == eye })
	}
	for i := range nights {
		for _, it := range nights[i].Items {
			kind, id, _ := strings.Cut(it.Key, "/")
			var b SupplyBody
			if EntryKind(kind) != Supply || json.Unmarshal(Known(Supply, it.Facts[0].Value), &b) != nil {
				continue
			}
			before := map[string]bool{"right": inUse("right"), "left": inUse("left")}
			have.supply(id, it.Facts[0].Value)
			if delete(spares, b.Of); b.Item == "lens" && b.Action == "kept" {
				spares[EntryID(id)] = eyesOfSupply(b.Item, b.Eye)
			}
			out = slices.DeleteFunc(out, func(l LostLens) bool { return inUse(l.Eye) })
			for _, eye := range []string{"right", "left"} {
				if b.Why == "lost" && before[eye] && !inUse(eye) {
					out = append(out, LostLens{Eye: eye, On: b.On})
				}
			}
		}
	}
	for i := range out {
		for _, eyes := range spares {
			out[i].Spare = out[i].Spare || slices.Contains(eyes, out[i].Eye)
		}
	}
	return out
}

// NoLens holds both eyes back while there is none in the place of a lens that was lost:
// of the other eye the clinic is asked, on the safe side (ours). The night before it was
// lost is the last for which one may have been in.
func NoLens(nights []Night) []schedule.Hold {
	lost := LostLenses(nights)
	if len(lost) == 0 {
		return nil
	}
	from := lost[0].On
	for _, l := range lost {
		if l.On.Before(from) {
			from = l.On
		}
	}
	from = from.AddDays(-1)
	return []schedule.Hold{{Eye: "right", From: from}, {Eye: "left", From: from}}
}

// removalsRead is for how many of the last nights logged the schedule is told
// when the lenses came out, and whether they went in again after: it asks about the night that ended and tonight, and
// one may be dated ahead by a wrong clock.
const removalsRead = 3

// ScheduleLog returns what the schedule needs of the log: one wearer's nights
// in order of date, and the wearer's visits.
func ScheduleLog(nights []Night, visits []schedule.Visit) schedule.Log {
	log := supplies{Log: schedule.Log{Visits: visits}}
	for i := range nights {
		n := &nights[i]
		routine := n.Routine()
		if len(nights)-i <= removalsRead {
			w := n.wear()
			routine.RemovedAt = w.removed(n.Date)
			routine.Removed = routine.Removed && !n.inAgain()
			routine.Care = routine.Care && n.cared()
		}
		log.Nights = append(log.Nights, routine)
		if n.yes("care/deposit_removal") {
			log.LastDeposit = n.Date
		}
		for _, it := range n.Items {
			switch kind, id, _ := strings.Cut(it.Key, "/"); EntryKind(kind) {
			case AcuityRun:
				log.LastAcuity = n.Date
			case Supply:
				log.supply(id, it.Facts[0].Value)
			case Pause:
				if p, ok := pauseOf(n.Date, it.Facts[0].Value); ok {
					log.Pauses = append(log.Pauses, p)
				}
			}
		}
	}
	return log.Log
}

// pauseOf reads a pause that a family set from a night on.
func pauseOf(from civil.Date, raw json.RawMessage) (schedule.Pause, bool) {
	p := schedule.Pause{From: from}
	err := json.Unmarshal(Known(Pause, raw), &p)
	p.From = from
	return p, err == nil && !p.To.Before(from)
}

// PausedUntil returns the last night of the family's pause that a night lies
// in, with its reason; zero when there is none. It explains a silence and
// excuses nothing.
func PausedUntil(nights []Night, night civil.Date) (last civil.Date, reason string) {
	for _, p := range ScheduleLog(nights, nil).Pauses {
		if p.Holds(night) && p.To.After(last) {
			last, reason = p.To, p.Reason
		}
	}
	return last, reason
}

// Snoozes returns how often and until when each night's reminders were put
// off, in order of the time put off to.
func Snoozes(nights []Night) []schedule.Snooze {
	var out []schedule.Snooze
	for i := range nights {
		var until []time.Time
		for _, it := range nights[i].Items {
			var v struct {
				Until civil.Clock `json:"until"`
				Zone  string      `json:"zone"`
			}
			if !strings.HasPrefix(it.Key, string(Snooze)+"/") || json.Unmarshal(it.Facts[0].Value, &v) != nil {
				continue
			}
			if loc, err := civil.LoadZone(v.Zone); err == nil {
				until = append(until, civil.AtNight(nights[i].Date, v.Until, loc))
			}
		}
		slices.SortFunc(until, time.Time.Compare)
		for n, at := range until {
			out = append(out, schedule.Snooze{Date: nights[i].Date, Until: at, Count: n + 1})
		}
	}
	return out
}

// supplies adds supply entries to a schedule log.
type supplies struct{ schedule.Log }

// supply puts a started thing in use; the newest of its sort and eye takes the
// place of the one before, except bottles, which each have a date of their own. A
// spare that is kept is not in use.
func (s *supplies) supply(id string, raw json.RawMessage) {
	var b SupplyBody
	if json.Unmarshal(Known(Supply, raw), &b) != nil {
		return
	}
	bottle := b.Item == "solution" || b.Item == "drops"
	for _, eye := range eyesOfSupply(b.Item, b.Eye) {
		same := func(have schedule.Supply) bool { return have.Item == b.Item && have.Eye == eye }
		s.Supplies = slices.DeleteFunc(s.Supplies, func(have schedule.Supply) bool {
			if b.Action == "discarded" && b.Of != "" {
				return have.ID == string(b.Of) && same(have)
			}
			ends := b.Action == "discarded" && (b.Label == "" || b.Label == have.Label) || b.Action == "started" && !bottle
			return same(have) && !have.Started.After(b.On) && ends
		})
		if b.Action != "started" || !bottle && slices.ContainsFunc(s.Supplies, same) { // said late: a newer one is in use
			continue
		}
		s.Supplies = append(s.Supplies, schedule.Supply{ID: id, Item: b.Item, Started: b.On, DiscardAfterDays: b.DiscardAfterDays, Eye: eye, Label: b.Label})
	}
	if b.Action == "started" && b.Item == "lens" {
		s.LensStarts = append(s.LensStarts, b.On)
	}
}

// eyesOfSupply are the eyes a thing is in use for, one by one, so that a new lens
// of one eye leaves the other's as it was; nothing but a lens has an eye.
func eyesOfSupply(item, eye string) []string {
	switch {
	case item != "lens":
		return []string{""}
	case eye == "" || eye == "both":
		return []string{"right", "left"}
	}
	return []string{eye}
}

// Routine returns which parts of the nightly routine were logged. That a case
// was closed is no care by itself: it may be that of the night before, done in
// the afternoon, when the next night has begun.
func (n *Night) Routine() schedule.Night {
	any := func(prefix string) bool {
		return slices.ContainsFunc(n.Items, func(it Item) bool { return strings.HasPrefix(it.Key, prefix) && it.Key != closing })
	}
	return schedule.Night{
		Night: n.Date, Inserted: any("insertion/"), Removed: any("removal/"), Care: any("care/"), EveningSight: any("evening-sight"),
		NotWorn: n.Item("not-worn/left") != nil && n.Item("not-worn/right") != nil,
	}
}

// yes reports whether any live fact of the item says true: where two differ
// the item counts as done for reminders only, never for an alert.
func (n *Night) yes(key string) bool {
	it := n.Item(key)
	return it != nil && slices.ContainsFunc(it.Facts, func(f Fact) bool { return string(f.Value) == "true" })
}
