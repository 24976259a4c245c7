package vision_test

import (
	"testing"

	"nightkeep/server/internal/vision"
)

// BenchmarkAcuityUpdate adds one answer to an estimate of acuity and chooses
// the next size.
func BenchmarkAcuityUpdate(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		a, err := vision.NewAcuity(vision.DefaultAcuity())
		if err != nil {
			b.Fatal(err)
		}
		if err := a.Add(vision.Trial{Size: 0.3, Correct: true}); err != nil {
			b.Fatal(err)
		}
		a.NextSize()
	}
}

// BenchmarkEffectFit fits the effect model to 60 nights and ten readings.
func BenchmarkEffectFit(b *testing.B) {
	var nights []vision.WornNight
	var readings []vision.Reading
	for i := range 60 {
		nights = append(nights, vision.WornNight{Worn: 8 + float64(i%3)/2, Awake: 15})
		if i%6 == 0 {
			readings = append(readings, vision.Reading{Night: i, Hours: 10, Rating: min(5, 3+i/20)})
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := vision.FitEffect(-3, nights, readings); err != nil {
			b.Fatal(err)
		}
	}
}
