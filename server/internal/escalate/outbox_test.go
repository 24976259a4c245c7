package escalate_test

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// memory is an outbox that keeps its rows as a store would, and can fail one
// of its calls in place of a process that dies there.
type memory struct {
	mu   sync.Mutex
	rows map[string]escalate.Row
	fail string // "done", "retry", "drop" or "lease"; once
}

var errDied = errors.New("died here")

func newMemory(rows ...escalate.Row) *memory {
	m := &memory{rows: map[string]escalate.Row{}}
	m.put(rows...)
	return m
}

func (m *memory) put(rows ...escalate.Row) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, r := range rows {
		if _, ok := m.rows[r.Key()]; !ok {
			m.rows[r.Key()] = r
		}
	}
}

func (m *memory) cancel(a care.AlertID) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for k, r := range m.rows {
		if r.Alert == a {
			delete(m.rows, k)
		}
	}
}

func (m *memory) died(where string) bool {
	if m.fail == where {
		m.fail = ""
		return true
	}
	return false
}

func (m *memory) Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []escalate.Row
	for _, r := range m.rows {
		if r.Ready(now) {
			out = append(out, r)
		}
	}
	slices.SortFunc(out, func(a, b escalate.Row) int {
		return cmp.Or(cmp.Compare(a.Level.Rank(), b.Level.Rank()), a.Due.Compare(b.Due), cmp.Compare(a.Key(), b.Key()))
	})
	out = out[:min(n, len(out))]
	for i := range out {
		out[i].LeaseUntil, out[i].Attempt = now.Add(lease), out[i].Attempt+1
		m.rows[out[i].Key()] = out[i]
	}
	if m.died("lease") { // the lease is stored, the worker never hears of it
		return nil, errDied
	}
	return out, nil
}

func (m *memory) remove(where string, r escalate.Row) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.died(where) {
		return errDied
	}
	delete(m.rows, r.Key())
	return nil
}

func (m *memory) Done(r escalate.Row, _ time.Time, _ string, left ...escalate.Row) error {
	m.mu.Lock()
	_, waits := m.rows[r.Key()]
	m.mu.Unlock()
	err := m.remove("done", r)
	if err == nil && waits {
		m.put(left...)
	}
	return err
}

func (m *memory) Drop(r escalate.Row, _ time.Time, _ string) error { return m.remove("drop", r) }

func (m *memory) Retry(r escalate.Row, at time.Time, note string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.died("retry") {
		return errDied
	}
	if have, ok := m.rows[r.Key()]; ok {
		have.Due, have.LeaseUntil, have.Last = at, time.Time{}, note
		m.rows[r.Key()] = have
	}
	return nil
}

// phone counts what it was asked to deliver, and answers by script.
type phone struct {
	mu     sync.Mutex
	got    []escalate.Row
	answer func(escalate.Row) escalate.Result
}

func (p *phone) Deliver(_ context.Context, r escalate.Row) escalate.Result {
	p.mu.Lock()
	p.got = append(p.got, r)
	p.mu.Unlock()
	if p.answer == nil {
		return escalate.Result{Verdict: escalate.HandedOver}
	}
	return p.answer(r)
}

func row(target care.PersonID, level escalate.Level) escalate.Row {
	return escalate.Row{
		Delivery: escalate.Delivery{Step: 1, Channel: escalate.Push, Target: target, Kind: escalate.KindAlert, Level: level},
		Alert:    "a-1", Created: t0, Due: t0,
	}
}

