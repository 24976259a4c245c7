package care

import (
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// baselineEvenings is how many of the child's own logged evenings make the
// baseline that an evening is held against (no population limit is published).
const baselineEvenings = 14

// AlertNights returns what the rules may look at in the nights of one wearer,
// given in order of date: tonight first, then so many nights back, nil where
// nothing is logged. The nights before those only tell what is usual.
func AlertNights(nights []NightSigns, plan schedule.Plan, tonight civil.Date, back int) []alerts.Night {
	out := make([]alerts.Night, back)
	room := make([]ruleNight, 0, min(len(nights), back)) // one allocation for all
	var ratings [MaxScale + 1][]float64                  // by scale: a new one begins a new baseline
	for i := range nights {
		b := &nights[i]
		ago := tonight.DaysSince(b.Date)
		if ago < 0 {
			break // to come
		}
		s := ruleNight{of: b}
		if ago < back {
			var before *NightSigns
			if i > 0 {
				before = &nights[i-1]
			}
			s.soak = b.soakShort(before, plan.SoakMinutes)
			s.raw = b.peroxideShort(before, s.soak, plan.CareSystem)
		}
		if b.Rating >= 0 {
			rating, own := float64(b.Rating), &ratings[max(b.Scale, 1)]
			if ago < back && len(*own) >= baselineEvenings {
				s.drop = alerts.Number(median((*own)[len(*own)-baselineEvenings:]) - rating)
			}
			*own = append(*own, rating)
		}
		if ago < back {
			room = append(room, s)
			out[ago] = &room[len(room)-1]
		}
	}
	return out
}

// ruleNight are the signs of one night; [alerts.Night].
type ruleNight struct {
	of   *NightSigns
	soak alerts.Value // soak_short
	raw  alerts.Value // peroxide_short
	drop alerts.Value // evening_drop
}

// Value returns one sign; unknown where nobody answered.
func (s *ruleNight) Value(name alerts.Sign) alerts.Value {
	switch name {
	case "soak_short":
		return s.soak
	case "peroxide_short":
		return s.raw
	case "evening_drop":
		return s.drop
	case "worn_minutes":
		return count(s.of.WornMinutes)
	case "redness":
		return count(s.of.Redness)
	case "comfort":
		return count(s.of.Comfort)
	}
	for i := range nightWords {
		if nightWords[i].sign == name && s.of.Words[i] > 0 {
			return alerts.Word(s.of.answer(i))
		}
	}
	return alerts.Value{}
}

// count returns a number of night signs, of which -1 is unknown.
func count(n int) alerts.Value {
	if n < 0 {
		return alerts.Value{}
	}
	return alerts.Number(float64(n))
}

func median(list []float64) float64 {
	var room [baselineEvenings]float64
	sorted := append(room[:0], list...)
	slices.Sort(sorted)
	mid := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[mid]
	}
	return (sorted[mid-1] + sorted[mid]) / 2
}

// stay is one insertion, removal or closing of the case.
type stay struct {
	entry EntryID // of a fact of a folded night; else empty
	eyes  eyeSet
	at    civil.Clock
	on    civil.Date     // of a removal after its night had ended; else zero
	loc   *time.Location // nil when the clock or its zone cannot be read
	slept float64        // minutes, -1 when not said
}

// stayOf reads a wall clock, the zone in which it stands, and what a removal
// says beside it.
func stayOf(body members, clock, zone string) stay {
	s := stay{eyes: body.eyes(), slept: -1}
	if v, ok := decimal(body.get("slept_minutes")); ok {
		s.slept = v
	}
	on, _ := word(body.get("on"))
	s.on, _ = civil.ParseDate(on)
	text, _ := word(body.get(clock))
	at, err := civil.ParseClock(text)
	if err != nil {
		return s
	}
	s.at = at
	s.loc, _ = civil.LoadZone(zone)
	return s
}

// wear is when lenses went in and came out in one night.
type wear struct{ in, out []stay }

