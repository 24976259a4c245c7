package vision

import "math"

// Shape names a psychometric function.
type Shape string

// The shapes. x is the size shown and t the threshold, in the same log10
// units; g is the guess rate and l the lapse rate.
const (
	Weibull  Shape = "weibull"  // 1-l-(1-g-l) exp(-10^(slope (x-t))), Watson 2017
	Logistic Shape = "logistic" // g+(1-g-l)/(1+exp(-(x-t)/scale))
	Normal   Shape = "normal"   // g+(1-g-l) Phi((x-t)/sd)
)

// Psychometric is the chance of a right answer at each distance from
// threshold. Spread is the slope of a Weibull, the scale of a logistic, the
// standard deviation of a normal. Threshold means t itself, which is not the
// 50 % point when guessing is possible.
type Psychometric struct {
	Shape  Shape
	Spread float64 // above 0, at most 1000
	Guess  float64 // 0 to 0.99
	Lapse  float64 // 0 to 0.5, with Guess + Lapse below 1
}

// Check returns a [RangeError] when p is no psychometric function.
func (p Psychometric) Check() error {
	switch p.Shape {
	case Weibull, Logistic, Normal:
	default:
		return refuse("shape", "%q is not known; accepted is weibull, logistic or normal", p.Shape)
	}
	if !(p.Spread > 0 && p.Spread <= 1000) {
		return refuse("spread", "%v is outside the accepted: above 0, at most 1000", p.Spread)
	}
	if err := within("guess", p.Guess, 0, 0.99); err != nil {
		return err
	}
	if err := within("lapse", p.Lapse, 0, 0.5); err != nil {
		return err
	}
	if p.Guess+p.Lapse >= 1 {
		return refuse("lapse", "guess and lapse together must stay below 1")
	}
	return nil
}

// Correct returns the probability of a right answer to size x when the
// threshold is t.
func (p Psychometric) Correct(x, t float64) float64 {
	room := 1 - p.Guess - p.Lapse
	switch p.Shape {
	case Weibull:
		return 1 - p.Lapse - room*math.Exp(-math.Pow(10, p.Spread*(x-t)))
	case Logistic:
		return p.Guess + room/(1+math.Exp(-(x-t)/p.Spread))
	default:
		return p.Guess + room*math.Erfc(-(x-t)/(p.Spread*math.Sqrt2))/2
	}
}
