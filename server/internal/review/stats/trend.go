package stats

import (
	"math"
	"slices"
)

// Trend is a robust straight line.
type Trend struct {
	Slope, Intercept float64
	HasLimits        bool    // false below 5 points
	Low, High        float64 // 95 % limits of the slope
}

// leastForLimits is the number of points below which no limits are given.
const leastForLimits = 5

// TheilSen returns the median of the slopes of all pairs of points, with 95 %
// limits by ranks, the variance corrected for ties (Sen 1968, JASA 63:1379);
// the intercept is median(y) - slope * median(x). It needs 2 to 2000 points
// with at least two different x, else it is a [Error].
func TheilSen(x, y []float64) (Trend, error) {
	if len(x) != len(y) {
		return Trend{}, bad("y", "%d values for %d of x; accepted is as many of each", len(y), len(x))
	}
	if len(x) < 2 || len(x) > 2000 {
		return Trend{}, bad("x", "%d points; accepted is 2 to 2000", len(x))
	}
	var slopes []float64
	for i := range x {
		for j := range i {
			if x[i] != x[j] {
				slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
			}
		}
	}
	if len(slopes) == 0 {
		return Trend{}, bad("x", "all values are the same; at least two different ones are needed")
	}
	t := Trend{Slope: Median(slopes)} // sorts slopes
	t.Intercept = Median(slices.Clone(y)) - t.Slope*Median(slices.Clone(x))
	if len(x) < leastForLimits {
		return t, nil
	}
	n := float64(len(x))
	v := (n*(n-1)*(2*n+5) - tieSum(x) - tieSum(y)) / 18
	z := Z95 * math.Sqrt(math.Max(0, v))
	count := float64(len(slopes))
	low := max(int(math.RoundToEven((count-z)/2))-1, 0)
	high := min(int(math.RoundToEven((count+z)/2)), len(slopes)-1)
	t.HasLimits, t.Low, t.High = true, slopes[low], slopes[high]
	return t, nil
}

// tieSum is the sum of t(t-1)(2t+5) over groups of t equal values.
func tieSum(v []float64) float64 {
	groups := map[float64]float64{}
	for _, a := range v {
		groups[a]++
	}
	var sum float64
	for _, t := range groups {
		sum += t * (t - 1) * (2*t + 5)
	}
	return sum
}

// Approach is the least-squares fit of b1 (1 - exp(-b2 x)).
type Approach struct {
	B1, B2     float64
	SD1, SD2   float64 // standard errors
	RSS        float64 // residual sum of squares
	TimeScales float64 // largest x in units of 1/b2; below 1.5 the two are hard to tell apart
}

// FitApproach fits an exponential approach from 0 by searching b2 alone, b1
// following linearly (variable projection, Golub and Pereyra 1973), and then
// polishing both by Gauss-Newton steps. It needs 3 to 10,000 points with x 0
// or above and at least two different x above 0; data without a best b2, such
// as a straight line, are a [Error].
func FitApproach(x, y []float64) (Approach, error) {
	if len(x) != len(y) {
		return Approach{}, bad("y", "%d values for %d of x; accepted is as many of each", len(y), len(x))
	}
	if len(x) < 3 || len(x) > 10_000 {
		return Approach{}, bad("x", "%d points; accepted is 3 to 10000", len(x))
	}
	top, least := 0.0, math.Inf(1)
	for _, v := range x {
		if v < 0 {
			return Approach{}, bad("x", "%v is below 0; accepted is 0 or above", v)
		}
		if v > 0 {
			top, least = math.Max(top, v), math.Min(least, v)
		}
	}
	if top <= least {
		return Approach{}, bad("x", "at least two different values above 0 are needed")
	}
	b2, ok := searchRate(x, y, 1e-4/top, 50/least)
	if !ok {
		return Approach{}, bad("y", "these points have no best approach: they do not bend towards a limit, or bend at once")
	}
	if math.Exp(-b2*least) < noWayLeft {
		return Approach{}, bad("y", "the limit is reached before the first point; what comes before it tells no rate")
	}
	b1, _ := profile(x, y, b2)
	return polish(x, y, b1, b2, top)
}

// noWayLeft is the share of the way still to go at the first point below which a
// fit has nothing to tell a rate by (our own limit, far below any reading).
const noWayLeft = 1e-6

// profile returns the best b1 for b2 and its residual sum of squares.
func profile(x, y []float64, b2 float64) (b1, rss float64) {
	var gy, gg float64
	for i := range x {
		g := -math.Expm1(-b2 * x[i])
		gy, gg = gy+g*y[i], gg+g*g
	}
	b1 = gy / gg
	for i := range x {
		e := y[i] + b1*math.Expm1(-b2*x[i])
		rss += e * e
	}
	return b1, rss
}

// searchRate finds the lowest point of the profile on a log grid from low to
// high and narrows it by golden section; false when it lies at an end.
func searchRate(x, y []float64, low, high float64) (float64, bool) {
	const steps = 400
	at := func(i int) float64 { return low * math.Pow(high/low, float64(i)/steps) }
	best, where := math.Inf(1), 0
	for i := range steps + 1 {
		if _, rss := profile(x, y, at(i)); rss < best {
			best, where = rss, i
		}
	}
	if where == 0 || where == steps {
		return 0, false
	}
	a, b := at(where-1), at(where+1)
	const golden = 0.6180339887498949
	for range 80 {
		c, d := b-golden*(b-a), a+golden*(b-a)
		_, left := profile(x, y, c)
		if _, right := profile(x, y, d); left < right {
			b = d
		} else {
			a = c
		}
	}
	return (a + b) / 2, true
}

func polish(x, y []float64, b1, b2, top float64) (Approach, error) {
	var a11, a12, a22, rss float64
	for range 6 {
		var g1, g2 float64
		a11, a12, a22, rss = 0, 0, 0, 0
		for i := range x {
			fade := math.Exp(-b2 * x[i])
			j1, j2 := -math.Expm1(-b2*x[i]), b1*x[i]*fade
			e := y[i] - b1*j1
			a11, a12, a22 = a11+j1*j1, a12+j1*j2, a22+j2*j2
			g1, g2, rss = g1+j1*e, g2+j2*e, rss+e*e
		}
		det := a11*a22 - a12*a12
		if !(det > 0) {
			return Approach{}, bad("y", "these points do not tell the limit and the rate apart")
		}
		b1, b2 = b1+(a22*g1-a12*g2)/det, b2+(a11*g2-a12*g1)/det
	}
	det, s2 := a11*a22-a12*a12, rss/float64(len(x)-2)
	return Approach{b1, b2, math.Sqrt(s2 * a22 / det), math.Sqrt(s2 * a11 / det), rss, b2 * top}, nil
}
