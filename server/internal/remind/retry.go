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
// choice).
const (
	firstAgain = time.Minute
	mostAgain  = 5 * time.Minute
	mostWaits  = 10_000 // messages
)

// Waiting is a message to be sent again. The ledger keeps it, so that a restart does
// not lose a reminder that is still of use.
type Waiting struct {
	Message Message   `json:"message"`
	At      time.Time `json:"at"`    // not before
	Tried   int       `json:"tried"` // times it was not taken
}

// Key names the message among those that wait.
func (w *Waiting) Key() string { return w.Message.To + " " + w.Message.Tag }

// sendLater keeps a message that was not taken, unless it will be of no use.
func (r *Runner) sendLater(m Message, tried int, after time.Duration, now time.Time) {
	wait := firstAgain
	for i := 1; i < tried && wait < mostAgain; i++ {
		wait *= 2
	}
	r.keep(Waiting{m, now.Add(max(min(wait, mostAgain), after)), tried})
}

func (r *Runner) keep(w Waiting) {
	r.waiting.Lock()
	defer r.waiting.Unlock()
	if w.At.Before(w.Message.UsefulUntil) && len(r.later)+len(r.fresh) < mostWaits {
		r.fresh = append(r.fresh, w)
	}
}

// store makes durable what began to wait.
func (r *Runner) store() error {
	r.waiting.Lock()
	fresh := r.fresh
	r.fresh = nil
	r.waiting.Unlock()
	if len(fresh) == 0 {
		return nil
	}
	err := r.Ledger.Wait(fresh, nil)
	r.waiting.Lock()
	defer r.waiting.Unlock()
	r.later = append(r.later, fresh...) // also when the disk takes nothing
	return err
}

// recall reads what waited when the program ended, once.
func (r *Runner) recall() error {
	r.waiting.Lock()
	defer r.waiting.Unlock()
	if r.recalled {
		return nil
	}
	list, err := r.Ledger.Waiting()
	if err != nil {
		return err
	}
	r.later, r.recalled = append(r.later, list...), true
	return nil
}

// again sends what waits and whose time has come, as far as it is still due: a
// lens may be in by now. What is taken out is durable before it is sent, so that
// nothing is sent twice. It returns how many were not taken.
func (r *Runner) again(ctx context.Context, now time.Time) (failed int, err error) {
	if err := r.recall(); err != nil {
		return 0, err
	}
	r.waiting.Lock()
	var due []Waiting
	r.later = slices.DeleteFunc(r.later, func(w Waiting) bool {
		ready := !now.Before(w.At) || w.At.Sub(now) > 2*mostAgain // the clock was put back
		if ready {
			due = append(due, w)
		}
		return ready
	})
	r.waiting.Unlock()
	if len(due) == 0 {
		return 0, nil
	}
	if err := r.Ledger.Wait(nil, due); err != nil {
		r.waiting.Lock()
		defer r.waiting.Unlock()
		r.later = append(r.later, due...)
		return 0, err
	}
	for _, w := range due {
		m := w.Message
		if m.Items = r.stillDue(m.Items, now); len(m.Items) == 0 {
			continue
		}
		failed += r.send(ctx, []Message{m}, w.Tried+1, now)
	}
	return failed, r.store()
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
