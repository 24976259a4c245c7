package vision

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
)

// The rules of a growth rate.
const (
	// LengthRepeatability is how far two readings of the same eye on the same
	// instrument differ in 95 % of pairs, in mm: interferometry in myopic
	// children, minutes apart (Jpn J Ophthalmol 2007;51:105).
	LengthRepeatability = 0.05
	// LeastMonths is the least time a rate may be taken over (common
	// practice; shorter spans multiply the repeatability).
	LeastMonths = 5
	// firstMonthDays are the days after a first night, and after the end of wear,
	// from which no reading is used: the eye measures shorter by 26 ± 41 µm in the
	// first week and drifts back (Lau 2019); the thinner cornea is back after a month
	// without lenses (PMC9812803).
	firstMonthDays = 28
	// SlowGrowth and RapidGrowth are trial definitions, mm per year: at most
	// 0.18 is slow (Cho and Cheung 2012), above 0.36 rapid (Cho and Cheung
	// 2017). Neither is a limit anyone prescribes.
	SlowGrowth, RapidGrowth = 0.18, 0.36
	// MinLength and MaxLength are the accepted axial lengths, mm.
	MinLength, MaxLength = 14.0, 40.0
)

// YearsBetween returns calendar time from a to b in years: whole months are
// twelfths, days left over are parts of the month they fall in. So 1 January
// to 1 July is 0.5 exactly. It is negative when b is before a.
func YearsBetween(a, b civil.Date) float64 {
	if b.Before(a) {
		return -YearsBetween(b, a)
	}
	months := b.DaysSince(a) / 32 // never too many
	for !b.Before(a.AddMonths(months + 1)) {
		months++
	}
	from, to := a.AddMonths(months), a.AddMonths(months+1)
	part := float64(b.DaysSince(from)) / float64(to.DaysSince(from))
	return (float64(months) + part) / 12
}

// Measured is one reading of one eye: axial length in mm or refraction in
// dioptres. Instrument must be the same text for all readings of a rate.
type Measured struct {
	Date       civil.Date
	Value      float64
	Instrument string
	// Treatment is another treatment at the time, in words; empty: none said.
	Treatment string
}

// LensTime is one course of wear. From is the first night, To the first without
// them by agreement; either may be zero, not known or not yet.
type LensTime struct{ From, To civil.Date }

// period names the time that a reading belongs to: before, on or after lenses, in
// which course when there were several, and under which other treatment; empty
// when neither is known.
func period(courses []LensTime, m Measured) string {
	name := ""
	for i, t := range courses {
		again := ""
		if i > 0 {
			again = fmt.Sprintf(", course %d", i+1)
		}
		switch {
		case t.From.IsZero():
		case m.Date.Before(t.From) && i == 0:
			name = "before lenses"
		case m.Date.Before(t.From): // still in the course before
		case !t.To.IsZero() && !m.Date.Before(t.To):
			name = "after lenses" + again
		default:
			name = "on lenses" + again
		}
	}
	if m.Treatment != "" {
		name = strings.TrimSpace(name + " with " + m.Treatment)
	}
	return name
}

// settling reports whether a reading falls into the four weeks after a first night
// or after the end of wear, in which the cornea changes and the length with it.
func settling(courses []LensTime, d civil.Date) bool {
	return slices.ContainsFunc(courses, func(t LensTime) bool {
		return after(t.From, d) || after(t.To, d)
	})
}

func after(begin, d civil.Date) bool {
	return !begin.IsZero() && !d.Before(begin) && d.DaysSince(begin) < firstMonthDays
}

// GrowthClass sets a rate of axial growth beside the trial definitions.
type GrowthClass string

// The classes. NoRate comes with a reason.
const (
	Shorter  GrowthClass = "shorter than before"
	Slow     GrowthClass = "slow"
	Moderate GrowthClass = "moderate"
	Rapid    GrowthClass = "rapid"
	Within   GrowthClass = "within measurement repeatability"
	NoRate   GrowthClass = "no rate"
)

// Growth is the yearly rate of one eye. Without HasRate only Class and Reason
// mean anything.
type Growth struct {
	HasRate            bool
	Rate, Low, High    float64 // per year, with 95 % limits from repeatability
	Class              GrowthClass
	Reason             string
	Used               int      // readings behind the rate
	Years              float64  // first to last of them
	AgeAtStart, AgeMid float64  // years; the second at the middle of the span
	Period             string   // before, on or after lenses, and under what else; empty when not known
	Earlier            []Growth // of the periods before it that have a rate, in order

	one bool // it has a single reading
}

