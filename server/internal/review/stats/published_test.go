package stats_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/stats"
)

type statistics struct {
	Misra1a struct {
		X, Y        []float64
		B1, B2, RSS float64
		SD1         float64 `json:"sd_b1"`
		SD2         float64 `json:"sd_b2"`
	}
	Wilson95 struct{ Rows [][4]float64 }
	TheilSen struct {
		X, Y                     []float64
		Slope, Lo, Hi, Intercept float64
	} `json:"theil_sen"`
	Poisson  struct{ Rows [][5]float64 }
	Survival struct {
		Events, Censored []float64
		Rows             [][3]float64
	}
}

func published(t *testing.T) statistics {
	t.Helper()
	raw, err := os.ReadFile("../../../../testdata/vision/statistics.json")
	if err != nil {
		t.Fatal(err)
	}
	var v statistics
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

func TestWilsonLimitsMatchR(t *testing.T) {
	t.Parallel()
	for _, r := range published(t).Wilson95.Rows {
		s, err := stats.AdherenceShare(int(r[0]), int(r[1]-r[0]), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low", s.Low, r[2], 5e-8)
		near(t, "high", s.High, r[3], 5e-8)
	}
}

// By hand: 25 worn, 3 missed, 2 unlogged: 25/28, bounds 25/30 and 27/30.
func TestUnloggedNightsAreBoundsOnly(t *testing.T) {
	t.Parallel()
	s, err := stats.AdherenceShare(25, 3, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "share", s.Share, 25.0/28, 1e-12)
	near(t, "low bound", s.BoundLow, 25.0/30, 1e-12)
	near(t, "high bound", s.BoundHigh, 27.0/30, 1e-12)
	nothing, err := stats.AdherenceShare(0, 0, 7)
	if err != nil || nothing.Low != 0 || nothing.High != 1 || nothing.BoundHigh != 1 {
		t.Errorf("a week without a word: got %+v, %v, want limits 0 to 1", nothing, err)
	}
	var bad *stats.Error
	if _, err := stats.AdherenceShare(-1, 0, 3); !errors.As(err, &bad) || bad.Field != "worn" {
		t.Errorf("negative nights: got %v, want a refusal of worn", err)
	}
}

// 20, 30 and 330 degrees have the mean 7.294976657784009 (scipy circmean
// documentation); one degree of the clock is four minutes. The second row was
// computed with scipy: 22:47.84, R 0.96315, SD 62.8 min.
func TestCircularTimes(t *testing.T) {
	t.Parallel()
	c, err := stats.CircularTimes([]civil.Clock{80, 120, 1320})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "scipy's example", c.MeanMinutes, 4*7.294976657784009, 1e-9)
	c, _ = stats.CircularTimes([]civil.Clock{civil.MustClock("21:30"), civil.MustClock("22:00"), civil.MustClock("23:45"), civil.MustClock("00:15"), civil.MustClock("22:30")})
	near(t, "mean", c.MeanMinutes, 22*60+47.84, 0.01)
	near(t, "resultant", c.Resultant, 0.96315, 5e-6)
	near(t, "sd", c.SDMinutes, 62.8, 0.05)
	c, _ = stats.CircularTimes([]civil.Clock{0, 720})
	if !math.IsNaN(c.MeanMinutes) || !c.Irregular() {
		t.Errorf("noon and midnight: got %+v, want no mean", c)
	}
}

func TestTheilSenMatchesR(t *testing.T) {
	t.Parallel()
	v := published(t).TheilSen
	got, err := stats.TheilSen(v.X, v.Y)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", got.Slope, v.Slope, 1e-12)
	near(t, "low", got.Low, v.Lo, 5e-8)
	near(t, "high", got.High, v.Hi, 1e-12)
	near(t, "intercept", got.Intercept, v.Intercept, 1e-12)
	// The median of all pairwise slopes by simple-statistics 7.12.1 is 0.5 too.
	if few, _ := stats.TheilSen(v.X[:4], v.Y[:4]); few.HasLimits {
		t.Error("four points have limits")
	}
	if _, err := stats.TheilSen([]float64{1, 1}, []float64{2, 3}); err == nil {
		t.Error("one x has a slope")
	}
}

// Certified to 11 digits by NIST (StRD Misra1a); 9 are asked for.
func TestApproachMatchesNIST(t *testing.T) {
	t.Parallel()
	v := published(t).Misra1a
	got, err := stats.FitApproach(v.X, v.Y)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"b1", got.B1, v.B1}, {"b2", got.B2, v.B2}, {"rss", got.RSS, v.RSS}, {"sd b1", got.SD1, v.SD1}, {"sd b2", got.SD2, v.SD2}} {
		near(t, c.what, c.got/c.want, 1, 1e-9)
	}
	if _, err := stats.FitApproach([]float64{1, 2, 3, 4}, []float64{1, 2, 3, 4}); err == nil {
		t.Error("a straight line has an approach")
	}
}

func TestKaplanMeierMatchesR(t *testing.T) {
	t.Parallel()
	v := published(t).Survival
	got, err := stats.KaplanMeier(v.Events, v.Censored)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(v.Rows) {
		t.Fatalf("got %d steps, want %d", len(got), len(v.Rows))
	}
	for i, r := range v.Rows {
		near(t, "time", got[i].Time, r[0], 0)
		near(t, "share", got[i].Survival, r[1], 0.0005)
		near(t, "se", got[i].SE, r[2], 0.00005)
	}
	all, _ := stats.KaplanMeier([]float64{1, 2}, nil)
	if end := all[1]; end.Survival != 0 || !math.IsNaN(end.SE) {
		t.Errorf("nobody left: got %+v, want share 0 without an SE", end)
	}
}

// Limits as printed by Bullimore 2013; the last row follows from -ln 0.025.
func TestPoissonRateMatchesPublishedLimits(t *testing.T) {
	t.Parallel()
	for _, r := range published(t).Poisson.Rows {
		per, low, high, err := stats.PoissonRate(int(r[0]), r[1])
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rate", per, r[2], 0.1)
		near(t, "low", low, r[3], 0.1)
		near(t, "high", high, r[4], 0.1)
	}
	_, _, high, _ := stats.PoissonRate(0, 10_000)
	near(t, "no event", high, -math.Log(0.025), 1e-9)
	if _, _, _, err := stats.PoissonRate(1, 0); err == nil {
		t.Error("no person-years have a rate")
	}
}

func TestStreaksStopAtUnknownNights(t *testing.T) {
	t.Parallel()
	var rows []review.NightRow
	for _, s := range []review.Status{review.Worn, review.Worn, review.Worn, review.NotLogged, review.Worn, review.Missed, review.Worn, review.Short} {
		rows = append(rows, review.NightRow{Status: s})
	}
	if now, longest := review.Streaks(rows); now != 2 || longest != 3 {
		t.Errorf("got %d and %d, want 2 and 3", now, longest)
	}
}
