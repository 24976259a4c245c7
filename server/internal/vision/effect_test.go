package vision_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"nightkeep/server/internal/vision"
)

func steady(n int, worn float64) []vision.WornNight {
	out := make([]vision.WornNight, n)
	for i := range out {
		out[i] = vision.WornNight{Worn: worn, Awake: 24 - worn}
	}
	return out
}

func fit(t *testing.T, baseline float64, nights []vision.WornNight, readings ...vision.Reading) *vision.EffectFit {
	t.Helper()
	f, err := vision.FitEffect(baseline, nights, readings)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Published: 50 to 67 % of the error gone after one night, all of it by one to
// two weeks (Chan 2008; Sánchez-García 2024; Soni 2003).
func TestEffectFollowsPublishedAdaptation(t *testing.T) {
	t.Parallel()
	got := fit(t, -3.00, steady(14, 8)).Residuals()
	if got[0] < -1.50 || got[0] > -0.99 {
		t.Errorf("after night 1: got %.3f D, want -1.50 to -0.99", got[0])
	}
	if got[6] < -0.05 || got[6] > 0 {
		t.Errorf("after night 7: got %.3f D, want -0.05 to 0", got[6])
	}
	near(t, "-3.56 D after one night, 58 % removed", fit(t, -3.56, steady(1, 8)).Residuals()[0], -1.495, 0.01)
}

// A series of 20 patients (2004) changed eyes of more than 6 D by 5.8 D on
// average: before any reading the 90 % band of an eye of 6.50 D contains that, and
// does not end before the error itself. A design that aims 0.75 D past the error
// (Wan 2020) gains less, in shares, on a high error than on a low one.
func TestEffectAtHighErrors(t *testing.T) {
	t.Parallel()
	left := fit(t, -6.50, steady(30, 8)).Residual(29, 0)
	if changed := 6.50 + left.Low; changed > 5.8 {
		t.Errorf("the low end of the band changes %.2f D, want 5.8 D inside", changed)
	}
	if left.High < -0.01 {
		t.Errorf("the high end of the band leaves %.2f D, want the full effect inside", left.High)
	}
	low, high := fit(t, -2, steady(7, 8)).Residuals()[6]/-2, fit(t, -8, steady(7, 8)).Residuals()[6]/-8
	if high <= low {
		t.Errorf("a share of %.3f is left of 8 D and %.3f of 2 D, want more of the high error", high, low)
	}
}

// By hand: 3 D fully treated, 95 % lost in 14 days, so tau = 112 h:
// 3 (1 - exp(-14/112)) = 0.3525 and 3 (1 - exp(-38/112)) = 0.8632.
func TestEffectFollowsPublishedRecovery(t *testing.T) {
	t.Parallel()
	f := fit(t, -3.00, steady(20, 8))
	near(t, "evening", f.Residual(19, 14).Value, -0.3525, 0.002)
	near(t, "evening after a missed night", f.Missing(1, 14).Value, -0.8632, 0.002)
	if two, one := f.Missing(2, 14).Value, f.Missing(1, 14).Value; two >= one {
		t.Errorf("two missed nights leave %.2f D, one %.2f D; want two to leave more", two, one)
	}
}

// The 90 % band before any reading has to contain every published mean course.
func TestPublishedCoursesLieInsideTheBand(t *testing.T) {
	t.Parallel()
	first, off := fit(t, -3.00, steady(1, 8)).RateIntervals()
	for _, share := range []float64{0.50, 0.58, 0.67} { // Sánchez-García 2024; Chan 2008; curvature in a study of 15 eyes
		if share < first.Low || share > first.High {
			t.Errorf("first-night share %.2f lies outside %.2f to %.2f", share, first.Low, first.High)
		}
	}
	for _, days := range []float64{7, 14, 19.6, 28} { // Hiraoka 2009; Soni 2004; Lau 2019; reviews: 95 % back
		if tau := days * 24 / 3; tau < off.Low || tau > off.High {
			t.Errorf("recovery in %.1f days lies outside %.1f to %.1f", days, off.Low*3/24, off.High*3/24)
		}
	}
}

// A simulated eye draws its rates from the stated prior and its readings from
// the stated errors, so 90 % intervals have to cover about 90 % of truths.
func TestEffectIntervalsAreCalibrated(t *testing.T) {
	t.Parallel()
	const eyes = 1000
	rng := rand.New(rand.NewPCG(2026, 5))
	var first, off, evening, missed int
	inside := func(i vision.Interval, truth float64) int {
		if truth >= i.Low-1e-9 && truth <= i.High+1e-9 {
			return 1
		}
		return 0
	}
	for range eyes {
		truth, base, nights, readings := simulate(rng)
		f := fit(t, -base, nights, readings...)
		a, b := f.RateIntervals()
		course := truth.Course(base, nights)
		last := course[len(course)-1]
		first += inside(a, truth.First)
		off += inside(b, truth.Off)
		evening += inside(f.Residual(len(nights)-1, 14), truth.Lose(last, 14)-base)
		missed += inside(f.Missing(1, 14), truth.Lose(last, 38)-base)
	}
	for name, n := range map[string]int{"first-night share": first, "loss": off, "evening": evening, "evening after a missed night": missed} {
		if n < 850 || n > 950 {
			t.Errorf("%s: 90 %% intervals cover %.1f %%, want 85 to 95", name, float64(n)/eyes*100)
		}
		t.Logf("%s: %.1f %%", name, float64(n)/eyes*100)
	}
}

func simulate(rng *rand.Rand) (vision.Rates, float64, []vision.WornNight, []vision.Reading) {
	logit := math.Log(0.58/0.42) + 0.5*rng.NormFloat64()
	truth := vision.Rates{First: 1 / (1 + math.Exp(-logit)), Off: 112 * math.Exp(0.45*rng.NormFloat64())}
	base := 1 + 4*rng.Float64()
	nights := steady(12, 8)
	for i := range nights {
		if i > 0 && rng.Float64() < 0.15 {
			nights[i] = vision.WornNight{Awake: 24}
			continue
		}
		nights[i].Worn = 7 + 2*rng.Float64()
		nights[i].Awake = 24 - nights[i].Worn
	}
	course := truth.Course(base, nights)
	var readings []vision.Reading
	for i, e := range course {
		hours := 12 + 2*rng.Float64()
		res := truth.Lose(e, hours) - base
		sd := vision.BlurSD(vision.ReadingSD, 1)
		if rng.Float64() < 0.05 { // the stated share of wild readings
			sd = 1.5
		}
		blur := vision.VisibleBlur(res, 4) + sd*rng.NormFloat64()
		readings = append(readings, vision.Reading{Night: i, Hours: hours, Distance: 4, Loss: math.Max(0, blur) * vision.LossPerDioptre})
	}
	return truth, base, nights, readings
}

func TestEffectGrowsWithHoursAndStaysWithinTheError(t *testing.T) {
	t.Parallel()
	for _, r := range []vision.Rates{vision.PublishedRates(), vision.SlowestPublished(), {First: 0.9, Off: 30}} {
		for _, base := range []float64{0, 0.5, 3, 6} {
			before := -1.0
			for worn := 0.0; worn <= 12; worn += 0.5 {
				c := r.Course(base, steady(10, worn))
				if c[9] < before-1e-12 {
					t.Fatalf("%+v, %v D: effect falls from %v to %v at %v h", r, base, before, c[9], worn)
				}
				before = c[9]
				for _, e := range c {
					if e < 0 || e > base {
						t.Fatalf("%+v: effect %v lies outside 0 to %v", r, e, base)
					}
				}
			}
		}
	}
}

func evenings(nights int, residual func(i int) float64) []vision.Reading {
	var out []vision.Reading
	for i := range nights {
		blur := vision.VisibleBlur(residual(i), 4)
		out = append(out, vision.Reading{Night: i, Hours: 14, Distance: 4, Loss: blur * vision.LossPerDioptre})
	}
	return out
}

func TestEffectStatus(t *testing.T) {
	t.Parallel()
	usual := vision.PublishedRates()
	course := func(i int) float64 { return usual.Lose(usual.Course(3, steady(10, 8))[i], 14) - 3 }
	poor := func(int) float64 { return -2.2 }
	for _, tt := range []struct {
		name     string
		readings []vision.Reading
		want     vision.Status
	}{
		{"no readings", nil, vision.NotEnough},
		{"one reading however bad", evenings(1, poor), vision.NotEnough},
		{"as published", evenings(10, course), vision.OnCourse},
		{"hardly any effect", evenings(10, poor), vision.Behind},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if got, why := fit(t, -3, steady(10, 8), tt.readings...).Status(); got != tt.want {
				t.Errorf("got %q (%s), want %q", got, why, tt.want)
			}
		})
	}
}

