package vision

import (
	"fmt"
	"math"
)

// Trial is one optotype shown and its answer. Size is what was really drawn.
type Trial struct {
	Size    float64 // logMAR
	Correct bool
}

// AcuityModel is what an estimate rests on; store its printed form with every
// result, so that a later reading can redo it.
type AcuityModel struct {
	Psychometric
	// Spreads, when not empty, are estimated together with the threshold and
	// take the place of Spread; every one is equally likely beforehand.
	Spreads []float64
	// From, To and Step make the grid of thresholds and of sizes to choose
	// from, in logMAR.
	From, To, Step float64
	// PriorMean and PriorSD describe a normal prior over the grid; PriorSD 0
	// means a uniform prior.
	PriorMean, PriorSD float64
}

// maxGrid bounds the work of one placement.
const maxGrid = 1001

// DefaultAcuity is the model of the home test: four directions (guess 1/4), a
// normal function of SD 0.12 logMAR, lapses 4 % as for children, thresholds
// -0.3 to 1.3 in steps of 0.02, prior mean 0.3 and SD 0.35. A model a little
// too flat is the safe side: when the eye is flatter than assumed the reported
// SD is too small (own simulation).
func DefaultAcuity() AcuityModel {
	return AcuityModel{
		Psychometric: Psychometric{Normal, 0.12, 0.25, 0.04},
		From:         -0.3, To: 1.3, Step: 0.02, PriorMean: 0.3, PriorSD: 0.35,
	}
}

// String names the model with every constant.
func (m AcuityModel) String() string {
	return fmt.Sprintf("%s spread=%v%v guess=%v lapse=%v grid=%v..%v/%v prior=%v,%v v1",
		m.Shape, m.Spread, m.Spreads, m.Guess, m.Lapse, m.From, m.To, m.Step, m.PriorMean, m.PriorSD)
}

// Acuity is the posterior of a threshold after any number of trials. Its value
// does not depend on their order.
type Acuity struct {
	model  AcuityModel
	psi    []Psychometric
	grid   []float64
	post   [][]float64 // by spread, by threshold; sums to 1
	trials []Trial
}

// NewAcuity returns the prior of m. It refuses a function, grid or prior that
// makes no sense with a [RangeError].
func NewAcuity(m AcuityModel) (*Acuity, error) {
	a := &Acuity{model: m}
	spreads := m.Spreads
	if len(spreads) == 0 {
		spreads = []float64{m.Spread}
	}
	for _, s := range spreads {
		p := m.Psychometric
		p.Spread = s
		if err := p.Check(); err != nil {
			return nil, err
		}
		a.psi = append(a.psi, p)
	}
	var err error
	if a.grid, err = makeGrid(m.From, m.To, m.Step); err != nil {
		return nil, err
	}
	if m.PriorSD < 0 {
		return nil, refuse("prior", "sd %v must be above 0", m.PriorSD)
	}
	for range a.psi {
		row := make([]float64, len(a.grid))
		for i, t := range a.grid {
			row[i] = 1
			if m.PriorSD > 0 {
				z := (t - m.PriorMean) / m.PriorSD
				row[i] = math.Exp(-z * z / 2)
			}
		}
		a.post = append(a.post, row)
	}
	return a, a.normalise()
}

func makeGrid(from, to, step float64) ([]float64, error) {
	if !(step > 0) || !(to > from) || (to-from)/step > maxGrid-1+1e-9 {
		return nil, refuse("grid", "[%v, %v, %v] is not read; accepted is [from, to, step] with from below to, step above 0, and at most %d points", from, to, step, maxGrid)
	}
	n := int(math.Floor((to-from)/step+1e-9)) + 1
	grid := make([]float64, n)
	for i := range grid {
		grid[i] = math.Round((from+float64(i)*step)*1e12)/1e12 + 0
	}
	return grid, nil
}

func (a *Acuity) normalise() error {
	var sum float64
	for _, row := range a.post {
		for _, p := range row {
			sum += p
		}
	}
	if !(sum > 0) {
		return refuse("trials", "these answers are impossible under this model; give it a guess and a lapse rate above 0, or a prior within the grid")
	}
	for _, row := range a.post {
		for i := range row {
			row[i] /= sum
		}
	}
	return nil
}

// Add takes one answer into the estimate (Bayes on the grid). It fails when
// the model makes the answers so far impossible.
func (a *Acuity) Add(t Trial) error {
	for k, row := range a.post {
		for i := range row {
			p := a.psi[k].Correct(t.Size, a.grid[i])
			if !t.Correct {
				p = 1 - p
			}
			row[i] *= p
		}
	}
	a.trials = append(a.trials, t)
	return a.normalise()
}

// Mean and SD describe the threshold in logMAR after the trials so far.
func (a *Acuity) Mean() float64 { m, _ := a.moments(); return m }

