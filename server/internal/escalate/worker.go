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
	parallel = 256              // rows being sent at once: more than a service that is silent gathers before it is known to be
	batch    = 64               // rows in one lease, so that its commit stays short
	sendFor  = 20 * time.Second // one attempt
	leaseFor = 2 * time.Minute  // well over one attempt, so that a lease runs out only when its worker died
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
// A push service that does not answer holds up only its own rows. It returns
// when nothing is being sent any more.
func (w *Worker) Run(ctx context.Context, wake <-chan struct{}) {
	t := time.NewTicker(tick)
	defer t.Stop()
	done := make(chan struct{}, parallel)
	busy := 0
	for ctx.Err() == nil {
		n := min(batch, parallel-busy)
		rows, err := w.lease(n)
		if err != nil {
			w.fault(err)
		}
		busy += len(rows)
		for _, r := range rows {
			go func() { w.try(ctx, r); done <- struct{}{} }()
		}
		full := len(rows) == n // there may be more: look again as soon as there is room
		if full && busy < parallel {
			continue
		}
		busy -= w.wait(ctx, wake, t.C, done, full)
	}
	for ; busy > 0; busy-- {
		<-done
	}
}

// lease takes at most n rows; none for 0.
func (w *Worker) lease(n int) ([]Row, error) {
	if n == 0 {
		return nil, nil
	}
	rows, err := w.Outbox.Lease(w.Now(), n, leaseFor)
	if err != nil {
		return nil, fmt.Errorf("escalate: lease: %w", err)
	}
	return rows, nil
}

// wait blocks until there may be something to lease, and returns how many
// sends have ended meanwhile. Only with a backlog is an ended send a reason.
func (w *Worker) wait(ctx context.Context, wake <-chan struct{}, tick <-chan time.Time, done <-chan struct{}, backlog bool) (ended int) {
	for {
		select {
		case <-ctx.Done():
			return ended
		case <-wake:
			return ended
		case <-tick:
			return ended
		case <-done:
			ended++
		}
		for backlog && ended > 0 {
			select {
			case <-done:
				ended++
			default:
				return ended
			}
		}
	}
}

// Work leases one batch, tries each row once, and returns how many rows it
// tried. A row whose result could not be stored is sent again after its lease.
func (w *Worker) Work(ctx context.Context) (int, error) {
	rows, err := w.lease(batch)
	if err != nil {
		return 0, err
	}
	var wg sync.WaitGroup
	for _, r := range rows {
		wg.Go(func() { w.try(ctx, r) })
	}
	wg.Wait()
	return len(rows), nil
}

func (w *Worker) try(ctx context.Context, r Row) {
	if err := w.one(ctx, r); err != nil {
		w.fault(fmt.Errorf("escalate: row of alert %s, step %d: %w", r.Alert, r.Step, err))
	}
}

// one tries one row and stores what became of it.
func (w *Worker) one(ctx context.Context, r Row) error {
	got := w.deliver(ctx, r)
	now := w.Now()
	switch {
	case got.Verdict == HandedOver:
		return w.Outbox.Done(r, now, got.Note, leftRows(r, got.Left, now)...)
	case got.Verdict == Impossible:
		return w.Outbox.Drop(r, now, got.Note)
	case now.Sub(r.Created) > giveUp:
		return w.Outbox.Drop(r, now, "given up: "+got.Note)
	}
	return w.Outbox.Retry(r, now.Add(Backoff(r.Attempt, got.After)), got.Note)
}

// leftRows returns a row for each device that has not taken a message which
// another device of the same person has.
func leftRows(r Row, left []Left, now time.Time) (out []Row) {
	for _, l := range left {
		one := r
		one.Device, one.Due, one.LeaseUntil = l.Device, now.Add(Backoff(r.Attempt, l.After)), time.Time{}
		out = append(out, one)
	}
	return out
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

// Notice returns the rows of a day's notice to those who run the practice, that
// the rota has gaps or a backup ought to be tried: a mail to the practice's owner
// and to each administrator, due at now. The same day twice gives rows of the same
// key.
func Notice(kind Kind, staff []care.Person, day civil.Date, now time.Time) []Row {
	to := []care.PersonID{PracticeOwner}
	for _, p := range staff {
		if p.Role == care.Administrator && !p.Gone {
			to = append(to, p.ID)
		}
	}
	return mailTo(to, kind, day.String(), now)
}

// StaffNotice returns the rows by which everybody of the practice is told of one
// change, named by id, of who may read wearers.
func StaffNotice(staff []care.Person, id string, now time.Time) []Row {
	to := []care.PersonID{PracticeOwner}
	for _, p := range staff {
		if !p.Gone {
			to = append(to, p.ID)
		}
	}
	return mailTo(to, KindStaff, id, now)
}

func mailTo(to []care.PersonID, kind Kind, what string, now time.Time) (out []Row) {
	for _, id := range to {
		out = append(out, Row{
			Delivery: Delivery{Channel: Mail, Target: id, Kind: kind, Level: Note},
			Alert:    care.AlertID(string(kind) + "-" + what), Created: now, Due: now,
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