// A process that dies anywhere between taking a row and storing the result
// leaves a row that is sent again after its lease; no row is ever lost.
func TestCrashAtEachStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		fail    string
		verdict escalate.Verdict
		panics  bool
		sends   int // in all, until the outbox is empty
	}{
		{"no crash", "", escalate.HandedOver, false, 1},
		{"after the lease, before sending", "lease", escalate.HandedOver, false, 1},
		{"after sending, before it is stored", "done", escalate.HandedOver, false, 2},
		{"after failing, before it is stored", "retry", escalate.TryAgain, false, 2},
		{"after an impossible one, before it is stored", "drop", escalate.Impossible, false, 2},
		{"while sending", "", escalate.TryAgain, true, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			clock := t0
			box := newMemory(row("ann", escalate.Emergency))
			box.fail = c.fail
			first := &phone{answer: func(escalate.Row) escalate.Result {
				if c.panics {
					panic("out of memory")
				}
				return escalate.Result{Verdict: c.verdict}
			}}
			faults := 0
			w := &escalate.Worker{Outbox: box, Deliverer: first, Now: func() time.Time { return clock }, Fault: func(error) { faults++ }}
			_, err := w.Work(t.Context())
			if c.fail != "" && err == nil && faults == 0 {
				t.Error("the crash went unnoticed")
			}
			after := &phone{}
			next := &escalate.Worker{Outbox: box, Deliverer: after, Now: func() time.Time { return clock }}
			work := func() {
				if _, err := next.Work(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
			work()
			if n := len(after.got); n != 0 {
				t.Errorf("sent again at once %d times, before lease or back-off ran out", n)
			}
			for range 30 {
				clock = clock.Add(15 * time.Second)
				work()
			}
			if n := len(first.got) + len(after.got); n != c.sends || len(box.rows) != 0 {
				t.Errorf("sent %d times, want %d; %d rows left", n, c.sends, len(box.rows))
			}
		})
	}
}

func TestTwoWorkersShareTheRows(t *testing.T) {
	t.Parallel()
	box := newMemory()
	for i := range 100 {
		r := row("ann", escalate.Urgent)
		r.Step = i
		box.put(r)
	}
	p := &phone{}
	var wg sync.WaitGroup
	for range 2 {
		w := &escalate.Worker{Outbox: box, Deliverer: p, Now: func() time.Time { return t0 }}
		wg.Go(func() {
			for {
				if n, err := w.Work(t.Context()); n == 0 || err != nil {
					return
				}
			}
		})
	}
	wg.Wait()
	if len(p.got) != 100 || len(box.rows) != 0 {
		t.Errorf("sent %d of 100, %d left", len(p.got), len(box.rows))
	}
}

func TestBackoffGrowsAndObeysTheOtherSide(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		attempt int
		asked   time.Duration
		want    time.Duration
	}{
		{1, 0, 15 * time.Second}, {2, 0, 30 * time.Second}, {3, 0, time.Minute}, {5, 0, 4 * time.Minute},
		{6, 0, 5 * time.Minute}, {1000, 0, 5 * time.Minute}, {1, 10 * time.Minute, 10 * time.Minute}, {3, time.Second, time.Minute},
	} {
		if got := escalate.Backoff(c.attempt, c.asked); got != c.want {
			t.Errorf("attempt %d, asked %v: %v, want %v", c.attempt, c.asked, got, c.want)
		}
	}
}

func TestRetriesUntilADayIsOver(t *testing.T) {
	t.Parallel()
	clock := t0
	box := newMemory(row("ann", escalate.Emergency))
	p := &phone{answer: func(escalate.Row) escalate.Result { return escalate.Result{} }} // a forgotten answer
	w := &escalate.Worker{Outbox: box, Deliverer: p, Now: func() time.Time { return clock }}
	for len(box.rows) > 0 && clock.Sub(t0) < 48*time.Hour {
		if _, err := w.Work(t.Context()); err != nil {
			t.Fatal(err)
		}
		clock = clock.Add(time.Minute)
	}
	if age := clock.Sub(t0); age < 24*time.Hour || age > 25*time.Hour {
		t.Errorf("given up after %v", age)
	}
	if len(p.got) < 24*60/6 {
		t.Errorf("tried only %d times", len(p.got))
	}
}

func TestCancelledWhileBeingSentStaysGone(t *testing.T) {
	t.Parallel()
	box := newMemory(row("ann", escalate.Emergency))
	p := &phone{answer: func(escalate.Row) escalate.Result {
		box.cancel("a-1") // acknowledged just now
		return escalate.Result{}
	}}
	w := &escalate.Worker{Outbox: box, Deliverer: p, Now: func() time.Time { return t0 }}
	if _, err := w.Work(t.Context()); err != nil || len(box.rows) != 0 {
		t.Errorf("%v, %d rows came back", err, len(box.rows))
	}
}

