package vision_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/vision"
)

func load[T any](t *testing.T, name string) T {
	t.Helper()
	var v T
	raw, err := os.ReadFile("../../../testdata/vision/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tol)
	}
}

type run struct {
	Name   string
	Slopes []float64
	Guess  float64
	Lapse  float64
	Grid   [3]float64
	Rows   [][]float64
}

func (r run) model() vision.AcuityModel {
	return vision.AcuityModel{
		Psychometric: vision.Psychometric{Shape: vision.Weibull, Guess: r.Guess, Lapse: r.Lapse},
		Spreads:      r.Slopes, From: r.Grid[0], To: r.Grid[1], Step: r.Grid[2],
	}
}

type acuityVectors struct {
	Tolerance  float64
	Runs       []run
	Watson2017 struct {
		run
		Sizes    []float64
		Answers  []int
		Mode     float64
		Mean, SD float64
	}
	Functions []struct {
		Shape            vision.Shape
		Spread           float64
		Guess, Lapse     float64
		At, Above, Below float64
	}
}

// Every run was made by another library, named in the file; a wrong formula,
// prior or tie rule changes a size or a mean.
func TestAcuityFollowsReferenceRuns(t *testing.T) {
	t.Parallel()
	v := load[acuityVectors](t, "acuity.json")
	for _, r := range v.Runs {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			a, err := vision.NewAcuity(r.model())
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range r.Rows {
				near(t, "size", a.Next(), row[1], 1e-9)
				if err := a.Add(vision.Trial{Size: row[1], Correct: row[2] == 1}); err != nil {
					t.Fatal(err)
				}
				near(t, "mean", a.Mean(), row[3], v.Tolerance)
				near(t, "sd", a.SD(), row[4], v.Tolerance)
				near(t, "mean slope", a.MeanSpread(), row[6], v.Tolerance)
			}
		})
	}
}

func TestAcuityRepeatsWatsonsPublishedRun(t *testing.T) {
	t.Parallel()
	w := load[acuityVectors](t, "acuity.json").Watson2017
	a, err := vision.NewAcuity(w.model())
	if err != nil {
		t.Fatal(err)
	}
	for i, size := range w.Sizes {
		near(t, "size", a.Next(), size, 1e-9)
		if err := a.Add(vision.Trial{Size: size, Correct: w.Answers[i] == 1}); err != nil {
			t.Fatal(err)
		}
	}
	near(t, "mode", a.Mode(), w.Mode, 1e-9)
	near(t, "mean", a.Mean(), w.Mean, 1e-6)
	near(t, "sd", a.SD(), w.SD, 1e-6)
}

func TestPsychometricFunctions(t *testing.T) {
	t.Parallel()
	for _, f := range load[acuityVectors](t, "acuity.json").Functions {
		p := vision.Psychometric{Shape: f.Shape, Spread: f.Spread, Guess: f.Guess, Lapse: f.Lapse}
		near(t, string(f.Shape), p.Correct(0.3, 0.3), f.At, 1e-6)
		near(t, string(f.Shape), p.Correct(0.4, 0.3), f.Above, 1e-6)
		near(t, string(f.Shape), p.Correct(0.2, 0.3), f.Below, 1e-6)
	}
}

// The posterior is a product, so the order of answers cannot matter.
func TestAcuityDoesNotDependOnOrder(t *testing.T) {
	t.Parallel()
	trials := []vision.Trial{{0.4, true}, {0.1, false}, {0.2, true}, {0.2, false}, {0.6, true}, {0.3, true}}
	ends := func(order []int) [2]float64 {
		a, err := vision.NewAcuity(vision.DefaultAcuity())
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range order {
			if err := a.Add(trials[i]); err != nil {
				t.Fatal(err)
			}
		}
		return [2]float64{a.Mean(), a.SD()}
	}
	want := ends([]int{0, 1, 2, 3, 4, 5})
	for _, order := range [][]int{{5, 4, 3, 2, 1, 0}, {2, 0, 5, 1, 4, 3}} {
		got := ends(order)
		near(t, "mean", got[0], want[0], 1e-12)
		near(t, "sd", got[1], want[1], 1e-12)
	}
}

func TestAcuityFlagsLapses(t *testing.T) {
	t.Parallel()
	a, _ := vision.NewAcuity(vision.DefaultAcuity())
	for range 12 {
		for _, tr := range []vision.Trial{{0.2, true}, {0.1, false}} {
			_ = a.Add(tr)
		}
	}
	if v := a.Verdict(); !v.Done || !v.Reliable || v.Lapses != 0 {
		t.Fatalf("steady answers: got %+v, want done and reliable", v)
	}
	for range 2 {
		_ = a.Add(vision.Trial{Size: 1.2, Correct: false})
	}
	if v := a.Verdict(); v.Reliable || v.Lapses != 2 {
		t.Errorf("two huge optotypes missed: got %+v, want unreliable with 2 lapses", v)
	}
}

