package escalate_test

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// month plays 30 days of a practice on an injected clock, in ticks of 30
// seconds, with families who report at any hour, devices that fail, and people
// who answer late or not for hours. It checks on every tick what a family
// relies on.
type month struct {
	t      *testing.T
	rnd    *rand.Rand
	rules  escalate.Rules
	box    *memory
	worker *escalate.Worker
	now    time.Time
	alerts map[care.AlertID]*escalate.Alert
	answer map[care.AlertID]time.Time // when somebody will acknowledge
	told   map[care.AlertID]int       // messages handed over
	routed int                        // routine messages
	lapsed int
}

const tickLength = 30 * time.Second

func newMonth(t *testing.T, start time.Time, seed uint64) *month {
	m := &month{
		t: t, rnd: rand.New(rand.NewPCG(seed, 1)), rules: rules(), box: newMemory(), now: start,
		alerts: map[care.AlertID]*escalate.Alert{}, answer: map[care.AlertID]time.Time{}, told: map[care.AlertID]int{},
	}
	m.rules.Rota = week()
	m.worker = &escalate.Worker{Outbox: m.box, Now: func() time.Time { return m.now }, Fault: func(error) {},
		Deliverer: &phone{answer: m.deliver}}
	return m
}

// deliver answers by row and attempt, so that the order in which the worker's
// goroutines run does not matter: one in five fails.
func (m *month) deliver(r escalate.Row) escalate.Result {
	h := fnv.New32a()
	fmt.Fprint(h, r.Key(), r.Attempt)
	switch h.Sum32() % 10 {
	case 0:
		return escalate.Result{Verdict: escalate.TryAgain}
	case 1:
		return escalate.Result{Verdict: escalate.Impossible}
	}
	m.box.mu.Lock()
	defer m.box.mu.Unlock()
	m.told[r.Alert]++
	return escalate.Result{Verdict: escalate.HandedOver}
}

func (m *month) apply(id care.AlertID, e escalate.Event) {
	a, effects, err := m.rules.Apply(*m.alerts[id], e, m.now)
	if err != nil {
		m.t.Fatalf("%v: %s on %s: %v", m.now, e.Kind, id, err)
	}
	for _, f := range effects {
		if f.Kind == escalate.Cancel {
			m.box.cancel(id)
		}
	}
	rows := escalate.Rows(id, effects, m.now)
	m.box.put(rows...)
	if a.Level == escalate.Routine && len(rows) > 0 {
		m.routed++
		if !escalate.OpenAt(m.rules.Contacts, m.now) {
			m.t.Errorf("routine alert told at %v, outside hours", m.now)
		}
	}
	*m.alerts[id] = a
}

func (m *month) raise(n int) {
	id := care.AlertID(fmt.Sprint("a-", n))
	level := []escalate.Level{escalate.Emergency, escalate.Urgent, escalate.Routine}[n%3]
	m.alerts[id] = &escalate.Alert{ID: id}
	m.apply(id, raised(level))
	m.answer[id] = m.now.Add(time.Duration(m.rnd.IntN(200)) * time.Minute)
}

func (m *month) tick() {
	for _, id := range m.live() {
		a := m.alerts[id]
		switch {
		case a.State == escalate.Open && m.now.After(m.answer[id]):
			m.apply(id, ev(escalate.Acknowledge))
			if called := ev(escalate.Call); m.rnd.IntN(3) > 0 {
				called.Result = "reached"
				m.apply(id, called)
			}
		case a.State == escalate.Acknowledged && m.rnd.IntN(2000) == 0:
			m.apply(id, ev(escalate.Close))
		case a.Due(m.now):
			m.apply(id, ev(escalate.StepDue))
		}
		m.check(id)
	}
	if m.rnd.IntN(50) == 0 {
		m.box.fail = []string{"done", "retry", "lease", "drop"}[m.rnd.IntN(4)]
	}
	m.worker.Work(m.t.Context()) // an error is a crash of this round
	m.now = m.now.Add(tickLength)
}

// live returns the ids in a fixed order, so that a seed plays the same month.
func (m *month) live() []care.AlertID {
	var out []care.AlertID
	for id, a := range m.alerts {
		if a.Live() {
			out = append(out, id)
		} else {
			delete(m.alerts, id)
		}
	}
	slices.Sort(out)
	return out
}

// check holds one live alert against the design's promises.
func (m *month) check(id care.AlertID) {
	a := m.alerts[id]
	if a.Level.RedFlag() && a.State == escalate.Acknowledged && m.now.Sub(a.AckAt) > 31*time.Minute && a.Spoken().IsZero() {
		m.t.Fatalf("%s: taken at %v, nobody has reached the family, and the ladder stands still", id, a.AckAt)
	}
	if !a.Level.RedFlag() || a.State != escalate.Open {
		return
	}
	waited := m.now.Sub(a.Since)
	switch {
	case a.NextStepAt.IsZero() || a.NextStepAt.Sub(m.now) > 15*time.Minute:
		m.t.Fatalf("%s: nobody answers and the next step is %v", id, a.NextStepAt)
	case waited >= 3*time.Minute && a.Rung < 2:
		m.t.Fatalf("%s: the deputy does not know after %v", id, waited)
	case waited >= 10*time.Minute && a.Rung < 3:
		m.t.Fatalf("%s: not everybody knows after %v", id, waited)
	case waited >= 20*time.Minute && m.told[id] == 0:
		m.t.Fatalf("%s: no message got through in %v, though most do", id, waited)
	case waited >= time.Hour && !a.Lapsed():
		m.t.Fatalf("%s: not lapsed after %v", id, waited)
	}
	if a.Lapsed() && m.now.Equal(a.LapsedAt) {
		m.lapsed++
	}
}

// Both changes of the clock in Berlin in 2026 lie inside: 29 March and 25
// October.
func TestThirtyDays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		start time.Time
	}{
		{"into summer time", time.Date(2026, 3, 10, 0, 0, 0, 0, time.UTC)},
		{"into winter time", time.Date(2026, 10, 10, 0, 0, 0, 0, time.UTC)},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m := newMonth(t, c.start, 7)
			n, red := 0, 0
			for m.now.Before(c.start.AddDate(0, 0, 30)) {
				if m.rnd.IntN(350) == 0 { // about every three hours
					if n++; n%3 != 2 {
						red++
					}
					m.raise(n)
				}
				m.tick()
			}
			if n < 150 || red < 100 || m.lapsed < 20 || m.routed < 15 {
				t.Errorf("a quiet month: %d alerts, %d red, %d lapsed, %d routine messages", n, red, m.lapsed, m.routed)
			}
		})
	}
}

// A routine alert that nobody takes is told once each opening day, at nine on
// the clinic's wall clock, before and after the clock changes.
func TestRoutineAcrossTheClockChange(t *testing.T) {
	t.Parallel()
	r := rules()
	a, _ := run(t, r, escalate.Alert{ID: "a-1"}, utc(t, "2026-03-26 20:00"), raised(escalate.Routine)) // Thursday evening
	var got []string
	for len(got) < 4 {
		now := a.NextStepAt
		var effects []escalate.Effect
		a, effects = run(t, r, a, now, ev(escalate.StepDue))
		if brief(effects) == "push ann" {
			got = append(got, now.UTC().Format("Mon 2 15:04"))
		}
	}
	want := []string{"Fri 27 08:00", "Mon 30 07:00", "Tue 31 07:00", "Wed 1 07:00"}
	if !slices.Equal(got, want) {
		t.Errorf("told at %v, want %v", got, want)
	}
}
