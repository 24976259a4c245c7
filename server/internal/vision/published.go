package vision

import (
	"fmt"
	"math"
	"slices"
)

// Beside is a published rate of axial growth to be shown beside a child's own,
// with its population named. It is never a target.
type Beside struct {
	Group      string  `json:"group"` // untreated myopes, treated myopes, emmetropes
	Relation   string  `json:"relation"`
	MMPerYear  float64 `json:"mm_per_year"`
	Population string  `json:"population"`
	Source     string  `json:"source"`
}

type ageBand struct {
	from, below float64
	relation    string
	rate        float64
}

// untreatedBands are medians of children in single-vision spectacles.
func untreatedBands() []ageBand {
	return []ageBand{
		{3, 6, "median at least", 0.40}, {6, 9, "median at least", 0.30}, {9, 11, "median at least", 0.20},
		{11, 14, "median at least", 0.10}, {14, 18, "median below", 0.10},
	}
}

// PublishedGrowth returns the published untreated, treated and emmetropic
// rates that cover the age in years, of each group that first of which the ages are known
// to be like it; empty when none does.
func PublishedGrowth(ageYears float64) []Beside {
	var out []Beside
	for _, b := range untreatedBands() {
		if ageYears >= b.from && ageYears < b.below {
			out = append(out, Beside{"untreated myopes", b.relation, b.rate,
				fmt.Sprintf("495 Hong Kong children in single-vision spectacles, ages %.0f to %.0f", b.from, b.below-1),
				"Sci Rep 2025, s41598-025-99954-1"})
		}
	}
	if ageYears >= 6 && ageYears < 16 {
		treated := []Beside{
			{"treated myopes", "mean, SD 0.12", 0.20, "70 children of 8 to 15 in overnight orthokeratology, 3 years", "PMID 31842031"},
			{"treated myopes", "mean, SD 0.11", 0.22, "142 children in overnight orthokeratology, randomised, 12 months (untreated in the same trial: 0.35, SD 0.08)", "PMC9812803"},
		}
		if ageYears < 8 {
			slices.Reverse(treated)
		}
		out = append(out, treated...)
	}
	if r, err := EmmetropeGrowth(ageYears); err == nil {
		out = append(out, Beside{"emmetropes", "mean, computed from the published curve of length on age", r,
			"emmetropes of 28 studies, ages 6 to 24, no difference found between East Asians and others", "Yii 2023, Ophthalmic Physiol Opt 43:1412"})
	}
	return out
}

// EmmetropeLength returns the mean axial length in mm of emmetropes at an age
// of 6 to 24 years: 23.599 - 5.596 exp(-0.2985 age), refitted from the data
// published with Yii 2023 (Ophthalmic Physiol Opt 43:1412). A mean, not a
// limit for one child.
func EmmetropeLength(ageYears float64) (float64, error) {
	if err := within("age_years", ageYears, 6, 24); err != nil {
		return 0, err
	}
	return 23.599 - 5.596*math.Exp(-0.2985*ageYears), nil
}

// EmmetropeGrowth returns the growth of that mean over the year that starts at
// the age, in mm, from 6 to 23 years.
func EmmetropeGrowth(ageYears float64) (float64, error) {
	if err := within("age_years", ageYears, 6, 23); err != nil {
		return 0, err
	}
	now, _ := EmmetropeLength(ageYears)
	next, _ := EmmetropeLength(ageYears + 1)
	return next - now, nil
}

// InfantLength returns the mean axial length in mm from 3 months to 7 years:
// 20.3 - 0.346 if a girl - 1.09 exp(-4.18 T) + 0.567 T - 0.0317 T², T the age
// less a quarter of a year (PMC6212316, 165 US children). Not for older
// children.
func InfantLength(ageYears float64, girl bool) (float64, error) {
	if err := within("age_years", ageYears, 0.25, 7); err != nil {
		return 0, err
	}
	t := ageYears - 0.25
	length := 20.3 - 1.09*math.Exp(-4.18*t) + 0.567*t - 0.0317*t*t
	if girl {
		length -= 0.346
	}
	return length, nil
}

// LengthPopulation and LengthApproximation go with every percentile.
const (
	LengthPopulation    = "European children (Netherlands and United Kingdom), both sexes pooled; Tideman 2018, Acta Ophthalmol 96:301"
	LengthApproximation = "normal approximation from the published mean and SD at 6, 9 and 15 years, straight lines between; the true curves lean to the right and differ by sex"
)

// LengthPercentile returns the percentile (0 to 100) of an axial length at an
// age of 6 to 15 years, from [LengthPopulation] by [LengthApproximation].
func LengthPercentile(mm, ageYears float64) (float64, error) {
	if err := within("mm", mm, MinLength, MaxLength); err != nil {
		return 0, err
	}
	if err := within("age_years", ageYears, 6, 15); err != nil {
		return 0, err
	}
	from, to := [3]float64{6, 22.36, 0.75}, [3]float64{9, 23.10, 0.84}
	if ageYears > 9 {
		from, to = to, [3]float64{15, 23.41, 0.86}
	}
	part := (ageYears - from[0]) / (to[0] - from[0])
	mean, sd := from[1]+part*(to[1]-from[1]), from[2]+part*(to[2]-from[2])
	return 100 * below((mm-mean)/sd), nil
}
