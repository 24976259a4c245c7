package schedule

import "time"

// SoakReady returns the instant from which the lenses may go in: the instant
// the case was closed plus the soak. Both are instants, so a change of the
// clock, a restart or a flight in between alters nothing.
func SoakReady(closed time.Time, soakMinutes int) time.Time {
	return closed.Add(time.Duration(soakMinutes) * time.Minute)
}

// Soak is the answer to "can the lenses go in at bedtime?".
type Soak struct {
	Ready   time.Time `json:"ready"`
	InTime  bool      `json:"in_time"`  // ready at bedtime or before
	Minutes int       `json:"minutes"`  // still to go at bedtime, rounded up; 0 when in time
	Advice  string    `json:"advice"`   // key of the text shown
	NotWorn string    `json:"not_worn"` // reason to log if the night is skipped; empty when in time
}

// SoakFor says whether a soak that began at closed is done by bedtime. A soak
// that is not is never shortened: the advice is to leave the lenses in the
// case, sleep without, and wear spectacles the next day. A zero closed means
// nobody logged when the case was closed; that is never "ready".
func SoakFor(closed time.Time, soakMinutes int, bedtime time.Time) Soak {
	if closed.IsZero() {
		return Soak{Advice: "soak.unknown", NotWorn: "soak-not-ready"}
	}
	ready := SoakReady(closed, soakMinutes)
	left := ready.Sub(bedtime)
	if left <= 0 {
		return Soak{Ready: ready, InTime: true, Advice: "soak.ready"}
	}
	return Soak{ready, false, int((left + time.Minute - 1) / time.Minute), "soak.skip-tonight", "soak-not-ready"}
}
