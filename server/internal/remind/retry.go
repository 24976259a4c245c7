package remind

import (
	"context"
	"errors"
	"slices"
	"time"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
)

// Later is what a [Sender] answers when nobody has taken the message and somebody
// may yet, not sooner than After from now. The runner sends it again as long as it
// is of use.
type Later struct {
	After time.Duration
	Err   error
}

// Error returns why it was not taken.
func (l Later) Error() string { return l.Err.Error() }

// Unwrap returns the cause.
func (l Later) Unwrap() error { return l.Err }

// How long a message that was not taken waits: a little at first, doubling (our
// choice). What waits stands in memory only: after a restart it is gone, as what
// was sent in vain always was.
const (
	firstAgain = time.Minute
	mostAgain  = 5 * time.Minute
	mostWaits  = 10_000 // messages
)

// waits is a message to be sent again.
type waits struct {
	message Message
	at      time.Time
	tried   int
}

// sendLater keeps a message that was not taken, unless it will be of no use.
func (r *Runner) sendLater(m Message, tried int, after time.Duration, now time.Time) {
	wait := firstAgain
	for i := 1; i < tried && wait < mostAgain; i++ {
		wait *= 2
	}
	at := now.Add(max(min(wait, mostAgain), after))
	r.waiting.Lock()
	defer r.waiting.Unlock()
	if at.Before(m.UsefulUntil) && len(r.later) < mostWaits {
		r.later = append(r.later, waits{m, at, tried})
	}
}

// again sends what waits and whose time has come, as far as it is still due: a
// lens may be in by now. It returns how many were not taken.
func (r *Runner) again(ctx context.Context, now time.Time) (failed int) {
	r.waiting.Lock()
	var due []waits
	r.later = slices.DeleteFunc(r.later, func(w waits) bool {
		ready := !now.Before(w.at) || w.at.Sub(now) > 2*mostAgain // the clock was put back
		if ready {
			due = append(due, w)
		}
		return ready
	})
	r.waiting.Unlock()
	for _, w := range due {
		m := w.message
		if m.Items = r.stillDue(m.Items, now); len(m.Items) == 0 || ctx.Err() != nil {
			continue
		}
		failed += r.send(ctx, []Message{m}, w.tried+1, now)
	}
	return failed
}

// stillDue returns the items that would be due now had nobody been told.
func (r *Runner) stillDue(items []WearerItem, now time.Time) (out []WearerItem) {
	due := map[care.WearerID][]schedule.Item{}
	for _, it := range items {
		list, known := due[it.Wearer]
		if !known {
			c, err := r.Ledger.Load(it.Wearer)
			if err != nil || c.Family == "" {
				due[it.Wearer] = nil
				continue
			}
			c.Input.Now = now
			c.Input.Fired = slices.DeleteFunc(slices.Clone(c.Input.Fired), func(f schedule.Firing) bool {
				return slices.ContainsFunc(items, func(x WearerItem) bool { return x.Wearer == it.Wearer && x.Firing() == f })
			})
			list = schedule.Remind(c.Input)
			due[it.Wearer] = list
		}
		if slices.ContainsFunc(list, func(x schedule.Item) bool { return x.Firing() == it.Firing() }) {
			out = append(out, it)
		}
	}
	return out
}

// notTaken keeps a message for later when its sender says that it may yet be
// taken.
func (r *Runner) notTaken(m Message, err error, tried int, now time.Time) {
	var later Later
	if errors.As(err, &later) {
		r.sendLater(m, tried, later.After, now)
	}
}
