package vision

import (
	"fmt"
	"math"
	"slices"
)

// Published and derived constants of the way from acuity to dioptres.
const (
	// LossPerDioptre is the acuity lost per dioptre of myopic blur, in logMAR:
	// the middle of published relations between 0.1 and 0.5 logMAR of loss
	// (Blendowske 2015; CLEERE 2021; 0.5 per dioptre in cyclopleged adults).
	LossPerDioptre = 0.42
	// betweenModels is how far those relations differ, in dioptres (SD).
	betweenModels = 0.15
	// ReadingSD is the standard deviation of one home acuity reading in
	// logMAR, from limits of agreement of ±0.25 in blurred eyes (Rosser 2004,
	// IOVS 45:1076).
	ReadingSD = 0.090
	// BaselineReadings is how many sharp readings make an eye's own baseline.
	BaselineReadings = 7
	// LeastReadings is how many evenings are needed for a range in dioptres:
	// never from one reading (common practice).
	LeastReadings = 3
	// undetectable is the loss at or below which only a censored statement is
	// made, in logMAR.
	undetectable = 0.05
	z95          = 1.959963984540054
)

// VisibleBlur returns the myopic blur in dioptres at a screen distanceM metres
// away for a residual refraction in dioptres (negative is short-sighted): an
// eye with its far point at or beyond the screen sees it sharply, so
// max(0, |R| - 1/d).
func VisibleBlur(residual, distanceM float64) float64 {
	return math.Max(0, -residual-1/distanceM)
}

// BlurSD returns the standard deviation, in dioptres, of a blur derived from
// the mean of n evening readings of SD readingSD logMAR against a baseline of
// [BaselineReadings]. The spread between models does not shrink with n.
func BlurSD(readingSD float64, n int) float64 {
	s := readingSD / LossPerDioptre
	return math.Sqrt(s*s*(1/float64(n)+1.0/BaselineReadings) + betweenModels*betweenModels)
}

// Residual is a range of short-sightedness left, in dioptres.
type Residual struct {
	Enough   bool    // false: too few readings, Low and High mean nothing
	Censored bool    // true: no blur seen, so only "not more than High" is known
	Low      float64 // the milder end, 0 or above
	High     float64 // the stronger end
	N        int     // evening readings used
	Words    string
}

// ResidualFrom turns evening acuities of one eye (logMAR, same distance and
// optotype) into a 95 % range of residual short-sightedness, against that
// eye's own baseline (median of its sharp readings). It needs at least
// [LeastReadings] evenings and [LeastReadings] baseline readings, else the
// answer is "not enough". A distance outside 1 to 10 m is a [RangeError]: a
// near screen hides the regression it should show.
func ResidualFrom(evenings, baseline []float64, distanceM float64) (Residual, error) {
	if err := within("distance_m", distanceM, 1, 10); err != nil {
		return Residual{}, err
	}
	r := Residual{N: len(evenings)}
	if len(evenings) < LeastReadings || len(baseline) < LeastReadings {
		r.Words = fmt.Sprintf("not enough readings: %d evenings and %d at baseline, %d of each needed", len(evenings), len(baseline), LeastReadings)
		return r, nil
	}
	r.Enough = true
	loss := middle(evenings) - middle(baseline)
	half := z95 * BlurSD(ReadingSD, len(evenings))
	if loss <= undetectable {
		r.Censored = true
		r.High = 1/distanceM + half
		r.Words = fmt.Sprintf("no blur seen at %.4g m: short-sightedness left, if any, is not above about %.2g D", distanceM, RoundQuarter(r.High))
		return r, nil
	}
	b := loss / LossPerDioptre
	r.Low, r.High = math.Max(0, b-half)+1/distanceM, b+half+1/distanceM
	if b <= half { // the range of the blur itself reaches none
		r.Low = 0
	}
	r.Words = fmt.Sprintf("about %.2f to %.2f D of short-sightedness left", RoundQuarter(r.Low), RoundQuarter(r.High))
	return r, nil
}

func middle(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}