func TestMissedNightsAreNotBehind(t *testing.T) {
	t.Parallel()
	nights := steady(10, 8)
	for _, i := range []int{5, 7, 8} {
		nights[i] = vision.WornNight{Awake: 24}
	}
	course := vision.PublishedRates().Course(3, nights)
	f := fit(t, -3, nights, evenings(10, func(i int) float64 { return vision.PublishedRates().Lose(course[i], 14) - 3 })...)
	if got, why := f.Status(); got != vision.OnCourse {
		t.Errorf("got %q (%s), want on course: the nights missed explain the blur", got, why)
	}
}

func TestDriftTellsWearFromChange(t *testing.T) {
	t.Parallel()
	const n = 28
	late := steady(n, 8)
	for i := 16; i < n; i += 2 {
		late[i] = vision.WornNight{Awake: 24}
	}
	usual := vision.PublishedRates()
	seen := func(nights []vision.WornNight, extra func(i int) float64) []vision.Reading {
		course := usual.Course(3, nights)
		return evenings(n, func(i int) float64 { return usual.Lose(course[i], 14) - 3 - extra(i) })[4:]
	}
	none := func(int) float64 { return 0 }
	for _, tt := range []struct {
		name   string
		nights []vision.WornNight
		extra  func(int) float64
		want   vision.Drift
	}{
		{"steady", steady(n, 8), none, vision.NoDrift},
		{"every second night missed", late, none, vision.MissedExplains},
		{"worn every night, worse each week", steady(n, 8), func(i int) float64 { return 0.05 * float64(i) }, vision.SlowDrift},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if got := fit(t, -3, tt.nights, seen(tt.nights, tt.extra)...).Drift(); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}
