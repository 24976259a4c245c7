package review

import (
	"fmt"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/course"
)

// findings returns the newest value of each kind that a kept visit recorded, in
// the order in which they are read, and the lens in use.
func (s *state) findings() []Finding {
	visits := slices.DeleteFunc(slices.Clone(s.in.Visits), func(v course.Visit) bool { return v.State != "kept" || v.Date.After(s.in.Today) })
	slices.SortStableFunc(visits, func(a, b course.Visit) int { return b.Date.Compare(a.Date) })
	out := []Finding{}
	for _, kind := range findingKinds() {
		f := Finding{Name: kind.name}
		f.Right, f.RightOn = newest(visits, "right", kind.say)
		f.Left, f.LeftOn = newest(visits, "left", kind.say)
		if f.Right != "" || f.Left != "" {
			out = append(out, f)
		}
	}
	if r, l := s.in.Lenses["right"], s.in.Lenses["left"]; r != "" || l != "" {
		out = append(out, Finding{Name: "Lens", Right: r, Left: l})
	}
	return out
}

func newest(visits []course.Visit, eye string, say func(*course.EyeFindings) string) (string, civil.Date) {
	for _, v := range visits {
		f := &v.Right
		if eye == "left" {
			f = &v.Left
		}
		if text := say(f); text != "" {
			return text, v.Date
		}
	}
	return "", civil.Date{}
}

type findingKind struct {
	name string
	say  func(*course.EyeFindings) string // empty when not measured
}

func findingKinds() []findingKind {
	number := func(n *float64, format string) string {
		if n == nil {
			return ""
		}
		return course.Minus(fmt.Sprintf(format, *n))
	}
	return []findingKind{
		{"Unaided, logMAR", func(f *course.EyeFindings) string { return course.SayAcuity(f.Unaided, f.UnaidedAs) }},
		{"Best corrected, logMAR", func(f *course.EyeFindings) string { return course.SayAcuity(f.BestCorrected, f.BestCorrectedAs) }},
		{"Left over, D", func(f *course.EyeFindings) string { return refractionWords(f.Residual) }},
		{"Axial length, mm", func(f *course.EyeFindings) string { return number(f.AxialMM, "%.2f") }},
		{"Staining", func(f *course.EyeFindings) string { return gradeWords(f.Staining) }},
		{"Other grades", func(f *course.EyeFindings) string { return gradeWords(f.Grades) }},
		{"Fluorescein", func(f *course.EyeFindings) string { return f.Words["fluorescein"] }},
		{"Centration", func(f *course.EyeFindings) string { return f.Words["centration"] }},
	}
}

func refractionWords(r *course.Refraction) string {
	if r == nil {
		return ""
	}
	cylinder, axis := r.Astigmatism()
	if cylinder == 0 {
		return course.Minus(fmt.Sprintf("%+.2f", r.Sphere))
	}
	return course.Minus(fmt.Sprintf("%+.2f / %+.2f × %.0f", r.Sphere, cylinder, axis))
}

// gradeWords names what is above 0, or says that all that was graded is 0.
func gradeWords(grades map[string]float64) string {
	if len(grades) == 0 {
		return ""
	}
	var out []string
	for name, n := range grades {
		if n > 0 {
			out = append(out, strings.ReplaceAll(name, "_", " ")+fmt.Sprintf(" %g", n))
		}
	}
	if len(out) == 0 {
		return "0"
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}
