package course

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
)

// Limits from which a finding asks whether wear of the eye stops. They only ask; a
// practitioner decides. All of them are common practice, written from memory: grades of
// the published scales call for action from 3 (moderate) on; an infiltrate in an eye
// with a lens is watched without one whatever its grade; two lines of five letters are
// more than two readings of one eye differ by; usual pressure is 10 to 21 mmHg.
const (
	SeriousGrade    = 3.0
	SeriousFall     = 0.2  // logMAR below the best acuity of the visit before
	SeriousPressure = 30.0 // mmHg
)

// What was decided about wear of an eye in which something serious was found.
const (
	WearStops  = "stop"
	WearGoesOn = "goes-on"
)

// Serious is what the kept visits found last in one eye and is serious.
type Serious struct {
	Eye   string
	Words []string // one finding each: "infiltrates 3"
	On    civil.Date
	Wear  string // what the visit of that day decided, empty for nothing
}

// SeriousIn is what one visit found in an eye that asks whether wear stops; best is
// the best acuity before it, logMAR, nil for none.
func SeriousIn(f *EyeFindings, best *float64) (words []string) {
	for _, r := range readingsOf(f) {
		if r.serious(best) {
			words = append(words, r.words(best))
		}
	}
	return words
}

// SeriousNow is what is serious among the newest values of each finding of each eye:
// a value stands until the same thing is measured again. visits in any order.
func SeriousNow(visits []Visit, today civil.Date) (out []Serious) {
	kept := slices.DeleteFunc(slices.Clone(visits), func(v Visit) bool { return v.State != "kept" || v.Date.After(today) })
	slices.SortStableFunc(kept, func(a, b Visit) int { return b.Date.Compare(a.Date) })
	for _, eye := range []string{"right", "left"} {
		seen := map[string]bool{}
		for i, v := range kept {
			f, best := v.Eye(eye), BestBefore(kept[i+1:], eye)
			s := Serious{Eye: eye, On: v.Date, Wear: f.Wear}
			for _, r := range readingsOf(f) {
				if !seen[r.name] && r.serious(best) {
					s.Words = append(s.Words, r.words(best))
				}
				seen[r.name] = true
			}
			if len(s.Words) > 0 {
				out = append(out, s)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Serious) int { return b.On.Compare(a.On) })
	return out
}

// Eye returns the findings of one eye, right or left.
func (v *Visit) Eye(eye string) *EyeFindings {
	if eye == "left" {
		return &v.Left
	}
	return &v.Right
}

// BestBefore is the best acuity measured last, logMAR; nil for none. Newest first.
func BestBefore(kept []Visit, eye string) *float64 {
	for i := range kept {
		if best := kept[i].Eye(eye).BestCorrected; best != nil {
			return best
		}
	}
	return nil
}

type reading struct {
	name  string
	value float64
}

func readingsOf(f *EyeFindings) (out []reading) {
	for _, part := range []struct {
		before string
		of     map[string]float64
	}{{"", f.Grades}, {"staining ", f.Staining}} {
		for _, key := range slices.Sorted(maps.Keys(part.of)) {
			out = append(out, reading{part.before + strings.ReplaceAll(key, "_", " "), part.of[key]})
		}
	}
	if f.BestCorrected != nil {
		out = append(out, reading{"best acuity", *f.BestCorrected})
	}
	if p, ok := f.Measures["pressure"]; ok {
		out = append(out, reading{"pressure", p})
	}
	slices.SortStableFunc(out, func(a, b reading) int { return cmp.Compare(place(a.name), place(b.name)) })
	return out
}

// place puts what endangers the eye most first.
func place(name string) int {
	first := []string{"infiltrates", "staining central", "best acuity", "pressure"}
	if i := slices.Index(first, name); i >= 0 {
		return i
	}
	return len(first)
}

func (r reading) serious(best *float64) bool {
	const exact = 1e-9 // sums of hundredths
	switch r.name {
	case "infiltrates":
		return r.value > 0
	case "best acuity":
		return best != nil && r.value-*best >= SeriousFall-exact
	case "pressure":
		return r.value >= SeriousPressure
	}
	return r.value >= SeriousGrade
}

func (r reading) words(best *float64) string {
	switch r.name {
	case "best acuity":
		return Minus(fmt.Sprintf("best acuity %.2f logMAR after %.2f", r.value, *best))
	case "pressure":
		return fmt.Sprintf("pressure %g mmHg", r.value)
	}
	return fmt.Sprintf("%s %g", r.name, r.value)
}