// wear reads the night's insertions and removals.
func (n *Night) wear() wear {
	var w wear
	for i, eye := range eyeNames {
		w.in = append(w.in, n.stays("insertion/"+eye, 1<<i)...)
		w.out = append(w.out, n.stays("removal/"+eye, 1<<i)...)
	}
	return w
}

// stays reads an item with a wall clock and a zone.
func (n *Night) stays(key string, eyes eyeSet) []stay {
	it := n.Item(key)
	if it == nil {
		return nil
	}
	var out []stay
	for _, f := range it.Facts {
		m, err := readMembers(f.Value)
		if err != nil {
			continue
		}
		zone, _ := word(m.get("zone"))
		s := stayOf(m, "at", zone)
		s.entry, s.eyes = f.Entry, eyes
		out = append(out, s)
	}
	return out
}

// inserted returns the first insertion, UTC; zero when none is logged.
func (w *wear) inserted(night civil.Date) time.Time {
	var first time.Time
	for i := range w.in {
		if at := w.in[i].insertion(night); !at.IsZero() && (first.IsZero() || at.Before(first)) {
			first = at
		}
	}
	return first
}

func (s *stay) insertion(night civil.Date) time.Time {
	if s.loc == nil {
		return time.Time{}
	}
	return civil.AtNight(night, s.at, s.loc).UTC()
}

// removed returns the last removal, UTC; zero when none is logged.
func (w *wear) removed(night civil.Date) time.Time {
	var last time.Time
	in := w.inserted(night)
	for _, out := range w.out {
		if out.loc == nil {
			continue
		}
		at := Removed(night, out.on, out.at, out.loc, in).UTC()
		if out.on.IsZero() && !in.IsZero() && at.Sub(in) > LongestWear {
			at = civil.AtNight(night, out.at, out.loc).UTC() // before they went in again
		}
		if at.After(last) {
			last = at
		}
	}
	return last
}

// shortest returns the fewest minutes in lenses that the entries allow, over
// eyes and over entries that differ; no more than 960, where the sign ends.
func (w *wear) shortest(night civil.Date) (float64, bool) {
	best, ok := 0.0, false
	consider := func(m float64) {
		if m = min(m, 960); m >= 0 && (!ok || m < best) {
			best, ok = m, true
		}
	}
	for _, out := range w.out {
		consider(out.slept)
		for i := range w.in {
			in := &w.in[i]
			if in.eyes&out.eyes == 0 || in.loc == nil || out.loc == nil {
				continue
			}
			if worn, fits := Worn(night, in.insertion(night), out.on, out.at, out.loc); fits {
				consider(worn.Minutes())
			}
		}
	}
	return best, ok
}

// Limits of a time in lenses.
const (
	// LongestWear is the time from which an insertion and a removal are taken not
	// to belong together when only their clocks are known: 18 hours (common
	// practice; a night's log may cover a lie-in, not a day).
	LongestWear = 18 * time.Hour
	// LongestSaid is the same when the removal names its date: three days, our
	// own limit against a slip of the finger.
	LongestSaid = 72 * time.Hour
)

// Removed returns the instant of a removal that belongs to a night. A night's
// clocks run from 12:00 to 11:59, so lenses that stayed in past noon are out at
// a clock that the night also has in its own afternoon. A removal written
// after its night had ended says its date, on. Without one, a clock of the
// afternoon before the insertion is that of the next day; one after it stands,
// because lenses may come out again the same evening. on and inserted may be
// zero.
func Removed(night, on civil.Date, at civil.Clock, loc *time.Location, inserted time.Time) time.Time {
	if !on.IsZero() {
		return civil.At(on, at, loc)
	}
	out := civil.AtNight(night, at, loc)
	if at >= civil.NightStarts && out.Before(inserted) {
		return civil.At(night.AddDays(1), at, loc)
	}
	return out
}

// Worn returns the time in lenses from an insertion to a removal, see
// [Removed]; fits is false when the two do not belong together.
func Worn(night civil.Date, inserted time.Time, on civil.Date, at civil.Clock, loc *time.Location) (worn time.Duration, fits bool) {
	longest := LongestWear
	if !on.IsZero() {
		longest = LongestSaid
	}
	worn = Removed(night, on, at, loc, inserted).Sub(inserted)
	return worn, worn >= 0 && worn <= longest
}