// SD is the posterior standard deviation in logMAR. It is too small for a
// child who lapses more than the model allows; see [Acuity.Verdict].
func (a *Acuity) SD() float64 { _, sd := a.moments(); return sd }

func (a *Acuity) moments() (mean, sd float64) {
	for _, row := range a.post {
		for i, p := range row {
			mean += p * a.grid[i]
		}
	}
	for _, row := range a.post {
		for i, p := range row {
			sd += p * (a.grid[i] - mean) * (a.grid[i] - mean)
		}
	}
	return mean, math.Sqrt(sd)
}

// MeanSpread returns the posterior mean of the spread; it is the model's own
// number when only one is allowed.
func (a *Acuity) MeanSpread() float64 {
	var mean float64
	for k, row := range a.post {
		for _, p := range row {
			mean += p * a.psi[k].Spread
		}
	}
	return mean
}

// Mode returns the most likely threshold; the first of equals.
func (a *Acuity) Mode() float64 {
	best, at := -1.0, 0
	for i := range a.grid {
		var p float64
		for _, row := range a.post {
			p = math.Max(p, row[i])
		}
		if p > best+1e-15 {
			best, at = p, i
		}
	}
	return a.grid[at]
}

// Next returns the size on the grid with the least expected entropy of the
// posterior after its answer, the first of equals (Watson 2017, J Vis
// 17(3):10).
func (a *Acuity) Next() float64 {
	best, at := math.Inf(1), 0
	for i, x := range a.grid {
		if h := a.expectedEntropy(x); h < best-1e-12 {
			best, at = h, i
		}
	}
	return a.grid[at]
}

// expectedEntropy uses H(post|r) = ln P(r) - (1/P(r)) sum q ln q with q the
// unnormalised posterior, so that each answer needs one pass.
func (a *Acuity) expectedEntropy(x float64) float64 {
	var pr, qlnq [2]float64
	for k, row := range a.post {
		for i, p := range row {
			c := a.psi[k].Correct(x, a.grid[i])
			for r, q := range [2]float64{p * (1 - c), p * c} {
				if q > 0 {
					pr[r] += q
					qlnq[r] += q * math.Log(q)
				}
			}
		}
	}
	var h float64
	for r := range pr {
		if pr[r] > 0 {
			h += pr[r]*math.Log(pr[r]) - qlnq[r]
		}
	}
	return h
}

// NextAtMean returns the grid size nearest the posterior mean plus offset
// (King-Smith and others 1994, Vision Res 34:885).
func (a *Acuity) NextAtMean(offset float64) float64 {
	want, at := a.Mean()+offset, 0
	for i, x := range a.grid {
		if math.Abs(x-want) < math.Abs(a.grid[at]-want)-1e-12 {
			at = i
		}
	}
	return a.grid[at]
}

// The rules of the home test, in trials and logMAR. 24 trials leave an error
// of 0.03 to 0.05 logMAR for a child who answers as modelled (own simulation,
// in keeping with ±0.10 published for runs of 24 in adults, Bach and Schäfer
// 2016).
const (
	LeastTrials   = 12   // never stop before
	MostTrials    = 32   // always stop; adults need no more than 24
	GoodSD        = 0.05 // stop when reached
	UnreliableSD  = 0.07 // above it at the end, the run is not used
	EasyEvery     = 6    // every sixth optotype is easy
	EasyOffset    = 0.3  // by this much above the mean
	LapseOffset   = 0.4  // an optotype this far above threshold cannot be missed
	LapsesAllowed = 1    // misses of such an optotype
)

// NextSize is the size of the next optotype of the home test: every
// [EasyEvery]th is an easy one, which keeps a child going and shows lapses;
// the others are placed by [Acuity.Next].
func (a *Acuity) NextSize() float64 {
	if (len(a.trials)+1)%EasyEvery == 0 {
		return a.NextAtMean(EasyOffset)
	}
	return a.Next()
}

// Verdict says whether the run may stop and whether its result may be used.
type Verdict struct {
	Done     bool
	Reliable bool // meaningful once Done
	Lapses   int  // easy optotypes missed
	Reasons  []string
}

// Verdict applies the stopping rule, the lapse check and the reliability flag.
func (a *Acuity) Verdict() Verdict {
	mean, sd := a.moments()
	n := len(a.trials)
	v := Verdict{Reliable: true}
	v.Done = n >= MostTrials || n >= LeastTrials && sd <= GoodSD
	for _, t := range a.trials {
		if !t.Correct && t.Size >= mean+LapseOffset {
			v.Lapses++
		}
	}
	flag := func(bad bool, text string) {
		if bad {
			v.Reliable = false
			v.Reasons = append(v.Reasons, text)
		}
	}
	flag(n < LeastTrials, fmt.Sprintf("fewer than %d trials", LeastTrials))
	flag(sd > UnreliableSD, fmt.Sprintf("spread of the estimate above %.2f logMAR", UnreliableSD))
	flag(v.Lapses > LapsesAllowed, "easy optotypes were missed")
	return v
}
