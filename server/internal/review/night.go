package review

import (
	"encoding/json"
	"math"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/stats"
)

// handling is the value of an insertion or removal fact.
type handling struct {
	At    civil.Clock `json:"at"`
	On    civil.Date  `json:"on"` // of a removal after its night had ended; else zero
	Zone  string      `json:"zone"`
	Slept *int        `json:"slept_minutes"`
}

func handlings(it *care.Item) []handling {
	if it == nil {
		return nil
	}
	var out []handling
	for _, f := range it.Facts {
		var h handling
		if json.Unmarshal(f.Value, &h) == nil {
			out = append(out, h)
		}
	}
	return out
}

// locations remembers zones by name: loading one reads a table each time.
type locations map[string]*time.Location

func (l locations) get(name string) *time.Location {
	if loc := l[name]; loc != nil {
		return loc
	}
	loc, err := civil.LoadZone(name)
	if err != nil {
		loc = time.UTC
	}
	l[name] = loc
	return loc
}

// hoursBetween returns the hours in lenses of night d, or NaN when the two
// clocks make no sense together. Each clock is read in the zone at its own
// writing, so a changed clock or a flight is counted right.
func hoursBetween(d civil.Date, in, out handling, zones locations) float64 {
	from := civil.AtNight(d, in.At, zones.get(in.Zone))
	if worn, fits := care.Worn(d, from, out.On, out.At, zones.get(out.Zone)); fits {
		return worn.Hours()
	}
	return math.NaN()
}

// leftIn reports whether lenses came out only after the night had ended, at
// noon by the clock of the removal.
func leftIn(d civil.Date, in, out handling, zones locations) bool {
	loc := zones.get(out.Zone)
	removed := care.Removed(d, out.On, out.At, loc, civil.AtNight(d, in.At, zones.get(in.Zone)))
	return !removed.Before(civil.At(d.AddDays(1), civil.NightStarts, loc))
}

// eyeNight is what the log allows for one eye in one night: each status that
// some pair of its facts gives.
type eyeNight struct {
	worn, short, missed bool
	leftIn              bool    // out only after the night had ended, by some pair
	hours               float64 // the fewest; NaN when not known
	reason              string
	in, out             *handling
}

// worse returns the status counted: the worse of those the log allows.
func (e eyeNight) worse() Status {
	switch {
	case e.missed:
		return Missed
	case e.short:
		return Short
	case e.worn:
		return Worn
	}
	return NotLogged
}

func (e eyeNight) differs() bool {
	n := 0
	for _, b := range []bool{e.worn, e.short, e.missed} {
		if b {
			n++
		}
	}
	return n > 1
}

func readEye(n *care.Night, eye string, minHours float64, zones locations) eyeNight {
	e := eyeNight{hours: math.NaN()}
	ins, outs := handlings(n.Item("insertion/"+eye)), handlings(n.Item("removal/"+eye))
	if not := n.Item("not-worn/" + eye); not != nil {
		var v struct{ Reason string }
		_ = json.Unmarshal(not.Facts[0].Value, &v)
		e.missed, e.reason = true, v.Reason
	}
	if len(ins) > 0 {
		e.in = &ins[0]
	}
	if len(outs) > 0 {
		e.out = &outs[0]
	}
	for _, in := range ins {
		for _, out := range outs {
			h := hoursBetween(n.Date, in, out, zones)
			e.leftIn = e.leftIn || leftIn(n.Date, in, out, zones)
			if math.IsNaN(e.hours) || h < e.hours {
				e.hours = h
			}
			switch {
			case h < minHours:
				e.short = true
			default:
				e.worn = true
			}
		}
	}
	if len(ins)+len(outs) > 0 && !e.short {
		e.worn = true
	}
	return e
}

var severity = map[Status]int{NotLogged: 0, Worn: 1, Short: 2, Missed: 3}

