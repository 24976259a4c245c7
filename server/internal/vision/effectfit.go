package vision

import (
	"fmt"
	"math"
	"slices"
)

// Reading is one look at the effect during the day after a night. Exactly one
// of Rating, Acuity and Refraction is used: the first that is set.
type Reading struct {
	Night int     // index of the night before it, from 0
	Hours float64 // since removal, 0 to 48
	// Rating is the evening rating, 1 to 5, 5 as clear as in the morning; 0
	// when this is another kind of reading.
	Rating int
	// Loss is the acuity lost against the eye's own baseline in logMAR, seen
	// at Distance metres; used when Distance is above 0.
	Loss, Distance float64
	// Residual is a measured refraction in dioptres (negative short-sighted)
	// with its SD; used when neither of the others is.
	Residual, SD float64
}

// How readings are weighed (own assumptions where no source is named).
const (
	blurPerGrade = 0.35 // dioptres of visible blur per grade of rating lost; the pictures a child points at are drawn in steps of it (pwa/app/model/defocus.js)
	ratingSD     = 0.50 // dioptres
	farMetres    = 6.0  // where a child looks when rating distant sight
	refractionSD = 0.25 // dioptres, when a measured refraction states none
	outlierShare = 0.05 // of readings tell nothing
	outlierSD    = 1.5  // dioptres, spread of those
)

// seen returns what the reading shows, what it would show at residual res, and
// its SD, all in dioptres.
func (r Reading) seen(res float64) (got, want, sd float64) {
	switch {
	case r.Rating > 0:
		return blurPerGrade * float64(5-r.Rating), VisibleBlur(res, farMetres), ratingSD
	case r.Distance > 0:
		return math.Max(0, r.Loss) / LossPerDioptre, VisibleBlur(res, r.Distance), BlurSD(ReadingSD, 1)
	case r.SD > 0:
		return -r.Residual, -res, r.SD
	}
	return -r.Residual, -res, refractionSD
}

// likelihood is a normal with a wide normal behind it, so that one wild
// reading cannot carry the fit. A reading of no blur says only "none seen".
func (r Reading) likelihood(res float64) float64 {
	got, want, sd := r.seen(res)
	if got == 0 && (r.Rating > 0 || r.Distance > 0) {
		return (1-outlierShare)*below(-want/sd) + outlierShare*below(-want/outlierSD)
	}
	return (1-outlierShare)*bell(got-want, sd) + outlierShare*bell(got-want, outlierSD)
}

func bell(x, sd float64) float64 {
	return math.Exp(-x*x/(2*sd*sd)) / (sd * math.Sqrt(2*math.Pi))
}

