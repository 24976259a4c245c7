package review

import (
	"fmt"
	"math"
)

// shareOf makes a [Share] of counts.
func shareOf(done, not, unknown int) Share {
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

// resting adds nights at rest, which widen the bounds and change nothing else.
func (s Share) resting(nights int) Share {
	s.Rest = nights
	if all := float64(s.Answered() + s.Unknown + nights); nights > 0 {
		s.BoundLow, s.BoundHigh = float64(s.Done)/all, float64(s.Done+s.Unknown+nights)/all
	}
	return s
}

// z95 is the 97.5 % point of the normal distribution.
const z95 = 1.959963984540054

// wilson returns the 95 % score limits of done of n (Wilson 1927).
func wilson(done, n float64) (low, high float64) {
	p, zz := done/n, z95*z95
	mid := (p + zz/(2*n)) / (1 + zz/n)
	half := z95 / (1 + zz/n) * math.Sqrt(p*(1-p)/n+zz/(4*n*n))
	return math.Max(0, mid-half), math.Min(1, mid+half)
}

// of writes "12 of 30" with the unknown and the nights at rest said.
func (s Share) of() string {
	text := fmt.Sprintf("%d of %d", s.Done, s.Answered())
	if s.Unknown > 0 {
		text += fmt.Sprintf(", %d not answered", s.Unknown)
	}
	if s.Rest > 0 {
		text += fmt.Sprintf(", %d at rest", s.Rest)
	}
	return text
}

func (s Share) percent() int { return int(math.Round(100 * s.Share)) }