// nightRow reads one folded night under the plan in force; n may be nil.
func nightRow(d civil.Date, n *care.Night, plan PlanFacts, zones locations) NightRow {
	r := NightRow{Night: d, Status: NotLogged, Counted: NotLogged, MinHours: plan.minHours()}
	if n == nil {
		return r
	}
	eyes := map[string]eyeNight{}
	for _, eye := range plan.eyes() {
		eyes[eye] = readEye(n, eye, r.MinHours, zones)
	}
	differ := false
	for _, eye := range plan.eyes() {
		e := eyes[eye]
		differ = differ || e.differs()
		if severity[e.worse()] > severity[r.Counted] {
			r.take(eye, e)
		}
	}
	if len(eyes) == 2 && eyes["right"].worse() == eyes["left"].worse() {
		r.Eye = ""
	}
	if left, right := eyes["left"], eyes["right"]; len(eyes) == 2 && r.Eye == "" && (left.hours < right.hours || math.IsNaN(right.hours)) {
		r.take("", left)
	}
	r.Status = r.Counted
	if differ {
		r.Status = Differ
	}
	for _, e := range eyes {
		r.LeftIn = r.LeftIn || e.leftIn
	}
	for _, it := range n.Items {
		r.Differs = r.Differs || it.Differ
	}
	r.Differs = r.Differs || differ
	return r
}

func (r *NightRow) take(eye string, e eyeNight) {
	r.Counted, r.Eye, r.Reason = e.worse(), eye, e.reason
	r.Hours, r.In, r.Out, r.Zone, r.SleptMinutes = nil, "", "", "", nil
	if r.Counted == Missed && e.in == nil && e.out == nil {
		return
	}
	if !math.IsNaN(e.hours) {
		h := math.Round(e.hours*100) / 100
		r.Hours = &h
	}
	if e.in != nil {
		r.In, r.Zone = e.in.At.String(), e.in.Zone
	}
	if e.out != nil {
		r.Out, r.SleptMinutes = e.out.At.String(), e.out.Slept
	}
}

func (p PlanFacts) minHours() float64 {
	if p.MinHours > 0 {
		return p.MinHours
	}
	return DefaultMinHours
}

func (p PlanFacts) eyes() []string {
	if p.Eyes == "right" || p.Eyes == "left" {
		return []string{p.Eyes}
	}
	return []string{"right", "left"}
}

// count tallies rows by status; it expects them in order of night.
func count(rows []NightRow) Counts {
	c := Counts{Nights: len(rows), Reasons: map[string]int{}}
	run := 0
	for _, r := range rows {
		if r.Held != "" {
			c.held(r.Held)
			run = 0
			continue
		}
		switch r.Status {
		case Worn:
			c.Worn++
		case Short:
			c.Short++
		case Missed:
			c.Missed++
		case NotLogged:
			c.NotLogged++
		case Differ:
			c.Differ++
		}
		if r.Status == Worn && r.Hours == nil {
			c.NoHours++
		}
		if r.Counted == Missed {
			c.Reasons[r.Reason]++
			run++
		} else {
			run = 0
		}
		c.LongestMissed = max(c.LongestMissed, run)
	}
	return c
}

// wearShare is nights worn, short ones too, by the status counted. Nights under
// a stop are left out; those at rest stand in its bounds.
func wearShare(rows []NightRow) stats.Share {
	var done, not, unknown, rest int
	for _, r := range rows {
		switch {
		case r.Held == HeldStop:
		case r.Held == HeldRest:
			rest++
		case r.worn():
			done++
		case r.Counted == Missed:
			not++
		default:
			unknown++
		}
	}
	return stats.ShareOf(done, not, unknown).Resting(rest)
}

func (c *Counts) Add(d Counts) {
	c.Nights += d.Nights
	c.Worn += d.Worn
	c.Short += d.Short
	c.Missed += d.Missed
	c.NotLogged += d.NotLogged
	c.Differ += d.Differ
	c.Stopped += d.Stopped
	c.Rest += d.Rest
	c.NoHours += d.NoHours
	for reason, n := range d.Reasons {
		c.Reasons[reason] += n
	}
	c.LongestMissed = max(c.LongestMissed, d.LongestMissed)
}

// Streaks returns the length of the run of worn nights that ends at the last
// row, and the longest run. A missed night ends a run; a night nobody wrote
// about ends it too, since it cannot be counted as worn. A night that the wear
// state kept without lenses is passed over. Rows are one per night in order.
func Streaks(rows []NightRow) (current, longest int) {
	for _, r := range rows {
		if r.Held != "" {
			continue
		}
		if r.Status == Worn || r.Status == Short {
			current++
			longest = max(longest, current)
			continue
		}
		current = 0
	}
	return current, longest
}