// AxialGrowth computes the rate of one eye in mm per year by least squares
// over its readings of the latest period; readings before lenses, on lenses, after
// them, in another course of wear and under another treatment are never pooled, and
// the rates of earlier periods stand in Earlier. Courses are in order. Readings of
// the 28 days after a first night and after the end of wear are left out. Different instruments, fewer than [LeastMonths] months and a change within
// repeatability give no rate, in words. A length or date that cannot be is a
// [RangeError].
func AxialGrowth(birth civil.Date, courses []LensTime, readings []Measured) (Growth, error) {
	list := slices.Clone(readings)
	slices.SortStableFunc(list, func(a, b Measured) int { return a.Date.Compare(b.Date) })
	for _, r := range list {
		if err := within("mm", r.Value, MinLength, MaxLength); err != nil {
			return Growth{}, err
		}
		if r.Date.IsZero() || r.Date.Before(birth) {
			return Growth{}, refuse("date", "%s is before the birth on %s", r.Date, birth)
		}
	}
	var all []Growth
	for len(list) > 0 {
		name, n := period(courses, list[0]), 1
		for n < len(list) && period(courses, list[n]) == name {
			n++
		}
		g := rateOf(birth, courses, list[:n])
		g.Period = name
		all, list = append(all, g), list[n:]
	}
	if len(all) == 0 {
		return noRate("there is no reading, and two are needed"), nil
	}
	last := all[len(all)-1]
	if last.one && len(all) > 1 {
		last.Reason = "there is one reading of this stretch, and two are needed; those before it do not count"
	}
	last.Earlier = slices.DeleteFunc(all[:len(all)-1], func(g Growth) bool { return !g.HasRate })
	return last, nil
}

func noRate(format string, args ...any) Growth {
	return Growth{Class: NoRate, Reason: fmt.Sprintf(format, args...)}
}

// rateOf is the rate of the readings of one period, in order.
func rateOf(birth civil.Date, courses []LensTime, list []Measured) Growth {
	total := len(list)
	list = slices.DeleteFunc(slices.Clone(list), func(r Measured) bool { return settling(courses, r.Date) })
	for _, r := range list {
		if !sameInstrument(r.Instrument, list[0].Instrument) {
			return noRate("readings of different instruments (%s, %s) are not compared", list[0].Instrument, r.Instrument)
		}
	}
	if len(list) < 2 {
		if total > len(list) {
			return noRate("readings of the first month of wear, or after its end, start no rate; two others are needed")
		}
		g := noRate("there is one reading, and two are needed")
		g.one = true
		return g
	}
	first, last := list[0], list[len(list)-1]
	if last.Date.Before(first.Date.AddMonths(LeastMonths)) {
		return noRate("readings less than %d months apart give no rate", LeastMonths)
	}
	g := fitRate(birth, list, LengthRepeatability)
	switch { // a millionth of a millimetre is rounding, not growth
	case !g.HasRate:
	case g.Rate < 0:
		g.Class = Shorter
		g.Reason = "the eye measured shorter: a change of the cornea or choroid, or of the measurement, not slow growth"
	case g.Rate <= SlowGrowth+1e-6:
		g.Class = Slow
	case g.Rate <= RapidGrowth+1e-6:
		g.Class = Moderate
	default:
		g.Class = Rapid
	}
	return g
}

// sameInstrument compares two names as people type them: letter case and spaces
// make no other instrument.
func sameInstrument(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// fitRate is ordinary least squares; its limits come from the repeatability,
// or from the scatter of the readings when that is larger.
func fitRate(birth civil.Date, list []Measured, repeat float64) Growth {
	n := float64(len(list))
	first := list[0].Date
	var mx, my float64
	x := make([]float64, len(list))
	for i, r := range list {
		x[i] = YearsBetween(first, r.Date)
		mx, my = mx+x[i]/n, my+r.Value/n
	}
	var sxx, sxy float64
	for i, r := range list {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (r.Value - my)
	}
	g := Growth{Used: len(list), Years: x[len(x)-1], Rate: sxy / sxx}
	g.AgeAtStart = YearsBetween(birth, first)
	g.AgeMid = g.AgeAtStart + g.Years/2
	sd := repeat / z95 / math.Sqrt2
	if len(list) > 2 {
		var rss float64
		for i, r := range list {
			e := r.Value - my - g.Rate*(x[i]-mx)
			rss += e * e
		}
		sd = math.Max(sd, math.Sqrt(rss/(n-2)))
	}
	half := z95 * sd / math.Sqrt(sxx)
	g.Low, g.High = g.Rate-half, g.Rate+half
	if math.Abs(g.Rate*g.Years) <= repeat+1e-9 {
		g.Class = Within
		g.Reason = fmt.Sprintf("the change of %.2f over %.2f years is within the repeatability of ±%.2f", g.Rate*g.Years, g.Years, repeat)
		return g
	}
	g.HasRate = true
	return g
}

// DioptresPerMM returns the change of refraction that goes with one mm of
// axial growth in a myopic child of the given age: 1.74 + 0.05 age (OPO 2022,
// 710 children of 6 to 16 years). It is an estimate only: the cornea is
// altered by treatment.
func DioptresPerMM(ageYears float64) (float64, error) {
	if err := within("age_years", ageYears, 6, 16); err != nil {
		return 0, err
	}
	return 1.74 + 0.05*ageYears, nil
}
