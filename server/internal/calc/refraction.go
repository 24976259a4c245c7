package calc

import "nightkeep/server/internal/vision"

const refractionFields = "sphere (-30 to 30 D), cylinder (-15 to 15 D, 0 when absent), axis (0 to 180, may be absent without a cylinder)"

// refraction reads sphere, cylinder and axis.
func (o *object) refraction() vision.Refraction {
	r := vision.Refraction{
		Sphere:   o.num("sphere", -vision.MaxSphere, vision.MaxSphere),
		Cylinder: o.numOr("cylinder", -vision.MaxCylinder, vision.MaxCylinder, 0),
	}
	if r.Cylinder != 0 || o.has("axis") {
		r.Axis = o.num("axis", 0, 180)
	}
	return r
}

// plain takes negative zeros out.
func plain(r vision.Refraction) vision.Refraction {
	return vision.Refraction{Sphere: r.Sphere + 0, Cylinder: r.Cylinder + 0, Axis: r.Axis}
}

func refractionTable() []computation {
	return []computation{
		{"vertex", "a spectacle prescription as needed at the cornea, on both meridians",
			refractionFields + ", vertex_mm (0 to 25)",
			`{"sphere":-6,"cylinder":-2,"axis":180,"vertex_mm":12}`, vertex},
		{"powervector", "a prescription as power vector: m, j0, j45 and its length b, in D",
			refractionFields,
			`{"sphere":-3,"cylinder":-1.5,"axis":180}`, powerVector},
		{"mean-refraction", "the mean of prescriptions by power vectors, in minus cylinder",
			`refractions: a list of objects with ` + refractionFields + `; the bare list is accepted too`,
			`{"refractions":[{"sphere":-2,"cylinder":-2,"axis":180},{"sphere":1,"cylinder":-1,"axis":90}]}`, meanRefraction},
		{"transpose", "the same lens in the other cylinder form",
			refractionFields,
			`{"sphere":3,"cylinder":-1,"axis":180}`, transpose},
		{"suitability", "each eye beside the usual and the published ranges; " + vision.Decision,
			"right and left (each an object with " + refractionFields + "), age_years (0 to 120)",
			`{"right":{"sphere":-2.75,"cylinder":-0.5,"axis":170},"left":{"sphere":-6.25,"cylinder":-2,"axis":10},"age_years":9}`, suitability},
	}
}

func vertex(o *object) any {
	r, mm := o.refraction(), o.num("vertex_mm", 0, vision.MaxVertex)
	if o.bad() {
		return nil
	}
	at, err := r.AtCornea(mm)
	return plain(take(o, at, err))
}

func powerVector(o *object) any {
	v := o.refraction().PowerVector()
	return struct {
		M   *float64 `json:"m"`
		J0  *float64 `json:"j0"`
		J45 *float64 `json:"j45"`
		B   *float64 `json:"b"`
	}{number(v.M), number(v.J0), number(v.J45), number(v.Blur())}
}

func meanRefraction(o *object) any {
	var list []vision.Refraction
	o.each("refractions", func(c *object) { list = append(list, c.refraction()) })
	if o.bad() {
		return nil
	}
	mean, err := vision.MeanRefraction(list)
	return plain(take(o, mean, err))
}

func transpose(o *object) any { return plain(o.refraction().Transpose()) }

func suitability(o *object) any {
	age := o.num("age_years", 0, 120)
	eye := func(name string) vision.EyeSuitability {
		var s vision.EyeSuitability
		o.child(name, func(c *object) {
			r := c.refraction()
			if c.bad() {
				return
			}
			found, err := vision.Suitability(r, age)
			s = take(c, found, err)
			s.Refraction = plain(s.Refraction)
		})
		return s
	}
	right, left := eye("right"), eye("left")
	contra, ready := vision.SuitabilityQuestions()
	return struct {
		Right    vision.EyeSuitability `json:"right"`
		Left     vision.EyeSuitability `json:"left"`
		Contra   []string              `json:"contraindications_to_ask"`
		Ready    []string              `json:"readiness_to_ask"`
		Decision string                `json:"decision"`
	}{right, left, contra, ready, vision.Decision}
}
