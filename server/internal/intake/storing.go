package intake

import (
	"sync/atomic"
	"time"
)

// Storing is whether what phones send is stored. The zero value knows of no fault.
type Storing struct{ since atomic.Int64 } // Unix milliseconds; 0: it is

// Failed notes that a phone's request failed by a fault of ours: of the file, or of this
// program.
func (s *Storing) Failed(at time.Time) { s.since.CompareAndSwap(0, at.UnixMilli()) }

// done notes that something was stored, when a verdict says so.
func (s *Storing) done(verdicts []Verdict, raised bool) {
	for _, v := range verdicts {
		raised = raised || v.Verdict == "accepted" || v.Verdict == "held"
	}
	if raised {
		s.since.Store(0)
	}
}

// FailsSince returns when a request first failed that nothing stored has followed; zero:
// there is none.
func (s *Storing) FailsSince() time.Time {
	if at := s.since.Load(); at != 0 {
		return time.UnixMilli(at)
	}
	return time.Time{}
}
