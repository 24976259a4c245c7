package interop

import (
	"maps"
	"math"
	"slices"
	"strings"

	"nightkeep/server/internal/review/course"
)

// findings writes what kept visits recorded.
func (b *bundler) findings() {
	visits := slices.Clone(b.Visits)
	slices.SortFunc(visits, func(x, y course.Visit) int {
		if c := x.Date.Compare(y.Date); c != 0 {
			return c
		}
		return strings.Compare(x.ID, y.ID)
	})
	for _, v := range visits {
		if v.State != "kept" {
			continue
		}
		b.refractionWritten(v)
		b.eye(v, "right", v.Right)
		b.eye(v, "left", v.Left)
		if advice := words(v.Advice); advice != "" {
			c := communication{
				ResourceType: "Communication", ID: b.uuid("visit", v.ID, "advice"), Status: "completed", Subject: b.wearer(),
				Sent: v.Date.String(), Sender: b.staff(v.By), Payload: []payload{{advice}},
			}
			b.add(c.ID, c)
		}
	}
}

// measured starts an observation of a visit about one eye.
func (b *bundler) measured(v course.Visit, eye, what, text string, codes ...coding) observation {
	return observation{
		ResourceType: "Observation", ID: b.uuid("visit", v.ID, eye, what), Status: "final", Category: category("exam"),
		Code: concept{Coding: codes, Text: text + ", " + eye + " eye"}, Subject: b.wearer(), Effective: v.Date.String(),
		Performer: []reference{b.staff(v.By)}, BodySite: site(eye),
	}
}

func (b *bundler) eye(v course.Visit, eye string, f course.EyeFindings) {
	put := func(o observation) { b.add(o.ID, o) }
	if f.Refraction != nil {
		o := b.measured(v, eye, "refraction", "Refraction", sctRefraction)
		o.Component = powers(eye, *f.Refraction)
		put(o)
	}
	if f.Residual != nil {
		o := b.measured(v, eye, "residual", "Residual refraction over the treated eye, lens out", sctRefraction)
		o.Component = powers(eye, *f.Residual)
		put(o)
	}
	if f.Unaided != nil {
		o := b.measured(v, eye, "unaided", "Uncorrected acuity", loincUncorrected.of(eye), sctUncorrected)
		o.Quantity = logMAR(*f.Unaided)
		put(o)
	}
	if f.BestCorrected != nil {
		o := b.measured(v, eye, "best-corrected", "Best corrected acuity", loincBestCorrected.of(eye), sctBestCorrected)
		o.Quantity = logMAR(*f.BestCorrected)
		put(o)
	}
	if f.AxialMM != nil {
		o := b.measured(v, eye, "axial", "Axial length")
		o.Quantity = mm(*f.AxialMM)
		if name := words(v.Instrument); name != "" {
			o.Device = &reference{Type: "Device", Display: name}
		}
		put(o)
	}
	b.grades(v, eye, "grades", "Slit-lamp grading", f.Grades)
	b.grades(v, eye, "staining", "Corneal staining by zone", f.Staining)
	if t := words(f.Topography); t != "" {
		o := b.measured(v, eye, "topography", "Corneal topography, remarks")
		o.String = t
		put(o)
	}
}

// powers are the components of a refraction. A cylinder brings its axis, and
// no axis comes without one.
func powers(eye string, r course.Refraction) []component {
	out := []component{{Code: concept{Coding: []coding{loincSphere.of(eye), sctSphere}, Text: "Sphere"}, Quantity: dioptres(r.Sphere)}}
	cylinder, at := r.Astigmatism()
	if cylinder == 0 {
		return out
	}
	return append(out,
		component{Code: concept{Coding: []coding{loincCylinder.of(eye), sctCylinder}, Text: "Cylinder"}, Quantity: dioptres(cylinder)},
		component{Code: concept{Coding: []coding{loincAxis.of(eye), sctAxis}, Text: "Axis"}, Quantity: degrees(float64(axis(at)))})
}

// axis is in whole degrees, 1 to 180.
func axis(degrees float64) int {
	a := int(math.Round(degrees)) % 180
	if a <= 0 {
		a += 180
	}
	return a
}

// grades writes grades with the scale they were given on, without which they
// mean nothing.
func (b *bundler) grades(v course.Visit, eye, what, text string, grades map[string]float64) {
	if len(grades) == 0 {
		return
	}
	o := b.measured(v, eye, what, text)
	scale := words(v.Scale)
	if scale == "" {
		scale = "not recorded"
	}
	o.Method = &concept{Text: "Grading scale: " + scale}
	for _, sign := range slices.Sorted(maps.Keys(grades)) {
		if name := words(sign); name != "" {
			o.Component = append(o.Component, grade(name, grades[sign]))
		}
	}
	b.add(o.ID, o)
}

// grade is a whole number, or a quantity for a half.
func grade(name string, n float64) component {
	if whole := int(n); float64(whole) == n {
		return component{Code: concept{Text: name}, Integer: &whole}
	}
	return component{Code: concept{Text: name}, Quantity: &quantity{n, "grade", ucum, "{score}"}}
}

// refractionWritten gives a visit's refraction in the form of a prescription,
// as a draft: it is what was found, and orders no spectacles.
func (b *bundler) refractionWritten(v course.Visit) {
	p := prescription{
		ResourceType: "VisionPrescription", ID: b.uuid("visit", v.ID, "prescription"), Status: "draft", Created: v.Date.String(),
		Patient: b.wearer(), DateWritten: v.Date.String(), Prescriber: b.staff(v.By),
	}
	for _, e := range []struct {
		eye string
		r   *course.Refraction
	}{{"right", v.Right.Refraction}, {"left", v.Left.Refraction}} {
		if e.r == nil {
			continue
		}
		s := lensSpec{Product: product("lens"), Eye: e.eye, Sphere: two(e.r.Sphere), Note: note("As found at the visit; not an order for spectacles.")}
		if cylinder, at := e.r.Astigmatism(); cylinder != 0 {
			a := axis(at)
			s.Cylinder, s.Axis = two(cylinder), &a
		}
		p.Lens = append(p.Lens, s)
	}
	if p.Lens != nil {
		b.add(p.ID, p)
	}
}

func product(code string) concept {
	return concept{Coding: []coding{{System: hl7 + "ex-visionprescriptionproduct", Code: code}}}
}

func two(v float64) *float64 {
	v = hundredths(v)
	return &v
}