func TestRowKey(t *testing.T) {
	t.Parallel()
	base := row("ann", escalate.Urgent)
	later := base
	later.Due, later.Attempt, later.Level, later.LeaseUntil = at(9), 4, escalate.Emergency, at(10)
	if base.Key() != later.Key() {
		t.Error("the key changes with attempts")
	}
	seen := map[string]bool{base.Key(): true}
	for _, change := range []func(*escalate.Row){
		func(r *escalate.Row) { r.Alert = "a-2" }, func(r *escalate.Row) { r.Step = 2 },
		func(r *escalate.Row) { r.Channel = escalate.Mail }, func(r *escalate.Row) { r.Target = "ben" },
		func(r *escalate.Row) { r.Device = "d-1" },
	} {
		r := base
		change(&r)
		if seen[r.Key()] {
			t.Errorf("key %q used twice", r.Key())
		}
		seen[r.Key()] = true
		if !strings.HasPrefix(r.Key(), string(r.Alert)+"\x00") {
			t.Errorf("key %q does not start with its alert", r.Key())
		}
	}
}

func TestRunWorksWhenWokenAndByItself(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		box, p := newMemory(), &phone{}
		w := &escalate.Worker{Outbox: box, Deliverer: p, Now: time.Now} // the bubble's clock
		start := time.Now()
		wake := make(chan struct{}, 1)
		ctx, stop := context.WithCancel(t.Context())
		go w.Run(ctx, wake)
		synctest.Wait()
		put := func(step int) {
			r := row("ann", escalate.Emergency)
			r.Step, r.Due, r.Created = step, start, start
			box.put(r)
		}
		put(1)
		wake <- struct{}{}
		synctest.Wait()
		if len(p.got) != 1 || !time.Now().Equal(start) {
			t.Errorf("woken: %d sent after %v", len(p.got), time.Since(start))
		}
		put(2)
		<-time.After(6 * time.Second) // of the bubble
		synctest.Wait()
		if len(p.got) != 2 {
			t.Errorf("not woken: %d sent after %v", len(p.got), time.Since(start))
		}
		stop()
	})
}

// A device of the person that did not take it is tried on its own, with growing
// waits, until it does; the ones that did are left in peace.
func TestEveryDeviceIsTried(t *testing.T) {
	t.Parallel()
	clock := t0
	box := newMemory(row("ann", escalate.Emergency))
	p := &phone{answer: func(r escalate.Row) escalate.Result {
		switch {
		case r.Device == "":
			return escalate.Result{Verdict: escalate.HandedOver, Left: []escalate.Left{{Device: "d-2", After: time.Minute}, {Device: "d-3"}}}
		case r.Device == "d-2" && clock.Before(at(3)):
			return escalate.Result{}
		}
		return escalate.Result{Verdict: escalate.HandedOver}
	}}
	w := &escalate.Worker{Outbox: box, Deliverer: p, Now: func() time.Time { return clock }}
	var sent []string
	for clock.Before(at(10)) {
		p.got = nil
		if _, err := w.Work(t.Context()); err != nil {
			t.Fatal(err)
		}
		for _, r := range p.got {
			sent = append(sent, string(r.Device)+" at "+clock.Sub(t0).String())
		}
		clock = clock.Add(5 * time.Second)
	}
	// d-3 after 15 s; d-2 after the minute it asked for, then by the doubling
	// wait of the second and third attempt: 30 s and 60 s, and 2 min.
	want := []string{" at 0s", "d-3 at 15s", "d-2 at 1m0s", "d-2 at 1m30s", "d-2 at 2m30s", "d-2 at 4m30s"}
	if !slices.Equal(sent, want) || len(box.rows) != 0 {
		t.Errorf("sent %q, want %q; %d rows left", sent, want, len(box.rows))
	}
}

