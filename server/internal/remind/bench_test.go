package remind_test

import (
	"fmt"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// BenchmarkTick shows that a tick costs what is due, not what is known.
func BenchmarkTick(b *testing.B) {
	for _, due := range []int{0, 100, 10_000} {
		b.Run(fmt.Sprintf("100000 wearers, %d due", due), func(b *testing.B) {
			m, p, r := household(b, 0)
			far := evening("21:00").AddDate(100, 0, 0)
			ids := make([]care.WearerID, 100_000)
			for i := range ids {
				ids[i] = care.WearerID(fmt.Sprintf("w%06d", i))
				m.set(ids[i], far)
			}
			now := evening("21:00")
			for b.Loop() {
				b.StopTimer()
				now = civil.At(civil.DateOf(now).AddDays(1), civil.MustClock("21:00"), now.Location())
				for _, w := range ids[:due] {
					delete(m.fired, w)
					m.set(w, now)
				}
				p.got = nil
				b.StartTimer()
				s, err := r.Tick(b.Context(), now)
				if err != nil || s.Wearers != due {
					b.Fatalf("got %+v, %v; want %d wearers", s, err, due)
				}
			}
		})
	}
}
