package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// SurvivalStep is the share still wearing, Survival, just after Time. SE is Greenwood's
// standard error; it is not defined, and NaN, once the share is 0.
type SurvivalStep struct {
	Time, Survival, SE float64
	AtRisk             int // just before Time
}

// KaplanMeier returns the curve of continued wear with one step per time at
// which somebody stopped (Kaplan and Meier 1958, Greenwood 1926). Events are
// times of stopping, censored the times at which wearers still wore; the unit
// is the caller's. Someone censored at the time of an event is still at risk
// for it. Times must be 0 or above, at least one in all, else it is a
// [Error].
func KaplanMeier(events, censored []float64) ([]SurvivalStep, error) {
	all := slices.Concat(events, censored)
	if len(all) == 0 || len(all) > 100_000 {
		return nil, bad("events", "%d times; accepted is 1 to 100000, events and censored together", len(all))
	}
	slices.Sort(all)
	if !(all[0] >= 0) {
		return nil, bad("events", "%v is below 0; accepted is 0 or above", all[0])
	}
	stops := slices.Sorted(slices.Values(events))
	out := []SurvivalStep{}
	share, green := 1.0, 0.0
	for i := 0; i < len(stops); {
		t := stops[i]
		d := 0
		for i < len(stops) && stops[i] == t {
			i, d = i+1, d+1
		}
		before, _ := slices.BinarySearch(all, t)
		n := len(all) - before
		share *= float64(n-d) / float64(n)
		green += float64(d) / (float64(n) * float64(n-d))
		out = append(out, SurvivalStep{t, share, share * math.Sqrt(green), n})
	}
	return out, nil
}

// PoissonRate returns events per 10,000 person-years with exact 95 % limits
// from the chi-square distribution (Garwood 1936), of which a quantile is twice
// the inverse of the regularised incomplete gamma function. Events are 0 to 1,000,000;
// person-years above 0, at most 1e9.
func PoissonRate(events int, personYears float64) (per10000, low, high float64, err error) {
	if events < 0 || events > 1_000_000 {
		return 0, 0, 0, bad("events", "%d; accepted is a whole number from 0 to 1000000", events)
	}
	if !(personYears > 0 && personYears <= 1e9) {
		return 0, 0, 0, bad("person_years", "%v; accepted is above 0, at most 1e9", personYears)
	}
	scale := 10_000 / personYears
	k := float64(events)
	if events > 0 {
		low = mathext.GammaIncRegInv(k, 0.025) * scale
	}
	high = mathext.GammaIncRegInv(k+1, 0.975) * scale
	return k * scale, low, high, nil
}
