package remind_test

import (
	"container/heap"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"testing"
	"time"
	_ "time/tzdata"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

// memory is a ledger in memory: an index ordered by instant, and the firings.
type memory struct {
	mu    sync.Mutex
	load  func(care.WearerID) (remind.Case, error)
	next  map[care.WearerID]time.Time
	queue instants
	fired map[care.WearerID][]schedule.Firing
	loads int
	fail  error             // of the next commit
	waits map[string]string // as a disk keeps it
}

func newMemory(load func(care.WearerID) (remind.Case, error)) *memory {
	return &memory{load: load, next: map[care.WearerID]time.Time{}, fired: map[care.WearerID][]schedule.Firing{}}
}

// use changes what loading a wearer gives while a runner is at work.
func (m *memory) use(load func(care.WearerID) (remind.Case, error)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.load = load
}

type instant struct {
	at time.Time
	w  care.WearerID
}

type instants []instant

func (q instants) Len() int           { return len(q) }
func (q instants) Less(i, j int) bool { return q[i].at.Before(q[j].at) }
func (q instants) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *instants) Push(x any)        { *q = append(*q, x.(instant)) }
func (q *instants) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

func (m *memory) set(w care.WearerID, at time.Time) {
	delete(m.next, w)
	if !at.IsZero() {
		m.next[w] = at
		heap.Push(&m.queue, instant{at, w})
	}
}

// first returns the earliest instant that still stands.
func (m *memory) first() (instant, bool) {
	for len(m.queue) > 0 {
		if top := m.queue[0]; m.next[top.w].Equal(top.at) {
			return top, true
		}
		heap.Pop(&m.queue)
	}
	return instant{}, false
}

func (m *memory) Due(now time.Time, limit int) ([]care.WearerID, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []care.WearerID
	var taken []instant
	seen := map[care.WearerID]bool{}
	for len(out) < limit {
		top, ok := m.first()
		if !ok || top.at.After(now) {
			break
		}
		taken = append(taken, heap.Pop(&m.queue).(instant))
		if !seen[top.w] {
			seen[top.w], out = true, append(out, top.w)
		}
	}
	for _, t := range taken { // reading takes nothing out
		heap.Push(&m.queue, t)
	}
	return out, nil
}

func (m *memory) Load(w care.WearerID) (remind.Case, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.loads++
	c, err := m.load(w)
	c.Input.Fired = m.fired[w]
	if n := len(c.Input.Fired); n > 60 { // a month of two a day
		c.Input.Fired = c.Input.Fired[n-60:]
	}
	return c, err
}

func (m *memory) Commit(steps []remind.Step) ([][]schedule.Firing, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.fail; err != nil {
		m.fail = nil
		return nil, err
	}
	out := make([][]schedule.Firing, len(steps))
	for i, s := range steps {
		m.set(s.Wearer, s.Next)
		for _, f := range s.Fired {
			if !contains(m.fired[s.Wearer], f) {
				m.fired[s.Wearer] = append(m.fired[s.Wearer], f)
				out[i] = append(out[i], f)
			}
		}
	}
	return out, nil
}

func (m *memory) Wait(begin, end []remind.Waiting) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.waits == nil {
		m.waits = map[string]string{}
	}
	for _, w := range end {
		delete(m.waits, string(w.Message.Family)+" "+w.Key())
	}
	for _, w := range begin {
		raw, err := json.Marshal(w)
		if err != nil {
			return err
		}
		m.waits[string(w.Message.Family)+" "+w.Key()] = string(raw)
	}
	return nil
}

func (m *memory) Waiting() (out []remind.Waiting, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, raw := range m.waits {
		var w remind.Waiting
		if err := json.Unmarshal([]byte(raw), &w); err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	return out, nil
}

// contains looks at the newest firings first: a year of them is long.
func contains(list []schedule.Firing, f schedule.Firing) bool {
	for i := len(list) - 1; i >= 0; i-- {
		if list[i] == f {
			return true
		}
	}
	return false
}

// phones is a sender that keeps what it was given.
type phones struct {
	mu   sync.Mutex
	got  []remind.Message
	does func(context.Context, remind.Message) error
}

func (p *phones) Remind(ctx context.Context, m remind.Message) error {
	p.mu.Lock()
	p.got = append(p.got, m)
	p.mu.Unlock()
	if p.does != nil {
		return p.does(ctx, m)
	}
	return nil
}

func (p *phones) messages() []remind.Message {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]remind.Message(nil), p.got...)
}

var errDisk = errors.New("disk full")

// plan asks for insertion at 21:00 UTC from 1 March 2026 and nothing else.
func plan() schedule.Plan {
	p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "UTC")
	p.Off = []string{"removal", "care", "spectacles", "evening-sight", "case", "lens", "recall"}
	p.LockScreenWords = "plain"
	return p
}

func evening(clock string) time.Time {
	return civil.At(civil.MustDate("2026-03-05"), civil.MustClock(clock), time.UTC)
}

// household returns a ledger with n wearers of one family, due at 21:00, and
// a runner over it.
func household(t testing.TB, n int) (*memory, *phones, *remind.Runner) {
	t.Helper()
	m := newMemory(func(care.WearerID) (remind.Case, error) {
		return remind.Case{Family: "fam", Input: schedule.Input{Plan: plan()}}, nil
	})
	p := &phones{}
	r := &remind.Runner{Ledger: m, Sender: p, Log: slog.New(slog.DiscardHandler)}
	for i := range n {
		if err := r.Reconsider(care.WearerID(fmt.Sprintf("w%04d", i)), evening("12:00")); err != nil {
			t.Fatal(err)
		}
	}
	return m, p, r
}
