// Package stats computes what the figures of one wearer and of a practice need:
// shares with their limits, times round the clock, survival, rates, trends. It is
// pure and knows nothing of lenses. Each names its published source, and refuses
// with an [Error] what it cannot be computed from.
package stats

import (
	"fmt"
	"math"
	"slices"

	"nightkeep/schedule/civil"
)

// MinutesPerDay is the length of the clock's circle.
const MinutesPerDay = 24 * 60

// Error reports data a statistic cannot be computed from. Field names the
// input, Text says what is accepted.
type Error struct{ Field, Text string }

// Error returns the field and the text.
func (e *Error) Error() string { return e.Field + ": " + e.Text }

func bad(field, format string, args ...any) error {
	return &Error{field, fmt.Sprintf(format, args...)}
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
			return Share{}, bad(c.field, "%d nights; accepted is 0 to 100000", c.n)
		}
	}
	if worn+notWorn+unlogged == 0 {
		return Share{}, bad("worn", "there is no night to count")
	}
	return ShareOf(worn, notWorn, unlogged), nil
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
// that 23:50 and 00:10 lie 20 minutes apart. An empty list is a [Error].
func CircularTimes(times []civil.Clock) (Circular, error) {
	if len(times) == 0 {
		return Circular{}, bad("times", "at least one time is needed")
	}
	var sin, cos float64
	for _, t := range times {
		s, c := math.Sincos(2 * math.Pi * float64(t) / MinutesPerDay)
		sin, cos = sin+s, cos+c
	}
	n := float64(len(times))
	r := math.Min(1, math.Hypot(sin/n, cos/n))
	if r < 1e-9 {
		return Circular{math.NaN(), 0, math.Inf(1)}, nil
	}
	mean := math.Mod(math.Atan2(sin, cos)*MinutesPerDay/(2*math.Pi)+MinutesPerDay, MinutesPerDay)
	return Circular{mean, r, math.Sqrt(-2*math.Log(r)) * MinutesPerDay / (2 * math.Pi)}, nil
}

// Median returns the middle of x, 0 when there is none. x is sorted in place.
func Median(x []float64) float64 { return Quantile(x, 0.5) }

// Quantile returns the q-quantile by linear interpolation between order
// statistics (definition 7 of Hyndman and Fan 1996). x is sorted in place.
func Quantile(x []float64, q float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	pos := q * float64(len(x)-1)
	i := int(pos)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	return x[i] + (pos-float64(i))*(x[i+1]-x[i])
}
