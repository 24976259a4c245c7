package vision

import "math"

// The effect model, per eye. Its state is the treatment effect E in dioptres,
// from 0 (untreated) to T, the size of the error before treatment.
//
// Asleep in lenses E grows towards the lens's own target; out of lenses it
// decays:
//
//	dE/dt = (T + Past - E)/on  while worn, E held at T once it gets there
//	dE/dt = -E/off             while not worn
//
// The target lies past full correction, as designs are made, so that the
// effect outlasts the day; the residual shown never goes beyond plano. The
// growth rate is expressed as First, the share of T removed by a first night
// of 8 hours.
const (
	// Past is how far the lens's target lies past full correction, in dioptres:
	// designs aim 0.75 D past it, whatever the error (Wan 2020). A multiple of the
	// error would let high errors settle sooner than published.
	Past = 0.75
	// nightHours is the night that First refers to.
	nightHours = 8.0

	// PriorFirst is the prior median of First: 58 % of the sphere after one
	// night (Chan, Cho and Cheung 2008); 50 % and 67 % are published too
	// (Sánchez-García 2024; keratometry in a 4-month study of 15 eyes).
	PriorFirst = 0.58
	// priorFirstSD is its spread on the logit scale, so that 90 % of eyes lie
	// between 0.38 and 0.76 (own assumption, wider than the published means).
	priorFirstSD = 0.5
	// PriorOff is the prior median of off, in hours: 95 % recovery two weeks
	// after stopping (Soni 2004), three time constants.
	PriorOff = 14.0 / 3 * 24
	// priorOffSD is its spread on the log scale, so that 90 % of eyes recover
	// between 1 and 4 weeks, the published span (Hiraoka 2009; Lau 2019).
	priorOffSD = 0.45
)

// WornNight is one calendar night as the model sees it: hours asleep in lenses
// and then the hours out of lenses until the next insertion. A missed night
// has Worn 0; its sleep counts among the hours out of lenses.
type WornNight struct {
	Worn  float64 // hours, 0 to 24
	Awake float64 // hours out of lenses afterwards, 0 to 48
}

// Check returns a [RangeError] for hours that no night can have.
func (n WornNight) Check() error {
	if err := within("worn_hours", n.Worn, 0, 24); err != nil {
		return err
	}
	return within("awake_hours", n.Awake, 0, 48)
}

// Rates are one eye's two rates.
type Rates struct {
	First float64 // share of T removed by a first night of 8 h, above 0, below 1
	Off   float64 // hours, time constant of the loss
}

// PublishedRates are the prior medians.
func PublishedRates() Rates { return Rates{PriorFirst, PriorOff} }

// on is the time constant of growth of an error t above 0, in hours.
func (r Rates) on(t float64) float64 { return -nightHours / math.Log(1-r.First*t/(t+Past)) }

// Wear returns the effect after hours asleep in lenses, from effect e; t is
// the size of the error before treatment. Both are in dioptres, 0 or above.
func (r Rates) Wear(e, t, hours float64) float64 {
	if t <= 0 {
		return 0
	}
	aim := t + Past
	return math.Min(t, aim-(aim-e)*math.Exp(-hours/r.on(t)))
}

// Lose returns the effect after hours out of lenses, from effect e.
func (r Rates) Lose(e, hours float64) float64 { return e * math.Exp(-hours/r.Off) }

// Course returns the effect in dioptres on each morning after removal.
func (r Rates) Course(t float64, nights []WornNight) []float64 {
	out := make([]float64, len(nights))
	e := 0.0
	for i, n := range nights {
		e = r.Wear(e, t, n.Worn)
		out[i] = e
		e = r.Lose(e, n.Awake)
	}
	return out
}

// ClearLimit is the residual in dioptres beyond which distant sight counts as
// blurred: half a dioptre (in children of 7 to 9 years a spherical equivalent
// of -0.50 D went with acuity worse than 0.3 logMAR in 93 %, Luo 2006).
const ClearLimit = 0.50

// ClearHours returns how many hours after removal the residual stays within
// [ClearLimit], from morning effect e of an error t; at most 24.
func (r Rates) ClearHours(e, t float64) float64 {
	const day = 24
	if t <= ClearLimit {
		return day
	}
	if e <= t-ClearLimit {
		return 0
	}
	return math.Min(day, r.Off*math.Log(e/(t-ClearLimit)))
}
