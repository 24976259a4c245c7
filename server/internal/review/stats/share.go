package stats

import (
	"fmt"
	"math"
)

// Share is a count with its denominator. The unknown are neither done nor not
// done: Low and High are the Wilson 95 % limits among the answered, BoundLow
// and BoundHigh what the share would be if every unknown, and every night at
// rest, were not done, or done.
type Share struct {
	Done      int     `json:"done"`
	NotDone   int     `json:"not_done"`
	Unknown   int     `json:"unknown"`
	Rest      int     `json:"rest"`  // nights without a lens at rest, in the bounds only; 0 for anything but wear
	Share     float64 `json:"share"` // done / (done + not done), 0 to 1; 0 when nothing was answered
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
	BoundLow  float64 `json:"bound_low"`
	BoundHigh float64 `json:"bound_high"`
}

// Answered returns the denominator of Share.
func (s Share) Answered() int { return s.Done + s.NotDone }

// ShareOf makes a [Share] of counts.
func ShareOf(done, not, unknown int) Share {
	s := Share{Done: done, NotDone: not, Unknown: unknown}
	n, all := float64(done+not), float64(done+not+unknown)
	if all > 0 {
		s.BoundLow, s.BoundHigh = float64(done)/all, float64(done+unknown)/all
	}
	if n > 0 {
		s.Share = float64(done) / n
		s.Low, s.High = wilson(float64(done), n)
	} else {
		s.High = 1
	}
	return s
}

// Resting adds nights at rest, which widen the bounds and change nothing else.
func (s Share) Resting(nights int) Share {
	s.Rest = nights
	if all := float64(s.Answered() + s.Unknown + nights); nights > 0 {
		s.BoundLow, s.BoundHigh = float64(s.Done)/all, float64(s.Done+s.Unknown+nights)/all
	}
	return s
}

// Z95 is the 97.5 % point of the normal distribution.
const Z95 = 1.959963984540054

// wilson returns the 95 % score limits of done of n (Wilson 1927).
func wilson(done, n float64) (low, high float64) {
	p, zz := done/n, Z95*Z95
	mid := (p + zz/(2*n)) / (1 + zz/n)
	half := Z95 / (1 + zz/n) * math.Sqrt(p*(1-p)/n+zz/(4*n*n))
	return math.Max(0, mid-half), math.Min(1, mid+half)
}

// Words writes "12 of 30" with the unknown and the nights at rest said.
func (s Share) Words() string {
	text := fmt.Sprintf("%d of %d", s.Done, s.Answered())
	if s.Unknown > 0 {
		text += fmt.Sprintf(", %d not answered", s.Unknown)
	}
	if s.Rest > 0 {
		text += fmt.Sprintf(", %d at rest", s.Rest)
	}
	return text
}

// Percent is the share in whole per cent.
func (s Share) Percent() int { return int(math.Round(100 * s.Share)) }
