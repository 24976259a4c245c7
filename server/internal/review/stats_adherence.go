package review

import (
	"fmt"
	"math"

	"nightkeep/schedule/civil"
)

// StatsError reports data a statistic cannot be computed from. Field names the
// input, Text says what is accepted.
type StatsError struct{ Field, Text string }

// Error returns the field and the text.
func (e *StatsError) Error() string { return e.Field + ": " + e.Text }

func badStats(field, format string, args ...any) error {
	return &StatsError{field, fmt.Sprintf(format, args...)}
}

// AdherenceShare returns worn of answered nights with Wilson 95 % limits, and
// the bounds the unlogged nights allow: all of them missed, or all worn.
// Counts are 0 to 100,000, at least one night in all. With no answered night
// the share is 0 with limits 0 to 1: nothing is known.
func AdherenceShare(worn, notWorn, unlogged int) (Share, error) {
	for _, c := range []struct {
		field string
		n     int
	}{{"worn", worn}, {"not_worn", notWorn}, {"unlogged", unlogged}} {
		if c.n < 0 || c.n > 100_000 {
			return Share{}, badStats(c.field, "%d nights; accepted is 0 to 100000", c.n)
		}
	}
	if worn+notWorn+unlogged == 0 {
		return Share{}, badStats("worn", "there is no night to count")
	}
	return shareOf(worn, notWorn, unlogged), nil
}

// Circular describes times of day on the clock's circle (Mardia 1972).
type Circular struct {
	MeanMinutes float64 // after midnight, 0 up to 1440; NaN when times all round the clock have no middle
	Resultant   float64 // 0 (no middle) to 1 (always the same time)
	SDMinutes   float64 // circular standard deviation; +Inf when Resultant is 0
}

// Irregular reports a resultant below 0.5, under which a mean time is not
// worth showing (common practice).
func (c Circular) Irregular() bool { return c.Resultant < 0.5 }

// CircularTimes returns the circular mean and spread of local clock times, so
// that 23:50 and 00:10 lie 20 minutes apart. An empty list is a [StatsError].
func CircularTimes(times []civil.Clock) (Circular, error) {
	if len(times) == 0 {
		return Circular{}, badStats("times", "at least one time is needed")
	}
	var sin, cos float64
	for _, t := range times {
		s, c := math.Sincos(2 * math.Pi * float64(t) / minutesPerDay)
		sin, cos = sin+s, cos+c
	}
	n := float64(len(times))
	r := math.Min(1, math.Hypot(sin/n, cos/n))
	if r < 1e-9 {
		return Circular{math.NaN(), 0, math.Inf(1)}, nil
	}
	mean := math.Mod(math.Atan2(sin, cos)*minutesPerDay/(2*math.Pi)+minutesPerDay, minutesPerDay)
	return Circular{mean, r, math.Sqrt(-2*math.Log(r)) * minutesPerDay / (2 * math.Pi)}, nil
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
