package course_test

import (
	"slices"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/course"
)

// Expected by hand from the limits named in serious.go: any infiltrate, grade 3, two
// lines (0.2 logMAR) below the visit before, 30 mmHg; one step short of each is none.
func TestSeriousFindings(t *testing.T) {
	t.Parallel()
	n := func(x float64) *float64 { return &x }
	cases := []struct {
		name string
		f    course.EyeFindings
		want []string
	}{
		{"all at the limit", course.EyeFindings{BestCorrected: n(0.3), Grades: map[string]float64{"infiltrates": 0.5, "bulbar_redness": 3},
			Staining: map[string]float64{"central": 3}, Measures: map[string]float64{"pressure": 30}},
			[]string{"infiltrates 0.5", "staining central 3", "best acuity 0.30 logMAR after 0.10", "pressure 30 mmHg", "bulbar redness 3"}},
		{"all one step short", course.EyeFindings{BestCorrected: n(0.28), Grades: map[string]float64{"infiltrates": 0, "bulbar_redness": 2.5},
			Staining: map[string]float64{"central": 2.5}, Measures: map[string]float64{"pressure": 29}}, nil},
		{"nothing measured", course.EyeFindings{}, nil},
	}
	for _, c := range cases {
		if got := course.SeriousIn(&c.f, n(0.1)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	if got := course.SeriousIn(&course.EyeFindings{BestCorrected: n(1)}, nil); len(got) > 0 {
		t.Errorf("a first acuity has nothing to fall from: %q", got)
	}
}

// A grade stands until the same thing is graded again; other measurements of a later
// visit, and visits that were not kept, take nothing back.
func TestSeriousStandsUntilMeasuredAgain(t *testing.T) {
	t.Parallel()
	today := civil.MustDate("2026-11-30")
	visit := func(on, state string, grades map[string]float64) course.Visit {
		return course.Visit{Date: civil.MustDate(on), State: state, Left: course.EyeFindings{Grades: grades, Wear: course.WearGoesOn}}
	}
	visits := []course.Visit{
		visit("2026-10-01", "kept", map[string]float64{"infiltrates": 3}),
		visit("2026-11-01", "kept", map[string]float64{"bulbar_redness": 1}),
		visit("2026-11-20", "cancelled", map[string]float64{"infiltrates": 0}),
	}
	got := course.SeriousNow(visits, today)
	if len(got) != 1 || got[0].Eye != "left" || got[0].On != civil.MustDate("2026-10-01") || got[0].Wear != course.WearGoesOn {
		t.Errorf("%+v", got)
	}
	visits = append(visits, visit("2026-11-25", "kept", map[string]float64{"infiltrates": 0}))
	if got := course.SeriousNow(visits, today); len(got) > 0 {
		t.Errorf("graded 0 since: %+v", got)
	}
}
