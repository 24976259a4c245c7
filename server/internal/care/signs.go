package care

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
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
func AlertNights(nights []Brief, plan schedule.Plan, tonight civil.Date, back int) []alerts.Night {
	out := make([]alerts.Night, back)
	room := make([]nightSigns, 0, min(len(nights), back)) // one allocation for all
	ratings := make([]float64, 0, 64)
	for i := range nights {
		b := &nights[i]
		ago := tonight.DaysSince(b.Date)
		if ago < 0 {
			break // to come
		}
		s := nightSigns{brief: b}
		if ago < back && i > 0 {
			s.soak = b.soakShort(&nights[i-1], plan.SoakMinutes)
		} else if ago < back {
			s.soak = b.soakShort(nil, plan.SoakMinutes)
		}
		if b.Rating >= 0 {
			rating := float64(b.Rating)
			if ago < back && len(ratings) >= baselineEvenings {
				s.drop = alerts.Number(median(ratings[len(ratings)-baselineEvenings:]) - rating)
			}
			ratings = append(ratings, rating)
		}
		if ago < back {
			room = append(room, s)
			out[ago] = &room[len(room)-1]
		}
	}
	return out
}

// nightSigns are the signs of one night; [alerts.Night].
type nightSigns struct {
	brief *Brief
	soak  alerts.Value // soak_short
	drop  alerts.Value // evening_drop
}

// Value returns one sign; unknown where nobody answered.
func (s *nightSigns) Value(name alerts.Sign) alerts.Value {
	switch name {
	case "soak_short":
		return s.soak
	case "evening_drop":
		return s.drop
	case "worn_minutes":
		return count(s.brief.WornMinutes)
	case "redness":
		return count(s.brief.Redness)
	case "comfort":
		return count(s.brief.Comfort)
	}
	for i := range briefWords {
		if w := &briefWords[i]; w.sign == name && s.brief.Words[i] > 0 {
			return alerts.Word(w.answers[s.brief.Words[i]-1])
		}
	}
	return alerts.Value{}
}

// count returns a number of a brief, of which -1 is unknown.
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

// words returns every live value of an item that is a word.
func (n *Night) words(key string) []string {
	it := n.Item(key)
	if it == nil {
		return nil
	}
	var out []string
	for _, f := range it.Facts {
		if s, ok := word(f.Value); ok {
			out = append(out, s)
		}
	}
	return out
}

// word reads a JSON string; the common ones without a decoder.
func word(raw json.RawMessage) (string, bool) {
	if len(raw) > 1 && raw[0] == '"' && plain(raw) {
		return string(raw[1 : len(raw)-1]), true
	}
	var s string
	return s, json.Unmarshal(raw, &s) == nil
}

// numbers returns every live value of an item, or of a field of it, that is a
// number.
func (n *Night) numbers(key, field string) []float64 {
	it := n.Item(key)
	if it == nil {
		return nil
	}
	var out []float64
	for _, f := range it.Facts {
		raw := f.Value
		if field != "" {
			m, err := readMembers(raw)
			if err != nil {
				continue
			}
			raw, _ = m.get(field)
		}
		if v, err := strconv.ParseFloat(string(raw), 64); err == nil {
			out = append(out, v)
		}
	}
	return out
}

// worst returns the last of the answers, harmless to worst, that anybody gave.
func worst(given, answers []string) (string, bool) {
	for _, a := range slices.Backward(answers) {
		if slices.Contains(given, a) {
			return a, true
		}
	}
	return "", false
}

func (n *Night) wornSigns(s alerts.Signs) {
	in := [2]bool{n.Item("insertion/left") != nil, n.Item("insertion/right") != nil}
	not := [2]bool{n.Item("not-worn/left") != nil, n.Item("not-worn/right") != nil}
	switch {
	case not[0] && not[1]:
		s["worn"] = alerts.Word("no")
	case not[0] || not[1]:
		s["worn"] = alerts.Word("partial")
	case in[0] && in[1]:
		s["worn"] = alerts.Word("yes")
	case in[0] || in[1]:
		s["worn"] = alerts.Word("partial")
	}
	if ill, ok := n.ill(); ok && (in[0] || in[1]) {
		s["worn_while_ill"] = alerts.Word(ill)
	}
}

// stay is one insertion, removal or closing of the case as the fold keeps it.
type stay struct {
	at    civil.Clock
	on    civil.Date     // of a removal after its night had ended; else zero
	loc   *time.Location // nil when the zone is not known here
	slept float64        // minutes, -1 when not said
}

// wear is when lenses went in and came out in one night, by eye: left, right.
type wear struct{ in, out [2][]stay }

func (n *Night) wear() wear {
	var w wear
	for i, eye := range []string{"left", "right"} {
		w.in[i], w.out[i] = n.stays("insertion/"+eye), n.stays("removal/"+eye)
		if i == 0 && n.sameFor("insertion") && n.sameFor("removal") {
			w.in[1], w.out[1] = w.in[0], w.out[0] // both eyes at once, as nearly always
			break
		}
	}
	return w
}

// sameFor reports whether the same was stated for both eyes.
func (n *Night) sameFor(kind EntryKind) bool {
	left, right := n.Item(string(kind)+"/left"), n.Item(string(kind)+"/right")
	if left == nil || right == nil {
		return left == right
	}
	return slices.EqualFunc(left.Facts, right.Facts, func(a, b Fact) bool { return string(a.Value) == string(b.Value) })
}

