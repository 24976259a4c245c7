package vision

import (
	"fmt"
	"math"
)

// The usual range for overnight orthokeratology, in dioptres at the spectacle
// plane and in minus-cylinder form (common practice, without a source).
const (
	usualMyopia      = -6.00
	predictableNear  = -1.00
	predictableFar   = -4.00
	usualHyperopia   = 1.50
	standardCylinder = -1.75
	toricCylinder    = -2.50
)

// Range says where a prescription lies beside the usual range.
type Range string

// The ranges. None of them is a verdict: the practitioner decides.
const (
	Usual      Range = "usual"                              // within standard designs
	UsualToric Range = "usual with designs for astigmatism" // cylinder above 1.75 D
	Outside    Range = "outside the usual range"
	Plano      Range = "plano sphere: no short sight to treat"
	LongSight  Range = "long sight: not the usual treatment, less predictable"
)

// PublishedRange is the range a regulator published for one design: myopia of
// Sphere with astigmatism of Cylinder, both in dioptres, limits inside.
type PublishedRange struct {
	Name     string  `json:"name"`
	Sphere   float64 `json:"sphere_to"`
	Cylinder float64 `json:"cylinder_to"`
	Inside   bool    `json:"inside"`
}

// publishedRanges are the labelled ranges as the FDA printed them: P870024/S43
// (2002, two designs) and P010062 (2004).
func publishedRanges() []PublishedRange {
	return []PublishedRange{
		{Name: "FDA 2002, first approved overnight design", Sphere: -6.00, Cylinder: -1.75},
		{Name: "FDA 2002, its sister design", Sphere: -3.00, Cylinder: -1.50},
		{Name: "FDA 2004, second approval", Sphere: -5.00, Cylinder: -1.50},
	}
}

// EyeSuitability is what the ranges say about one eye.
type EyeSuitability struct {
	Refraction Refraction       `json:"minus_cylinder"`
	Range      Range            `json:"range"`
	Reasons    []string         `json:"reasons"`
	Published  []PublishedRange `json:"published"`
	// Course is what the effect model expects of nights worn for 8 hours; nil
	// for plano, long sight and outside the usual range, of which it says nothing.
	Course []CourseStep `json:"course,omitempty"`
	// Spread is the published scatter behind the course's limits; nil without one.
	Spread *PublishedSpread `json:"spread,omitempty"`
}

// CourseStep is the spherical equivalent expected to be left on the morning
// after a number of nights worn, in dioptres. Residual follows the first-night
// share of [PriorFirst], and is never better than the mean of the published
// series for eyes of this kind. Least and Most lie 1.645 standard deviations of
// that series beyond the lowest and the highest published mean course (50 %,
// Sánchez-García 2024; 67 %, keratometry in a 4-month study of 15 eyes): about
// nine eyes in ten lie between them.
type CourseStep struct {
	Nights   int     `json:"nights"`
	Residual float64 `json:"residual_d"`
	Least    float64 `json:"least_d"` // of the change: the most is left
	Most     float64 `json:"most_d"`  // above 0: past full correction
}

// The lowest and highest published mean of the share a first night removes.
const (
	leastFirst = 0.50
	mostFirst  = 0.67
)

// courseOf returns the course for a spherical equivalent below 0, in dioptres.
func courseOf(equivalent float64, spread PublishedSpread) []CourseStep {
	after := []int{1, 7, 14} // the nights before the first visits
	nights := make([]WornNight, after[len(after)-1])
	for i := range nights {
		nights[i] = WornNight{Worn: nightHours, Awake: 24 - nightHours}
	}
	left := func(first float64) []float64 { return Rates{first, PriorOff}.Course(-equivalent, nights) }
	usual, least, most := left(PriorFirst), left(leastFirst), left(mostFirst)
	out := make([]CourseStep, len(after))
	for i, n := range after {
		at := func(effect []float64) float64 {
			return math.Max(equivalent, math.Min(equivalent+effect[n-1], spread.equivalent())) + 0
		}
		half := z90 * spread.SD
		out[i] = CourseStep{n, at(usual), math.Max(equivalent, at(least)-half), at(most) + half}
	}
	return out
}

// Decision closes every suitability answer.
const Decision = "for the practitioner to decide"