// One push service that does not answer must not hold up the others.
func TestASilentServiceHoldsUpOnlyItsOwnRows(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		box := newMemory()
		for i := range 200 {
			r := row("ann", escalate.Emergency)
			r.Step, r.Due, r.Created = i, start, start
			if i < 5 {
				r.Target = "silent"
			}
			box.put(r)
		}
		sent := make(chan time.Duration, 200)
		w := &escalate.Worker{Outbox: box, Now: time.Now, Deliverer: deliverFunc(func(ctx context.Context, r escalate.Row) escalate.Result {
			if r.Target == "silent" {
				<-ctx.Done()
				return escalate.Result{Note: "no answer"}
			}
			sent <- time.Since(start)
			return escalate.Result{Verdict: escalate.HandedOver}
		})}
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { w.Run(ctx, nil); close(ended) }()
		synctest.Wait()
		if n := len(sent); n != 195 {
			t.Errorf("%d of 195 sent without waiting", n)
		}
		<-time.After(21 * time.Second) // of the bubble
		synctest.Wait()
		box.mu.Lock()
		for _, r := range box.rows {
			if r.Last != "no answer" || !r.LeaseUntil.IsZero() {
				t.Errorf("silent row %+v", r)
			}
		}
		box.mu.Unlock()
		stop()
		<-ended
	})
}

// With every place taken a wake cannot be served at once; it must be as soon as
// a place is free, not at the next tick after five seconds.
func TestAWakeWithEveryPlaceTakenIsNotForgotten(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		box := newMemory()
		put := func(first, n int) {
			for i := range n {
				r := row("ann", escalate.Emergency)
				r.Step, r.Due, r.Created = first+i, start, start
				box.put(r)
			}
		}
		put(0, 600) // more than there are places
		sent := make(chan time.Duration, 1000)
		w := &escalate.Worker{Outbox: box, Now: time.Now, Deliverer: deliverFunc(func(context.Context, escalate.Row) escalate.Result {
			at := time.Since(start)
			<-time.After(600 * time.Millisecond) // of the bubble
			sent <- at
			return escalate.Result{Verdict: escalate.HandedOver}
		})}
		wake := make(chan struct{}, 1)
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan struct{})
		go func() { w.Run(ctx, wake); close(ended) }()
		<-time.After(100 * time.Millisecond)
		put(600, 1)
		wake <- struct{}{}
		<-time.After(4 * time.Second) // before the tick
		synctest.Wait()
		if n := len(sent); n != 601 {
			t.Errorf("%d of 601 sent before the tick", n)
		}
		stop()
		<-ended
	})
}

type deliverFunc func(context.Context, escalate.Row) escalate.Result

func (f deliverFunc) Deliver(ctx context.Context, r escalate.Row) escalate.Result { return f(ctx, r) }

func TestCanary(t *testing.T) {
	t.Parallel()
	day := civil.MustDate("2026-03-29")
	devices := []care.Device{{ID: "d-1", Person: "ann"}, {ID: "d-2", Person: "ann"}, {ID: "d-3", Person: "ben", Revoked: true}, {ID: "d-4", Family: "f-1", Person: "p-1"}}
	box := newMemory(escalate.Canary(devices, day, t0)...)
	box.put(escalate.Canary(devices, day, at(5))...)
	if len(box.rows) != 2 {
		t.Errorf("%d rows, want one for each of two clinic devices", len(box.rows))
	}
	box.put(escalate.Canary(devices, day.AddDays(1), at(9))...)
	if len(box.rows) != 4 {
		t.Errorf("the next day: %d rows, want 4", len(box.rows))
	}
	for _, r := range box.rows {
		if r.Kind != escalate.KindCanary || r.Device == "" {
			t.Errorf("row %+v", r)
		}
	}
}

func TestUnheard(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		waiting time.Time
		now     time.Time
		want    bool
	}{
		{"nothing waits", time.Time{}, t0, false},
		{"a night", t0, t0.Add(12 * time.Hour), false},
		{"longer", t0, t0.Add(12*time.Hour + 1), true},
	} {
		if got := escalate.Unheard(c.waiting, c.now); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func TestLevels(t *testing.T) {
	t.Parallel()
	order := []escalate.Level{escalate.Emergency, escalate.Urgent, escalate.Routine, escalate.Note}
	for i, a := range order {
		for j, b := range order {
			if a.Worse(b) != (i < j) {
				t.Errorf("%s worse than %s: %v", a, b, a.Worse(b))
			}
		}
		if a.RedFlag() != (i < 2) {
			t.Errorf("%s red flag: %v", a, a.RedFlag())
		}
	}
	if escalate.Level("severe").Rank() != 0 {
		t.Error("an unknown level ranks below an emergency")
	}
}
