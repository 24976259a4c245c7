package review

import (
	"cmp"
	"math"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/vision"
)

// sortReadings puts readings in order of night, so that the model's sums do
// not depend on the order of a map.
func sortReadings(list []vision.Reading) {
	slices.SortFunc(list, func(a, b vision.Reading) int {
		return cmp.Or(cmp.Compare(a.Night, b.Night), cmp.Compare(a.Hours, b.Hours), cmp.Compare(a.Rating, b.Rating))
	})
}

// growth returns the axial growth of each eye that was measured at two visits
// or more, beside published rates for the age.
func growth(visits []course.Visit, w care.Wearer, courses []course.Course, today civil.Date) []GrowthRow {
	out := []GrowthRow{}
	birth, err := civil.ParseDate(w.Birth)
	known := err == nil
	for _, eye := range []string{"right", "left"} {
		row := GrowthRow{Eye: eye, Readings: axialLengths(visits, eye, today), Beside: []Beside{}}
		if len(row.Readings) < 2 {
			continue
		}
		row.rate(birth, known, lensTimes(courses))
		out = append(out, row)
	}
	return out
}

func axialLengths(visits []course.Visit, eye string, today civil.Date) []GrowthReading {
	out := []GrowthReading{}
	for _, v := range visits {
		f := v.Right
		if eye == "left" {
			f = v.Left
		}
		if v.State == "kept" && f.AxialMM != nil && !v.Date.After(today) {
			out = append(out, GrowthReading{Date: v.Date, MM: *f.AxialMM, Instrument: v.Instrument})
		}
	}
	slices.SortFunc(out, func(a, b GrowthReading) int { return a.Date.Compare(b.Date) })
	return out
}

// rate fills in the yearly rate, or why there is none.
func (g *GrowthRow) rate(birth civil.Date, known bool, worn []vision.LensTime) {
	list := make([]vision.Measured, len(g.Readings))
	for i, r := range g.Readings {
		list[i] = vision.Measured{Date: r.Date, Value: r.MM, Instrument: r.Instrument}
	}
	got, err := vision.AxialGrowth(birth, worn, list)
	switch {
	case err != nil:
		g.Why = err.Error()
	case !got.HasRate:
		g.Class, g.Why = string(got.Class), got.Reason
	default:
		g.MMPerYear, g.Low, g.High, g.Class, g.Why = &got.Rate, &got.Low, &got.High, string(got.Class), got.Reason
	}
	g.Period, g.Earlier = got.Period, []GrowthPeriod{}
	for _, e := range got.Earlier {
		g.Earlier = append(g.Earlier, GrowthPeriod{e.Period, e.Rate, e.Low, e.High})
	}
	if !known {
		return
	}
	last := g.Readings[len(g.Readings)-1]
	age := vision.YearsBetween(birth, last.Date)
	if got.HasRate {
		age = got.AgeMid
	}
	for _, b := range vision.PublishedGrowth(age) {
		g.Beside = append(g.Beside, Beside{Name: b.Group, Relation: b.Relation, MMPerYear: b.MMPerYear, Population: b.Population, Source: b.Source})
	}
	if p, err := vision.LengthPercentile(last.MM, vision.YearsBetween(birth, last.Date)); err == nil {
		p = math.Round(p)
		g.Percentile, g.PercentileOf = &p, vision.LengthPopulation+"; "+vision.LengthApproximation
	}
}

func lensTimes(courses []course.Course) []vision.LensTime {
	out := make([]vision.LensTime, 0, len(courses))
	for _, c := range courses {
		out = append(out, vision.LensTime{From: c.First, To: c.Stopped})
	}
	return out
}