// SuitabilityQuestions returns what the practitioner asks before fitting:
// the contraindications of the class labelling (FDA P010062; the rest of the
// list as common practice) and whether child and family are ready (common
// practice). A yes to a contraindication takes the eye outside the labelled
// range; it is information, not a block.
func SuitabilityQuestions() (contraindications, readiness []string) {
	return []string{
			"Acute or subacute inflammation or infection of the front of the eye?",
			"Any disease, injury or abnormality of cornea, conjunctiva or lids?",
			"Severe lack of tears?",
			"Reduced corneal sensation?",
			"A general illness or medicine that affects the eye or is made worse by lens wear?",
			"Allergy to lens material or care solutions, or eyes red or irritated now?",
			"Unwilling or unable to follow the care and the recalls?",
		}, []string{
			"Will an adult supervise insertion, removal and care every day?",
			"Does the child want it, and tolerate lids and eyes being touched?",
			"Is there a place to wash hands and clean the lenses without tap water touching them?",
			"Does the family know whom to call, day and night, and that pain or redness means lens out and a call?",
			"Are spectacles at hand for nights without lenses and the mornings after?",
		}
}

// Suitability places one eye's prescription beside the usual range and the
// regulators' published ranges; limits count as inside. Age is in years, 0 to
// 120. It gives reasons in words and never a verdict, see [Decision].
func Suitability(r Refraction, ageYears float64) (EyeSuitability, error) {
	if err := r.Check(); err != nil {
		return EyeSuitability{}, err
	}
	if err := within("age_years", ageYears, 0, 120); err != nil {
		return EyeSuitability{}, err
	}
	r = r.MinusCylinder()
	s := EyeSuitability{Refraction: r, Range: Usual, Published: publishedRanges()}
	s.sphere(r.Sphere)
	s.cylinder(r.Cylinder)
	s.axis(r)
	if r.Sphere == 0 && r.Cylinder == 0 {
		s.say("no refractive error to correct")
	}
	for i := range s.Published {
		p := &s.Published[i]
		p.Inside = r.Sphere <= 0 && r.Sphere >= p.Sphere && r.Cylinder >= p.Cylinder
	}
	s.age(ageYears)
	if s.Range == Usual || s.Range == UsualToric {
		spread := spreadOf(r)
		s.Spread, s.Course = &spread, courseOf(r.SphericalEquivalent(), spread)
		s.say("%s", spread.Words)
	}
	return s, nil
}

func (s *EyeSuitability) say(format string, args ...any) {
	s.Reasons = append(s.Reasons, fmt.Sprintf(format, args...))
}

func (s *EyeSuitability) sphere(d float64) {
	switch {
	case d < usualMyopia:
		s.Range = Outside
		s.say("sphere %+.2f D is beyond %.2f D; a partial reduction with spectacles by day is another plan", d, usualMyopia)
	case d > usualHyperopia:
		s.Range = Outside
		s.say("sphere %+.2f D is beyond %+.2f D; long sight is corrected less predictably", d, usualHyperopia)
	case d > 0:
		s.Range = LongSight
		s.say("sphere %+.2f D is long sight, usual to %+.2f D and less predictable than short sight", d, usualHyperopia)
	case d == 0:
		s.Range = Plano
		s.say("sphere is plano: there is no short sight to treat, and astigmatism alone was not studied")
	case d <= predictableNear && d >= predictableFar:
		s.say("sphere %+.2f D lies where the result is most predictable (%.2f to %.2f D)", d, predictableNear, predictableFar)
	default:
		s.say("sphere %+.2f D lies in the usual range to %.2f D, outside the most predictable %.2f to %.2f D", d, usualMyopia, predictableNear, predictableFar)
	}
}

func (s *EyeSuitability) cylinder(d float64) {
	switch {
	case d < toricCylinder:
		s.Range = Outside
		s.say("cylinder %.2f D is beyond %.2f D, the usual end of designs made for astigmatism", d, toricCylinder)
	case d < standardCylinder:
		if s.Range == Usual {
			s.Range = UsualToric
		}
		s.say("cylinder %.2f D is beyond %.2f D and needs a design made for astigmatism", d, standardCylinder)
	default:
		s.say("cylinder %.2f D is within the %.2f D of standard designs", d, standardCylinder)
	}
}

// age adds what was studied: the approvals carry no age limit, children from 6
// took part in the randomised trial (Cho and Cheung 2012, IOVS 53:7077).
func (s *EyeSuitability) age(years float64) {
	switch {
	case years < 6:
		s.say("age %.4g is below 6 years, the youngest in the randomised trial of 2012", years)
	case years < 18:
		s.say("age %.4g: the approvals carry no age limit, though few adolescents took part in their trials", years)
	}
}
