package escalate

import (
	"context"
	"fmt"
	"sync"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// The worker's limits (our choice).
const (
	batch    = 32               // rows leased at once
	parallel = 8                // sent at once
	sendFor  = 20 * time.Second // one attempt
	leaseFor = 3 * time.Minute  // more than a whole batch of slow attempts, so a lease runs out only when its worker died
	tick     = 5 * time.Second  // how often to look without being woken
	firstTry = 15 * time.Second // wait after the first failure; doubles
	longest  = 5 * time.Minute  // longest wait of our own
	giveUp   = 24 * time.Hour   // a message older than this helps nobody; the ladder has gone on without it
)

// Worker empties the outbox. Several may run at once, also in several
// processes: a row is leased by one at a time.
type Worker struct {
	Outbox    Outbox
	Deliverer Deliverer
	Now       func() time.Time
	// Fault is told of an error of the store; the row is tried again when its
	// lease runs out. May be nil.
	Fault func(error)
}

// Run works until the context ends: at once when woken, and every few seconds.
func (w *Worker) Run(ctx context.Context, wake <-chan struct{}) {
	t := time.NewTicker(tick)
	defer t.Stop()
	for ctx.Err() == nil {
		n, err := w.Work(ctx)
		if err != nil {
			w.fault(err)
		}
		if err == nil && n == batch {
			continue // there may be more
		}
		select {
		case <-ctx.Done():
		case <-wake:
		case <-t.C:
		}
	}
}

// Work leases one batch, tries each row once, and returns how many rows it
// tried. A row whose result could not be stored is sent again after its lease.
func (w *Worker) Work(ctx context.Context) (int, error) {
	rows, err := w.Outbox.Lease(w.Now(), batch, leaseFor)
	if err != nil {
		return 0, fmt.Errorf("escalate: lease: %w", err)
	}
	slots := make(chan struct{}, parallel)
	var wg sync.WaitGroup
	for _, r := range rows {
		slots <- struct{}{}
		wg.Go(func() {
			defer func() { <-slots }()
			if err := w.one(ctx, r); err != nil {
				w.fault(fmt.Errorf("escalate: row of alert %s, step %d: %w", r.Alert, r.Step, err))
			}
		})
	}
	wg.Wait()
	return len(rows), nil
}

// one tries one row and stores what became of it.
func (w *Worker) one(ctx context.Context, r Row) error {
	got := w.deliver(ctx, r)
	now := w.Now()
	switch {
	case got.Verdict == HandedOver:
		return w.Outbox.Done(r, now, got.Note)
	case got.Verdict == Impossible:
		return w.Outbox.Drop(r, now, got.Note)
	case now.Sub(r.Created) > giveUp:
		return w.Outbox.Drop(r, now, "given up: "+got.Note)
	}
	return w.Outbox.Retry(r, now.Add(Backoff(r.Attempt, got.After)), got.Note)
}

// deliver calls the deliverer within a time limit; a panic there is a failed
// attempt, not the end of the worker.
func (w *Worker) deliver(ctx context.Context, r Row) (got Result) {
	ctx, cancel := context.WithTimeout(ctx, sendFor)
	defer cancel()
	defer func() {
		if p := recover(); p != nil {
			got = Result{Verdict: TryAgain, Note: "the sender failed"}
			w.fault(fmt.Errorf("escalate: deliverer panicked: %v", p))
		}
	}()
	return w.Deliverer.Deliver(ctx, r)
}

func (w *Worker) fault(err error) {
	if w.Fault != nil {
		w.Fault(err)
	}
}

// Backoff returns how long to wait after a failed attempt, counted from 1:
// 15 seconds, doubling to 5 minutes, or what the other side asked for if that
// is longer.
func Backoff(attempt int, asked time.Duration) time.Duration {
	wait := firstTry
	for i := 1; i < attempt && wait < longest; i++ {
		wait *= 2
	}
	return max(min(wait, longest), asked)
}

// CanaryAlert returns the id that stands for an alert in a day's canary rows.
func CanaryAlert(day civil.Date) care.AlertID { return care.AlertID("canary-" + day.String()) }

// Canary returns the rows of a day's canary push, one per clinic device, due
// at now. The same day twice gives rows of the same key.
func Canary(devices []care.Device, day civil.Date, now time.Time) []Row {
	var out []Row
	for _, d := range devices {
		if d.Revoked || d.Family != "" {
			continue
		}
		out = append(out, Row{
			Delivery: Delivery{Channel: Push, Target: d.Person, Kind: KindCanary, Level: Note},
			Alert:    CanaryAlert(day), Device: d.ID, Created: now, Due: now,
		})
	}
	return out
}

// canaryGrace is how long a device may take to show a canary; a phone that is
// off overnight is no fault (our choice).
const canaryGrace = 12 * time.Hour

// Unheard reports whether a device has failed for too long to prove that it
// shows messages. waiting is when the first canary since the last one shown
// was sent, or for a device that never showed one, when it was enrolled; zero
// when none is waited for.
func Unheard(waiting, now time.Time) bool {
	return !waiting.IsZero() && now.Sub(waiting) > canaryGrace
}
