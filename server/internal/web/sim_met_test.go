package web_test

import (
	"sync/atomic"
	"testing"
	"time"

	"nightkeep/schedule/civil"
)

// simFaults names what the simulated network does, in the order of
// [schedule.sync].
var simFaults = [10]string{
	"request lost", "reply lost", "sent twice", "delayed", "request cut", "refused on the way", "reply cut", "well", "well", "well",
}

// met counts what the schedules went through, so that a simulator that has
// stopped meeting a case is noticed.
type met struct {
	entries, travels, fast, slow, right, uneven, eitherSide atomic.Int64
	faults                                                  [len(simFaults)]atomic.Int64
}

// europeTurns is when clocks go forward in Europe in 2026: the last Sunday in
// March at 01:00 UTC (Directive 2000/84/EC).
var europeTurns = time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC)

// entry counts one entry written at an instant the device's clock showed.
func (m *met) entry(d *simDevice, at time.Time) {
	m.entries.Add(1)
	switch {
	case d.clock > 24*time.Hour:
		m.fast.Add(1)
	case d.clock < -24*time.Hour:
		m.slow.Add(1)
	case d.clock.Abs() < time.Hour:
		m.right.Add(1)
	}
	n := civil.NightOf(at, d.zone)
	from, to := time.Date(n.Year, n.Month, n.Day, 12, 0, 0, 0, d.zone), time.Date(n.Year, n.Month, n.Day+1, 12, 0, 0, 0, d.zone)
	if to.Sub(from) == 23*time.Hour {
		m.uneven.Add(1)
		if at.Sub(europeTurns).Abs() < 2*time.Hour {
			m.eitherSide.Add(1)
		}
	}
}

// check prints the counts and wants each case met, once there were enough
// schedules to tell.
func (m *met) check(t *testing.T, schedules uint64) {
	t.Logf("%d schedules, %d entries", schedules, m.entries.Load())
	want := func(n int64, what string) {
		t.Logf("%8d %s", n, what)
		if n == 0 && schedules >= simSchedules {
			t.Errorf("no schedule met: %s", what)
		}
	}
	want(m.travels.Load(), "travels to another zone")
	want(m.fast.Load(), "entries on a clock more than 24 h fast")
	want(m.slow.Load(), "entries on a clock more than 24 h slow")
	want(m.right.Load(), "entries on a clock that is right")
	want(m.uneven.Load(), "entries on a night of 23 hours")
	want(m.eitherSide.Load(), "entries within 2 h of the change of clocks")
	for i := range m.faults {
		want(m.faults[i].Load(), "requests: "+simFaults[i])
	}
}