// inserted returns the first insertion, UTC; zero when none is logged.
func (w *wear) inserted(night civil.Date) time.Time {
	var first time.Time
	for _, s := range slices.Concat(w.in[0], w.in[1]) {
		if at := s.insertion(night); !at.IsZero() && (first.IsZero() || at.Before(first)) {
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
	for _, out := range slices.Concat(w.out[0], w.out[1]) {
		if out.loc == nil {
			continue
		}
		if at := Removed(night, out.on, out.at, out.loc, in).UTC(); at.After(last) {
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
	for i := range w.in {
		for _, out := range w.out[i] {
			consider(out.slept)
			for _, in := range w.in[i] {
				if in.loc == nil || out.loc == nil {
					continue
				}
				if worn, fits := Worn(night, in.insertion(night), out.on, out.at, out.loc); fits {
					consider(worn.Minutes())
				}
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

// stays reads an item with a wall clock and a zone.
func (n *Night) stays(key string) []stay {
	it := n.Item(key)
	if it == nil {
		return nil
	}
	var out []stay
	for _, f := range it.Facts {
		v := struct {
			At    civil.Clock `json:"at"`
			On    civil.Date  `json:"on"`
			Zone  string      `json:"zone"`
			Slept float64     `json:"slept_minutes"`
		}{Slept: -1}
		if json.Unmarshal(f.Value, &v) != nil {
			continue
		}
		s := stay{at: v.At, on: v.On, slept: v.Slept}
		if loc, err := civil.LoadZone(v.Zone); err == nil {
			s.loc = loc
		}
		out = append(out, s)
	}
	return out
}

func (n *Night) ill() (string, bool) {
	var given []string
	for _, it := range n.Items {
		if !strings.HasPrefix(it.Key, "symptoms/") {
			continue
		}
		for _, f := range it.Facts {
			var v struct {
				Ill string `json:"ill"`
			}
			if json.Unmarshal(f.Value, &v) == nil {
				given = append(given, v.Ill)
			}
		}
	}
	return worst(given, []string{"no", "yes"})
}

func (n *Night) careSigns(s alerts.Signs) {
	for _, name := range []string{"tap_water", "topping_off", "water_contact"} {
		if answer, ok := n.yesNo("care/" + name); ok {
			s[alerts.Sign(name)] = alerts.Word(answer)
		}
	}
	if slices.Contains(n.words("care/rinse"), "tap-water") {
		s["tap_water"] = alerts.Word("yes")
	}
}

// yesNo returns the worse of what was said about something that is better not
// done.
func (n *Night) yesNo(key string) (string, bool) {
	it := n.Item(key)
	if it == nil {
		return "", false
	}
	if n.yes(key) {
		return "yes", true
	}
	return "no", true
}

func (n *Night) morningSigns(s alerts.Signs) {
	switch w, _ := worst(append(n.words("morning/moved"), n.stuckInReport()...), []string{"freely", "stuck-came-off", "stuck"}); w {
	case "freely":
		s["stuck"] = alerts.Word("no")
	case "stuck-came-off":
		s["stuck"] = alerts.Word("came-off")
	case "stuck":
		s["stuck"] = alerts.Word("stuck")
	}
	var halos []string
	if it := n.Item(string(EveningSight)); it != nil {
		for _, f := range it.Facts {
			if m, err := readMembers(f.Value); err == nil {
				raw, _ := m.get("halos")
				answer, _ := word(raw) // an empty one is none of the answers
				halos = append(halos, answer)
			}
		}
	}
	if w, ok := worst(halos, []string{"none", "some", "troublesome"}); ok {
		s["halos"] = alerts.Word(w)
	}
}

func (n *Night) worstRating() (float64, bool) {
	v := n.numbers(string(EveningSight), "rating")
	if len(v) == 0 {
		return 0, false
	}
	return slices.Min(v), true
}

// waterMemory is how many nights back a contact with water is looked for.
const waterMemory = 60

// AlertFacts returns the facts of today that follow from nights and plan. Facts
// that need more than the log are left out and so unknown.
func AlertFacts(nights []Brief, plan schedule.Plan, today civil.Date) alerts.Signs {
	facts := alerts.Signs{}
	if !plan.FirstNight.IsZero() && !today.Before(plan.FirstNight) {
		facts["nights_since_start"] = alerts.Number(float64(today.DaysSince(plan.FirstNight)))
	}
	signs := 0
	for i := range nights {
		n := &nights[i]
		ago := today.DaysSince(n.Date)
		if ago < 0 {
			continue
		}
		if ago < 14 && n.Sign {
			signs++
		}
		if ago <= waterMemory && n.Water {
			facts["water_contact_days_ago"] = alerts.Number(float64(ago)) // nights are in order, so the latest stays
		}
	}
	facts["symptoms_last_14"] = alerts.Number(float64(signs))
	return facts
}

func (n *Night) water() bool {
	return n.yes("care/tap_water") || n.yes("care/water_contact") || slices.Contains(n.words("care/rinse"), "tap-water")
}

// anySign reports whether a symptom report of the night comes to more than a
// note, as the rules judge it: awareness on insertion alone pages nobody.
func (n *Night) anySign() bool {
	for _, it := range n.Items {
		if !strings.HasPrefix(it.Key, "symptoms/") {
			continue
		}
		var r alerts.Report
		if json.Unmarshal(it.Facts[0].Value, &r) == nil && alerts.Default().Triage(r).Level >= alerts.Routine {
			return true
		}
	}
	return false
}

// stuckInReport returns the lens states of the night's symptom reports, as
// answers of a morning check.
func (n *Night) stuckInReport() []string {
	var out []string
	for _, it := range n.Items {
		if !strings.HasPrefix(it.Key, "symptoms/") {
			continue
		}
		var r alerts.Report
		if json.Unmarshal(it.Facts[0].Value, &r) == nil {
			out = append(out, r.Right["lens"], r.Left["lens"])
		}
	}
	return out
}