func below(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// gridSide is the number of steps per rate; gridWidth its reach in prior SD.
const (
	gridSide  = 41
	gridWidth = 4.0
)

// EffectFit is the posterior of one eye's rates on a fixed grid. It holds no
// random part: the same input gives the same answer.
type EffectFit struct {
	T        float64 // size of the error before treatment, dioptres
	Nights   []WornNight
	readings []Reading
	rates    []Rates
	weight   []float64
	courses  [][]float64
	best     Rates
	course   []float64
}

// FitEffect fits the model to one eye. Baseline is the spherical equivalent
// before treatment in dioptres, -12 to 0; nights run from the first one worn.
// Readings may be empty: then the published rates speak alone. A wrong input
// is a [RangeError].
func FitEffect(baseline float64, nights []WornNight, readings []Reading) (*EffectFit, error) {
	if err := checkEffect(baseline, nights, readings); err != nil {
		return nil, err
	}
	f := &EffectFit{T: -baseline + 0, Nights: nights, readings: readings}
	f.spread()
	f.weigh()
	return f, nil
}

func checkEffect(baseline float64, nights []WornNight, readings []Reading) error {
	if err := within("baseline_d", baseline, -12, 0); err != nil {
		return err
	}
	if len(nights) == 0 || len(nights) > 5000 {
		return refuse("nights", "%d nights; accepted is 1 to 5000", len(nights))
	}
	for _, n := range nights {
		if err := n.Check(); err != nil {
			return err
		}
	}
	for _, r := range readings {
		if r.Night < 0 || r.Night >= len(nights) {
			return refuse("night", "%d is not one of the %d nights", r.Night+1, len(nights))
		}
		if r.Rating < 0 || r.Rating > 5 {
			return refuse("rating", "%d is outside the accepted 1 to 5", r.Rating)
		}
		if err := within("hours", r.Hours, 0, 48); err != nil {
			return err
		}
	}
	return nil
}

// spread lays the grid over both priors and computes every course.
func (f *EffectFit) spread() {
	logit := math.Log(PriorFirst / (1 - PriorFirst))
	for i := range gridSide {
		for j := range gridSide {
			a, b := gridZ(i), gridZ(j)
			r := Rates{1 / (1 + math.Exp(-logit-priorFirstSD*a)), PriorOff * math.Exp(priorOffSD*b)}
			f.rates = append(f.rates, r)
			f.weight = append(f.weight, -(a*a+b*b)/2) // log, until weighed
			f.courses = append(f.courses, r.Course(f.T, f.Nights))
		}
	}
}

func gridZ(i int) float64 { return gridWidth * (2*float64(i)/(gridSide-1) - 1) }

func (f *EffectFit) weigh() {
	for k, r := range f.rates {
		for _, x := range f.readings {
			f.weight[k] += math.Log(x.likelihood(r.Lose(f.courses[k][x.Night], x.Hours) - f.T))
		}
	}
	top := slices.Max(f.weight)
	var sum, first, off float64
	for k := range f.weight {
		f.weight[k] = math.Exp(f.weight[k] - top)
		sum += f.weight[k]
	}
	for k, r := range f.rates {
		f.weight[k] /= sum
		first += f.weight[k] * math.Log(r.First/(1-r.First))
		off += f.weight[k] * math.Log(r.Off)
	}
	f.best = Rates{1 / (1 + math.Exp(-first)), math.Exp(off)}
	f.course = f.best.Course(f.T, f.Nights)
}

// Interval is a value with its 90 % limits.
type Interval struct{ Value, Low, High float64 }

// over returns the 5 % and 95 % points of what of computes for each pair of
// rates, beside its value at the central rates.
func (f *EffectFit) over(of func(r Rates, course []float64) float64) Interval {
	type point struct{ x, w float64 }
	points := make([]point, len(f.rates))
	for k, r := range f.rates {
		points[k] = point{of(r, f.courses[k]), f.weight[k]}
	}
	slices.SortFunc(points, func(a, b point) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	out := Interval{Value: of(f.best, f.course), Low: points[0].x, High: points[len(points)-1].x}
	var sum float64
	lowSet := false
	for _, p := range points {
		sum += p.w
		if !lowSet && sum >= 0.05 {
			out.Low, lowSet = p.x, true
		}
		if sum >= 0.95 {
			out.High = p.x
			break
		}
	}
	return out
}

// Rates returns the central rates.
func (f *EffectFit) Rates() Rates { return f.best }

// RateIntervals returns First and Off with their 90 % limits.
func (f *EffectFit) RateIntervals() (first, off Interval) {
	return f.over(func(r Rates, _ []float64) float64 { return r.First }),
		f.over(func(r Rates, _ []float64) float64 { return r.Off })
}

// Residuals returns the refraction left on each morning after removal, in
// dioptres, 0 or below.
func (f *EffectFit) Residuals() []float64 {
	out := make([]float64, len(f.course))
	for i, e := range f.course {
		out[i] = e - f.T
	}
	return out
}

// Residual returns the refraction left, with 90 % limits, hours after removal
// following night i.
func (f *EffectFit) Residual(i int, hours float64) Interval {
	return f.over(func(r Rates, c []float64) float64 { return r.Lose(c[i], hours) - f.T })
}

// ClearHours returns the hours of clear sight expected after the last night,
// with 90 % limits, 0 to 24; see [Rates.ClearHours].
func (f *EffectFit) ClearHours() Interval {
	return f.over(func(r Rates, c []float64) float64 { return r.ClearHours(c[len(c)-1], f.T) })
}

// Missing returns the refraction expected in the evening, hours after removal
// time, when the given number of nights (0 to 7) after the last one are missed.
func (f *EffectFit) Missing(nights int, hours float64) Interval {
	return f.Residual(len(f.Nights)-1, hours+24*float64(nights))
}

// Status answers whether an eye follows the published course.
type Status string

// The answers. Behind is a reason to look, not a fault of anyone.
const (
	OnCourse  Status = "on course"
	Behind    Status = "behind"
	NotEnough Status = "not enough data"
)

const (
	// leastNights and leastReadings are needed for any answer but NotEnough
	// (common practice: never from one reading).
	leastNights   = 3
	leastReadings = 3
	// behindBy is how far under the slowest published course counts, in
	// dioptres; surely and hardly are the posterior chances that decide.
	behindBy = 0.25
	surely   = 0.90
	hardly   = 0.50
)

// SlowestPublished is the slow end of the published figures: half the error
// removed by the first night and 95 % recovery in one week.
func SlowestPublished() Rates { return Rates{0.50, 7.0 / 3 * 24} }

// Status compares the eye with the slowest published course over the nights it
// was really worn, so missed nights alone never make it "behind".
func (f *EffectFit) Status() (Status, string) {
	if len(f.Nights) < leastNights || len(f.readings) < leastReadings {
		return NotEnough, fmt.Sprintf("%d nights and %d readings; %d of each are needed", len(f.Nights), len(f.readings), leastNights)
	}
	slow := SlowestPublished().Course(f.T, f.Nights)
	last := len(slow) - 1
	var under float64
	for k, c := range f.courses {
		if c[last] < slow[last]-behindBy {
			under += f.weight[k]
		}
	}
	switch {
	case under >= surely:
		return Behind, fmt.Sprintf("the effect lies more than %.2f D under the slowest published course for the nights worn", behindBy)
	case under <= hardly:
		return OnCourse, "the effect follows the published courses for the nights worn"
	}
	return NotEnough, "the readings do not tell yet"
}

// Drift says whether readings worsen in a way the nights worn do not explain.
type Drift string

// The answers of [EffectFit.Drift].
const (
	NoDrift        Drift = "no drift"
	MissedExplains Drift = "explained by the nights missed"
	SlowDrift      Drift = "slow drift not explained by the nights worn"
	DriftUnknown   Drift = "not enough data"
)

const (
	driftReadings = 8    // least number of readings
	driftNights   = 14   // least span, nights
	driftDioptres = 0.25 // least worsening over the span
)

// Drift regresses blur on the night, once as read and once after taking away
// what the nights worn predict. Worsening that survives that is a slow drift;
// worsening that does not comes from the nights missed. It needs 8 readings
// over 14 nights and a worsening of at least 0.25 D and two standard errors.
func (f *EffectFit) Drift() Drift {
	var x, raw, left, sds []float64
	for _, r := range f.readings {
		res := f.best.Lose(f.course[r.Night], r.Hours) - f.T
		got, want, sd := r.seen(res)
		x, raw, left, sds = append(x, float64(r.Night)), append(raw, got), append(left, got-want), append(sds, sd)
	}
	if len(x) < driftReadings || slices.Max(x)-slices.Min(x) < driftNights {
		return DriftUnknown
	}
	switch {
	case worsens(x, left, sds):
		return SlowDrift
	case worsens(x, raw, sds):
		return MissedExplains
	}
	return NoDrift
}

// worsens reports a weighted least-squares slope above two standard errors
// and [driftDioptres] over the span.
func worsens(x, y, sd []float64) bool {
	var w, wx, wy float64
	for i := range x {
		p := 1 / (sd[i] * sd[i])
		w, wx, wy = w+p, wx+p*x[i], wy+p*y[i]
	}
	var sxx, sxy float64
	for i := range x {
		p := 1 / (sd[i] * sd[i])
		sxx += p * (x[i] - wx/w) * (x[i] - wx/w)
		sxy += p * (x[i] - wx/w) * (y[i] - wy/w)
	}
	slope := sxy / sxx
	return slope*math.Sqrt(sxx) > 2 && slope*(slices.Max(x)-slices.Min(x)) >= driftDioptres
}