func TestOptotypeHeightMatchesPublishedTable(t *testing.T) {
	t.Parallel()
	v := load[struct {
		Published [][2]float64 `json:"published_4m"`
		Tolerance float64      `json:"published_tolerance"`
		Exact     [][3]float64
		Smallest  struct{ Rows [][3]float64 }
	}](t, "optotype.json")
	for _, row := range v.Published {
		near(t, "height at 4 m", vision.OptotypeHeight(row[0], 4), row[1], v.Tolerance)
	}
	for _, row := range v.Exact {
		h := vision.OptotypeHeight(row[0], row[1])
		near(t, "height", h, row[2], 1e-9)
		near(t, "back to logMAR", vision.LogMARofHeight(h, row[1]), row[0], 1e-12)
	}
	for _, row := range v.Smallest.Rows {
		near(t, "smallest", vision.SmallestLogMAR(row[1], row[0]), row[2], 0.006)
	}
}

type rx [3]float64

func (r rx) eye() vision.Refraction {
	return vision.Refraction{Sphere: r[0], Cylinder: r[1], Axis: r[2]}
}

func TestRefractionMatchesPublishedExamples(t *testing.T) {
	t.Parallel()
	v := load[struct {
		Powervector [][]json.RawMessage
		Vertex12    struct{ Rows [][2]float64 }
		Transpose   [][2]rx
	}](t, "refraction.json")
	for _, row := range v.Powervector {
		var in rx
		var want [4]float64
		_ = json.Unmarshal(row[0], &in)
		_ = json.Unmarshal(row[1], &want)
		p := in.eye().PowerVector()
		for i, got := range []float64{p.M, p.J0, p.J45, p.Blur()} {
			near(t, in.eye().String(), got, want[i], 6e-5)
		}
	}
	for _, row := range v.Vertex12.Rows {
		got, err := vision.Refraction{Sphere: row[0]}.AtCornea(12)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "vertex", got.Sphere, row[1], 0.0051)
	}
	for _, row := range v.Transpose {
		if diff := cmp.Diff(row[1].eye(), row[0].eye().Transpose()); diff != "" {
			t.Errorf("transpose %v (-want +got):\n%s", row[0], diff)
		}
	}
}

// The model of the home test, by python from the formulas alone; the same file
// binds the phone's twin.
func TestHomeTestMatchesIndependentRun(t *testing.T) {
	t.Parallel()
	v := load[struct {
		Tolerance float64
		Rows      [][5]float64
	}](t, "home-test.json")
	a, err := vision.NewAcuity(vision.DefaultAcuity())
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range v.Rows {
		near(t, "size", a.Next(), row[2], 1e-9)
		if err := a.Add(vision.Trial{Size: row[0], Correct: row[1] == 1}); err != nil {
			t.Fatal(err)
		}
		near(t, "mean", a.Mean(), row[3], v.Tolerance)
		near(t, "sd", a.SD(), row[4], v.Tolerance)
	}
}

// Sizes, means and SDs by jsquest-plus 2.1.0, the line by simple-statistics
// 7.12.1, on input neither was tuned for.
func TestIndependentLibrariesAgree(t *testing.T) {
	t.Parallel()
	v := load[struct {
		Quest struct {
			Shape          vision.Shape
			Spread         float64
			Guess, Lapse   float64
			From, To, Step float64
			PriorMean      float64 `json:"prior_mean"`
			PriorSD        float64 `json:"prior_sd"`
			Rows           [][4]float64
		} `json:"jsquest_plus"`
		Simple struct {
			Growth struct {
				MM    []float64
				Slope float64
			}
		} `json:"simple_statistics"`
	}](t, "independent.json")
	q := v.Quest
	a, err := vision.NewAcuity(vision.AcuityModel{
		Psychometric: vision.Psychometric{Shape: q.Shape, Spread: q.Spread, Guess: q.Guess, Lapse: q.Lapse},
		From:         q.From, To: q.To, Step: q.Step, PriorMean: q.PriorMean, PriorSD: q.PriorSD,
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range q.Rows {
		near(t, "size", a.Next(), row[0], 1e-9)
		if err := a.Add(vision.Trial{Size: row[0], Correct: row[1] == 1}); err != nil {
			t.Fatal(err)
		}
		near(t, "mean", a.Mean(), row[2], 1e-9)
		near(t, "sd", a.SD(), row[3], 1e-9)
	}
	g, err := vision.AxialGrowth(civil.MustDate("2014-01-01"), []vision.LensTime{vision.LensTime{}},
		eye([]string{"2023-01-01", "2023-07-01", "2024-01-01", "2024-07-01", "2025-01-01"}, v.Simple.Growth.MM))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "growth", g.Rate, v.Simple.Growth.Slope, 1e-9)
}
