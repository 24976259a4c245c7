package vision

import "math"

// The accepted size of a prescription: beyond these a number is a slip of the
// pen, not an eye (common practice).
const (
	MaxSphere   = 30.0 // dioptres, either sign
	MaxCylinder = 15.0 // dioptres, either sign
	MaxVertex   = 25.0 // millimetres from cornea to spectacle lens
)

// Refraction is a prescription: sphere and cylinder in dioptres, axis in
// degrees from 0 to 180. Either cylinder form is valid. With Cylinder 0 the
// axis means nothing and is carried along unchanged; otherwise results write
// an axis of 0 as 180.
type Refraction struct {
	Sphere   float64 `json:"sphere"`
	Cylinder float64 `json:"cylinder"`
	Axis     float64 `json:"axis"`
}

// Check returns a [RangeError] when r is no prescription: sphere beyond
// ±[MaxSphere], cylinder beyond ±[MaxCylinder], axis outside 0 to 180.
func (r Refraction) Check() error {
	if err := within("sphere", r.Sphere, -MaxSphere, MaxSphere); err != nil {
		return err
	}
	if err := within("cylinder", r.Cylinder, -MaxCylinder, MaxCylinder); err != nil {
		return err
	}
	return within("axis", r.Axis, 0, 180)
}

// SphericalEquivalent returns sphere plus half the cylinder, in dioptres.
func (r Refraction) SphericalEquivalent() float64 { return r.Sphere + r.Cylinder/2 }

// Transpose returns the same lens in the other cylinder form: S+C, -C, and the
// axis turned by 90 degrees. A sphere is its own transposition.
func (r Refraction) Transpose() Refraction {
	if r.Cylinder == 0 {
		return r
	}
	axis := r.Axis + 90
	if r.Axis > 90 {
		axis = r.Axis - 90
	}
	return Refraction{r.Sphere + r.Cylinder, -r.Cylinder, axis}
}

// MinusCylinder returns r in minus-cylinder form, the form of optometry.
func (r Refraction) MinusCylinder() Refraction {
	if r.Cylinder > 0 {
		r = r.Transpose()
	}
	return r.normal()
}

// PlusCylinder returns r in plus-cylinder form, the form of much of
// ophthalmology.
func (r Refraction) PlusCylinder() Refraction {
	if r.Cylinder < 0 {
		r = r.Transpose()
	}
	return r.normal()
}

func (r Refraction) normal() Refraction {
	if r.Cylinder != 0 && r.Axis == 0 {
		r.Axis = 180
	}
	return r
}

// PowerVector is a refraction as three independent components in dioptres
// (Thibos, Wheeler and Horner 1997, Optom Vis Sci 74:367): spherical
// equivalent, and the cross-cylinders at axes 180 and 45. Sums, differences
// and means are taken on these, never on axes.
type PowerVector struct {
	M   float64 `json:"m"`
	J0  float64 `json:"j0"`
	J45 float64 `json:"j45"`
}

// PowerVector returns the components of r; both cylinder forms give the same.
func (r Refraction) PowerVector() PowerVector {
	sin, cos := sincos2(r.Axis)
	return PowerVector{r.SphericalEquivalent(), 0 - r.Cylinder/2*cos, 0 - r.Cylinder/2*sin}
}

// sincos2 is the sine and cosine of twice the axis, exact on the quarters so
// that axis 180 leaves no trace in J45.
func sincos2(axis float64) (sin, cos float64) {
	switch axis {
	case 0, 180:
		return 0, 1
	case 45:
		return 1, 0
	case 90:
		return 0, -1
	case 135:
		return -1, 0
	}
	return math.Sincos(axis * math.Pi / 90)
}

// Blur returns B, the length of v in dioptres: the overall strength of the
// error whatever its axis (Thibos, Wheeler and Horner 1997).
func (v PowerVector) Blur() float64 {
	return math.Sqrt(v.M*v.M + v.J0*v.J0 + v.J45*v.J45)
}

// Minus returns v - w by component: the change from w to v.
func (v PowerVector) Minus(w PowerVector) PowerVector {
	return PowerVector{v.M - w.M, v.J0 - w.J0, v.J45 - w.J45}
}

// noCylinder is the length below which a computed cross-cylinder is rounding
// dust and not a cylinder, in dioptres.
const noCylinder = 1e-12

// Refraction returns v in minus-cylinder form with the axis in (0, 180]; no
// cylinder is written with axis 180.
func (v PowerVector) Refraction() Refraction {
	j := math.Hypot(v.J0, v.J45)
	if j < noCylinder {
		return Refraction{v.M, 0, 180}
	}
	axis := math.Mod(math.Atan2(v.J45, v.J0)*90/math.Pi+180, 180)
	if axis < 1e-9 {
		axis = 180
	}
	return Refraction{v.M + j, -2 * j, axis}
}

// MeanRefraction returns the mean of list by power vectors, in minus-cylinder
// form. An empty list is a [RangeError].
func MeanRefraction(list []Refraction) (Refraction, error) {
	if len(list) == 0 {
		return Refraction{}, refuse("refractions", "a mean needs at least one prescription")
	}
	var sum PowerVector
	for _, r := range list {
		if err := r.Check(); err != nil {
			return Refraction{}, err
		}
		v := r.PowerVector()
		sum = PowerVector{sum.M + v.M, sum.J0 + v.J0, sum.J45 + v.J45}
	}
	n := float64(len(list))
	return PowerVector{sum.M / n, sum.J0 / n, sum.J45 / n}.Refraction(), nil
}

// AtCornea returns the spectacle prescription r as needed at the cornea, with
// the lens vertexMM millimetres (0 to [MaxVertex]) before it: F/(1-dF) on each
// principal meridian, then their difference as cylinder. The cylinder form is
// kept.
func (r Refraction) AtCornea(vertexMM float64) (Refraction, error) {
	return r.moved(vertexMM, 1)
}

// AtSpectacle is the inverse of [Refraction.AtCornea]: F/(1+dF).
func (r Refraction) AtSpectacle(vertexMM float64) (Refraction, error) {
	return r.moved(vertexMM, -1)
}

func (r Refraction) moved(vertexMM, sign float64) (Refraction, error) {
	if err := r.Check(); err != nil {
		return Refraction{}, err
	}
	if err := within("vertex_mm", vertexMM, 0, MaxVertex); err != nil {
		return Refraction{}, err
	}
	d := sign * vertexMM / 1000
	one, other := r.Sphere, r.Sphere+r.Cylinder
	// With the accepted ranges dF can reach 1 only for absurd toric lenses.
	if d*one >= 1 || d*other >= 1 {
		return Refraction{}, refuse("sphere", "the focus of this lens falls before the cornea; accepted is power times vertex distance below 1")
	}
	one, other = one/(1-d*one), other/(1-d*other)
	out := Refraction{one, other - one, r.Axis}
	if r.Cylinder == 0 {
		out.Cylinder = 0
	}
	return out.normal(), nil
}

// RoundQuarter rounds dioptres to the nearest 0.25 D, ties away from zero:
// -3.125 becomes -3.25 and +0.125 becomes +0.25. The rule is our choice; it
// differs from JavaScript's Math.round and from rounding half to even.
func RoundQuarter(d float64) float64 { return math.Round(d*4)/4 + 0 }

// Rounded returns r with sphere and cylinder rounded by [RoundQuarter] and the
// axis to the nearest degree, 0 written 180.
func (r Refraction) Rounded() Refraction {
	return Refraction{RoundQuarter(r.Sphere), RoundQuarter(r.Cylinder), math.Round(r.Axis)}.normal()
}
