package review

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/stats"
)

// lateAfter is the delay from which a night counts as written late: 24 hours
// after it ended (common practice; what is written the next day is memory).
const lateAfter = 24 * time.Hour

// batchNights is how many past nights written on one day read as one sitting
// from memory: 3 (common practice).
const batchNights = 3

// firstOf is when a night was first written about.
type firstOf struct{ recv, wall time.Time }

// nightEntries are the kinds that say how a night went; a symptom report or a
// supply says nothing about wear.
func aboutNight(k care.EntryKind) bool {
	switch k {
	case care.Insertion, care.Removal, care.NotWorn, care.Care, care.Morning, care.EveningSight:
		return true
	}
	return false
}

// firstEntries returns, for each night, when its first entry was received and
// when, by the phone's clock, it was written.
func firstEntries(entries []*care.Entry, wearer care.WearerID) map[civil.Date]firstOf {
	first := map[civil.Date]firstOf{}
	for _, e := range entries {
		if e.Wearer != wearer || !aboutNight(e.Kind) {
			continue
		}
		wall, err := e.Instant()
		if err != nil {
			continue
		}
		f, ok := first[e.Night]
		if at := e.Received(); !ok || at.Before(f.recv) {
			f.recv = at
		}
		if !ok || wall.Before(f.wall) {
			f.wall = wall
		}
		first[e.Night] = f
	}
	return first
}

// plannedTimes returns, for each night, the insertion and removal times that are the
// plan's as it stood: "in 21:30". An entry that mended one has another time.
func plannedTimes(entries []*care.Entry, wearer care.WearerID) map[civil.Date][]string {
	out := map[civil.Date][]string{}
	for _, e := range entries {
		if e.Wearer != wearer || e.Kind != care.Insertion && e.Kind != care.Removal {
			continue
		}
		var b struct {
			At      string `json:"at"`
			Planned bool   `json:"planned"`
		}
		if json.Unmarshal(care.Known(e.Kind, e.Body), &b) == nil && b.Planned {
			out[e.Night] = append(out[e.Night], string(e.Kind)+" "+b.At)
		}
	}
	return out
}

// endOf is the instant at which night d ends: 12:00 on the day after, in loc.
func endOf(d civil.Date, loc *time.Location) time.Time {
	return civil.At(d.AddDays(1), civil.NightStarts, loc)
}

// trustOf fills the block that says how far the log can be relied on, and
// LateHours of each row.
func (s *state) trustOf() Trust {
	t := Trust{Batches: []Batch{}, ClockNotes: []ClockNote{}, Words: []string{}}
	first := firstEntries(s.in.Entries, s.in.Wearer.ID)
	var late []float64
	batches := map[civil.Date]int{}
	logged, stopped := 0, 0 // stopped: nothing logged, and nothing to log
	for i := range s.nights {
		row := &s.nights[i].row
		if row.Differs {
			t.Differ++
		}
		f, ok := first[row.Night]
		if !ok || s.nights[i].log == nil {
			if row.Held == HeldStop {
				stopped++
			}
			continue
		}
		logged++
		loc := s.zones.get(s.zoneOf(row.Night))
		end := endOf(row.Night, loc)
		h := math.Round(math.Max(0, f.recv.Sub(end).Hours())*10) / 10
		row.LateHours = &h
		late = append(late, h)
		if f.recv.Sub(end) > lateAfter {
			t.LateNights++
		}
		if f.wall.Sub(end) > lateAfter {
			t.LateWritten++
			batches[civil.DateOf(f.wall.In(loc))]++
		}
	}
	t.Unlogged = stats.ShareOf(len(s.nights)-logged-stopped, logged, 0)
	t.LateMedianHours = stats.Median(late)
	for d, n := range batches {
		if n >= batchNights {
			t.Batches = append(t.Batches, Batch{d, n})
		}
	}
	s.markNights(first, batches)
	slices.SortFunc(t.Batches, func(a, b Batch) int { return a.On.Compare(b.On) })
	s.entryNotes(&t)
	t.words()
	return t
}

// zoneOf is the zone written with any entry of the night.
func (s *state) zoneOf(d civil.Date) string { return s.zoneByNight[d] }

func (s *state) entryNotes(t *Trust) {
	notes := map[care.DeviceID]*ClockNote{}
	for _, e := range s.in.Entries {
		if e.Wearer != s.in.Wearer.ID || e.Night.Before(s.from) || e.Night.After(s.to) {
			continue
		}
		t.Entries++
		if len(e.Supersedes) > 0 {
			t.Corrections++
		}
		if e.Retracts != "" {
			t.Retractions++
		}
		if e.Via != "" {
			t.HandedIn++
		}
		if abs(e.SkewMS) <= care.SkewLimit.Milliseconds() {
			continue
		}
		n := notes[e.Device]
		if n == nil {
			n = &ClockNote{Device: e.Device}
			notes[e.Device] = n
		}
		n.Entries++
		if abs(e.SkewMS) > abs(n.MaxSkew) {
			n.MaxSkew = e.SkewMS
		}
	}
	for _, n := range notes {
		t.ClockNotes = append(t.ClockNotes, *n)
	}
	slices.SortFunc(t.ClockNotes, func(a, b ClockNote) int { return int(abs(b.MaxSkew) - abs(a.MaxSkew)) })
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

func (t *Trust) words() {
	say := func(format string, args ...any) { t.Words = append(t.Words, fmt.Sprintf(format, args...)) }
	if t.Unlogged.Answered() == 0 {
		say("There is no night to judge the log by.")
		return
	}
	say("%s without an entry of %d (%d %%).", plural(t.Unlogged.Done, "night", "nights"), t.Unlogged.Answered(), t.Unlogged.Percent())
	switch {
	case t.LateWritten > 0:
		say("%s first written more than a day after the night ended, by the phone's own clock.", plural(t.LateWritten, "night was", "nights were"))
	case t.LateNights > 0:
		say("%s received more than a day late, though written on time: the phone had no connection.", plural(t.LateNights, "night was", "nights were"))
	}
	for _, b := range t.Batches {
		say("On %s, %d past nights were written in one day.", b.On, b.Nights)
	}
	if t.Differ > 0 {
		say("Two entries disagree on %s; the worse one is counted.", plural(t.Differ, "night", "nights"))
	}
	if t.HandedIn > 0 {
		say("%s handed in by another phone of the family; the phone of origin has not sent the same.",
			plural(t.HandedIn, "entry was", "entries were"))
	}
	for _, c := range t.ClockNotes {
		say("A phone's clock was off by %s on %s.", span(c.MaxSkew), plural(c.Entries, "entry", "entries"))
	}
}

func span(ms int64) string {
	d := (time.Duration(abs(ms)) * time.Millisecond).Round(time.Minute)
	text := fmt.Sprintf("%d min", int(d.Minutes()))
	if d >= 2*time.Hour {
		text = fmt.Sprintf("%.1f h", d.Hours())
	}
	if ms < 0 {
		return text + " behind"
	}
	return text + " ahead"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