// RecordNights is how many nights back the rules about the record look, whatever
// the settings: the longest watch after water, and the 14 nights in which a sign
// counts. It covers the longest window and the baseline of evening sight too.
const RecordNights = waterMemory + signMemory

const (
	waterMemory = 120 // nights: the greatest water_watch_days of the rule table
	signMemory  = 14  // nights in which a symptom report counts
	lookedAt    = 2   // nights in which a red or sore morning counts
)

// follows is how many days lie between a sign and the latest of the nights before it,
// or of its own, that it is held against: the fewest of all signs.
type follows struct {
	latest civil.Date // zero for none
	fewest int        // -1 for none
}

func (f *follows) sign(on civil.Date) {
	if f.latest.IsZero() {
		return
	}
	if days := on.DaysSince(f.latest); f.fewest < 0 || days < f.fewest {
		f.fewest = days
	}
}

// tell gives a fact its value, where there is one.
func (f *follows) tell(facts alerts.Signs, name alerts.Sign) {
	if f.fewest >= 0 {
		facts[name] = alerts.Number(float64(f.fewest))
	}
}

// AlertFacts returns the facts of today that follow from nights and plan. Facts
// that need more than the log are left out and so unknown.
func AlertFacts(nights []NightSigns, plan schedule.Plan, today civil.Date) alerts.Signs {
	facts := alerts.Signs{}
	if !plan.FirstNight.IsZero() && !today.Before(plan.FirstNight) {
		facts["nights_since_start"] = alerts.Number(float64(today.DaysSince(plan.FirstNight)))
	}
	signs := 0
	water, flag := follows{fewest: -1}, follows{fewest: -1}
	left := -1 // nights since a check was begun and left; -1 for none
	for i := range nights {
		n := &nights[i]
		ago := today.DaysSince(n.Date)
		if ago < 0 {
			continue
		}
		// Before the signs of the same night: which came first is not known.
		if n.Water || n.WetSaid {
			water.latest = n.Date
		}
		if n.flagged() {
			flag.latest = n.Date
		}
		if ago < signMemory && n.Sign {
			signs++
		}
		if n.Report {
			left = -1
		}
		if n.Left && ago < signMemory {
			left = ago
		}
		if n.signOn(ago) {
			water.sign(n.Date)
		}
		if n.soreOn(ago) {
			flag.sign(n.Date)
		}
	}
	water.tell(facts, "sign_after_water_days")
	flag.tell(facts, "sore_after_flag_days")
	if left >= 0 {
		facts["check_left_nights"] = alerts.Number(float64(left))
	}
	facts["symptoms_last_14"] = alerts.Number(float64(signs))
	return facts
}

// signOn reports whether a night, so many nights before today, has a sign that
// still counts: a report about an eye, or a red or sore morning.
func (b *NightSigns) signOn(ago int) bool {
	return ago < signMemory && b.Sign || ago < lookedAt && b.Redness > 0 || b.soreOn(ago)
}

// soreOn reports whether a night, so many nights before today, has a sore morning that
// still counts.
func (b *NightSigns) soreOn(ago int) bool {
	return ago < lookedAt && b.Comfort >= 0 && b.Comfort <= 1
}

// flagged reports whether a night has a red flag: a report of one, or a red morning.
func (b *NightSigns) flagged() bool { return b.Flag || b.Redness > 0 }

// ofFlag reports whether a night takes part in a sore morning that followed a red flag.
func (b *NightSigns) ofFlag(today civil.Date) bool {
	ago := today.DaysSince(b.Date)
	return ago >= 0 && (b.flagged() || b.soreOn(ago))
}

// ofWater reports whether a night takes part in a sign that followed water. Water said
// in a check does so by what it brings about alone, see [Judging.broughtBy]: the next
// check is asked about the same weeks, and tells of the same water again.
func (b *NightSigns) ofWater(today civil.Date) bool {
	ago := today.DaysSince(b.Date)
	return ago >= 0 && (b.Water || b.signOn(ago))
}
