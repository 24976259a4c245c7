package remind

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/robfig/cron/v3"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
)

// The runner's own limits.
const (
	// Every is how often the tick looks at the clock: twice within the minute
	// in which a reminder is due.
	Every = 30 * time.Second
	// TickDeadline is the longest a tick may run; a sender that hangs is cut off
	// and the next tick goes on.
	TickDeadline = 2 * time.Minute

	batch   = 256              // wearers decided on in one transaction
	senders = 8                // messages handed over at the same time
	putOff  = 10 * time.Minute // before a wearer who could not be loaded is tried again
)

// Runner sends reminders. Fill in the fields, then Start it, or call Tick.
type Runner struct {
	Ledger Ledger
	Sender Sender
	Now    func() time.Time
	Log    *slog.Logger // nil: [slog.Default]
	// Hold reports whether the clock cannot be relied on just now: then a tick
	// decides nothing, and what is due waits for the next one. May be nil.
	Hold func() bool

	lastTick atomic.Int64 // Unix milliseconds of the last tick that ended well
	deciding sync.Mutex   // from loading a wearer to committing their next instant
	waiting  sync.Mutex
	later    []Waiting // messages that nobody has taken yet
	fresh    []Waiting // of these, not yet in the ledger
	recalled bool      // what waited at the last end was read
}

// Stats is what one tick did.
type Stats struct {
	Wearers  int // whose instant had come
	Messages int // handed over
	Failed   int // messages the sender refused, and wearers that could not be loaded
}

func (r *Runner) log() *slog.Logger {
	if r.Log != nil {
		return r.Log
	}
	return slog.Default()
}

// LastTick returns the instant of the last tick that ended without an error;
// zero when there was none yet. The health check goes by it.
func (r *Runner) LastTick() time.Time {
	if ms := r.lastTick.Load(); ms != 0 {
		return time.UnixMilli(ms)
	}
	return time.Time{}
}

// Start ticks every 30 s until ctx ends, first at once to catch up, and
// returns a function that waits for the tick that is running. A tick that
// panics is logged and the next one goes on; one that is still running makes
// the next be left out, and a deadline ends it.
func (r *Runner) Start(ctx context.Context) (wait func()) {
	logger := cronLog{r.log()}
	// Recover goes inside: in cron v3.0.1 a panic that reaches
	// SkipIfStillRunning keeps its token, and no tick would ever run again.
	job := cron.NewChain(cron.SkipIfStillRunning(logger), cron.Recover(logger)).Then(cron.FuncJob(func() { r.beat(ctx) }))
	c := cron.New(cron.WithLogger(logger))
	c.Schedule(cron.Every(Every), job)
	var first sync.WaitGroup
	first.Go(job.Run)
	c.Start()
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		<-ctx.Done()
		<-c.Stop().Done()
		first.Wait()
	}()
	return func() { <-stopped }
}

func (r *Runner) beat(ctx context.Context) {
	if ctx.Err() != nil {
		return
	}
	if r.Hold != nil && r.Hold() {
		r.lastTick.Store(r.Now().UnixMilli())
		return
	}
	ctx, cancel := context.WithTimeout(ctx, TickDeadline)
	defer cancel()
	if _, err := r.Tick(ctx, r.Now()); err != nil {
		r.log().Error("reminder tick failed", "err", err)
	}
}

// Tick decides on every wearer whose instant has come, records what is to be
// sent, and sends it. An error of the ledger ends the tick; nothing that was
// not recorded has been sent.
func (r *Runner) Tick(ctx context.Context, now time.Time) (Stats, error) {
	total := Stats{}
	var err error
	if total.Failed, err = r.again(ctx, now); err != nil {
		r.log().Error("reminders that wait", "err", err) // those that are due go out all the same
	}
	for ctx.Err() == nil {
		due, err := r.Ledger.Due(now, batch)
		if err != nil {
			return total, fmt.Errorf("read due wearers: %w", err)
		}
		if len(due) == 0 {
			r.lastTick.Store(now.UnixMilli())
			return total, nil
		}
		messages, failed, err := r.decide(due, now)
		if err != nil {
			return total, err
		}
		total.Wearers += len(due)
		total.Failed += failed + r.send(ctx, messages, 1, now)
		total.Messages += len(messages)
		if err := r.store(); err != nil {
			r.log().Error("reminders that wait", "err", err)
		}
	}
	return total, ctx.Err()
}

// Reconsider looks at one wearer again after the log, the plan or a pause changed.
// What is due by now goes out with the next tick. Call it after the change was
// committed and outside any transaction.
func (r *Runner) Reconsider(w care.WearerID, now time.Time) error {
	r.deciding.Lock()
	defer r.deciding.Unlock()
	c, err := r.Ledger.Load(w)
	if err != nil {
		return fmt.Errorf("load wearer: %w", err)
	}
	step := Step{Wearer: w, At: now}
	if c.Family != "" {
		c.Input.Now = now
		if step.Next = schedule.Next(c.Input); len(schedule.Remind(c.Input)) > 0 {
			step.Next = now
		}
	}
	_, err = r.Ledger.Commit([]Step{step})
	return err
}

// decide works out and records one batch, and returns what to send.
func (r *Runner) decide(due []care.WearerID, now time.Time) ([]Message, int, error) {
	r.deciding.Lock()
	defer r.deciding.Unlock()
	steps := make([]Step, len(due))
	items := make([][]schedule.Item, len(due))
	cases := make([]Case, len(due))
	failed := 0
	for i, w := range due {
		steps[i] = Step{Wearer: w, At: now}
		c, err := r.Ledger.Load(w)
		if err != nil {
			r.log().Error("reminders of a wearer put off", "err", err)
			failed++
			steps[i].Next = now.Add(putOff)
			continue
		}
		if c.Family == "" {
			continue
		}
		c.Input.Now, cases[i] = now, c
		items[i], steps[i].Next = schedule.Decide(c.Input)
		for _, it := range items[i] {
			steps[i].Fired = append(steps[i].Fired, it.Firing())
		}
	}
	fresh, err := r.Ledger.Commit(steps)
	if err != nil {
		return nil, failed, fmt.Errorf("record reminders: %w", err)
	}
	if len(fresh) != len(steps) {
		return nil, failed, errors.New("record reminders: the ledger answered for another batch")
	}
	return messages(steps, cases, items, fresh), failed, nil
}

// messages groups what was newly recorded by family and by whom it is for.
func messages(steps []Step, cases []Case, items [][]schedule.Item, fresh [][]schedule.Firing) []Message {
	type key struct {
		family care.FamilyID
		to     string
	}
	index := map[key]int{}
	var out []Message
	for i, step := range steps {
		for _, it := range items[i] {
			if !slices.Contains(fresh[i], it.Firing()) {
				continue
			}
			k := key{cases[i].Family, it.To}
			at, ok := index[k]
			if !ok {
				at = len(out)
				index[k] = at
				out = append(out, Message{Family: k.family, To: k.to, Words: "plain"})
			}
			out[at].add(step.Wearer, it, cases[i].Input.Plan.LockScreenWords)
		}
	}
	for i := range out {
		out[i].finish()
	}
	return out
}

func (m *Message) add(w care.WearerID, it schedule.Item, words string) {
	m.Items = append(m.Items, WearerItem{w, it})
	if words != "plain" {
		m.Words = "neutral"
	}
	if it.UsefulUntil.After(m.UsefulUntil) {
		m.UsefulUntil = it.UsefulUntil
	}
}

// finish puts the items in order and names the message by its first group and
// date and by whose it is, in a form that tells nothing: said again, it takes
// the place of the first on a device.
func (m *Message) finish() {
	slices.SortStableFunc(m.Items, func(a, b WearerItem) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return strings.Compare(string(a.Wearer), string(b.Wearer))
	})
	whose := sha256.New()
	for _, it := range m.Items {
		fmt.Fprintln(whose, it.Wearer)
	}
	m.Tag = fmt.Sprintf("remind-%s-%s-%x", m.Items[0].Group, m.Items[0].Date, whose.Sum(nil)[:4])
}

// send hands messages over and returns how many were refused.
func (r *Runner) send(ctx context.Context, messages []Message, tried int, now time.Time) int {
	var failed atomic.Int64
	var wg sync.WaitGroup
	room := make(chan struct{}, senders)
	for _, m := range messages {
		room <- struct{}{}
		wg.Go(func() {
			defer func() { <-room }()
			switch err := r.sendOne(ctx, m); {
			case errors.Is(err, errNotTried):
				r.keep(Waiting{m, now, tried - 1})
			case err != nil:
				failed.Add(1)
				if !errors.Is(err, ErrNobody) {
					r.log().Warn("reminder not sent", "tag", m.Tag, "err", err)
				}
				r.notTaken(m, err, tried, now)
			}
		})
	}
	wg.Wait()
	return int(failed.Load())
}

// errNotTried says that the program ends: what nobody has tried waits for its next
// start.
var errNotTried = errors.New("not tried")

// sendOne hands one message over. It gives up at the deadline even when the
// sender does not, and turns a panic into an error: cron's own Recover does not
// reach the goroutines of a tick.
func (r *Runner) sendOne(ctx context.Context, m Message) error {
	if ctx.Err() != nil {
		return errNotTried
	}
	result := make(chan error, 1)
	go func() {
		defer func() {
			if p := recover(); p != nil {
				result <- fmt.Errorf("sender panicked: %v", p)
			}
		}()
		result <- r.Sender.Remind(ctx, m)
	}()
	select {
	case err := <-result:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// cronLog lets cron write to slog. Routine notices are left out.
type cronLog struct{ *slog.Logger }

// Info drops cron's notices of every run, but a run that is left out.
func (l cronLog) Info(msg string, _ ...any) {
	if msg == "skip" {
		l.Warn("reminder tick still running; this one is left out")
	}
}

// Error logs what cron recovered from.
func (l cronLog) Error(err error, msg string, kv ...any) {
	l.Logger.Error("cron: "+msg, append([]any{"err", err}, kv...)...)
}
