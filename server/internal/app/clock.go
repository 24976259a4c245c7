package app

import (
	"context"
	"errors"
	"sync"
	"time"

	"nightkeep/server/internal/store"
)

// The server's clock may be set while it runs, or stand wrong at a start. What
// waits for an instant goes by that clock, so a step of it is noticed within a
// second, by a second clock that nobody can set, and everything that waits is
// moved, see [store.Tx.ClockStepped].
const (
	stepNoticed = time.Second     // smaller ones are the drift that is always mended
	stepShown   = time.Minute     // from here on people are told
	stepShownIn = 24 * time.Hour  // for how long
	aheadHold   = 5 * time.Minute // reminders wait so long after the clock was put ahead: it is often put back at once, and then the night's would be gone
	lookAtClock = time.Second
	markEvery   = 60 // looks: how often the mark beside the data file is renewed
)

// steadyClock tells steps of one clock by another.
type steadyClock struct {
	wall func() time.Time
	mono func() time.Duration // since an instant of its own; never set

	mu       sync.Mutex
	known    bool
	at       time.Time     // what wall showed when last looked at
	since    time.Duration // what mono showed then
	owed     time.Duration // steps that could not be acted on yet
	holdTill time.Duration // by mono
	lastStep time.Duration // of those shown
	lastAt   time.Duration
}

// newSteadyClock looks at the machine's clocks.
func newSteadyClock() *steadyClock {
	start := time.Now()
	return &steadyClock{wall: time.Now, mono: func() time.Duration { return time.Since(start) }}
}

// look returns by how much the clock was put ahead, or back when it is negative,
// since it was last acted on; 0 for no step.
func (c *steadyClock) look() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	at, since := c.wall().Round(0), c.mono() // without the reading that cannot be set
	step := at.Sub(c.at) - (since - c.since)
	c.at, c.since = at, since
	if !c.known || step.Abs() < stepNoticed {
		c.known = true
		return c.owed
	}
	if step > 0 {
		c.holdTill = since + aheadHold
	} else {
		c.holdTill = 0
	}
	if step.Abs() >= stepShown {
		c.lastStep, c.lastAt = step, since
	}
	c.owed += step
	return c.owed
}

// done says that a step was acted on.
func (c *steadyClock) done(step time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.owed -= step
}

// ahead reports whether the clock was put ahead so short a while ago that nobody
// should be reminded by it.
func (c *steadyClock) ahead() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.mono() < c.holdTill
}

// stepped returns the last step that people are told of; 0 when there was none
// within a day.
func (c *steadyClock) stepped() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.lastStep == 0 || c.mono()-c.lastAt > stepShownIn {
		return 0
	}
	return c.lastStep
}

// mindClock acts on a step of the clock, if there was one.
func (a *App) mindClock() error {
	step := a.clock.look()
	if step == 0 {
		return nil
	}
	a.opt.Log.Warn("the server's clock was set", "by", step.String())
	if err := a.DB.WriteFirst(func(tx *store.Tx) error { return errors.Join(tx.Duty().ClockStepped(step), tx.Duty().MarkClock()) }); err != nil {
		return err
	}
	a.clock.done(step)
	a.wake()
	return nil
}

// startClock acts on a clock that shows less than it did when the server last
// ran. How long it stood still nobody can say, so it counts as no time.
func (a *App) startClock() error {
	return a.DB.Update(func(tx *store.Tx) error {
		mark := tx.Duty().ClockMark()
		if back := tx.Now.Sub(mark); !mark.IsZero() && back < -stepNoticed {
			a.opt.Log.Warn("the server's clock shows less than when it last ran", "by", back.String())
			if err := tx.Duty().ClockStepped(back); err != nil {
				return err
			}
		}
		return tx.Duty().MarkClock()
	})
}

// mark renews the mark beside the data file.
func (a *App) mark() {
	if err := a.DB.Mark(); err != nil {
		a.opt.Log.Error("mark beside the data file", "err", err)
	}
}

// watchClock looks at the clock until ctx ends. The last mark is made then, so that
// after an orderly stop every copy that was made while the server ran is an older one.
func (a *App) watchClock(ctx context.Context) {
	defer a.mark()
	tick := time.NewTicker(lookAtClock)
	defer tick.Stop()
	for n := 0; ; n++ {
		if n%markEvery == 0 {
			a.mark()
		}
		if err := a.mindClock(); err != nil {
			a.opt.Log.Error("clock", "err", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// clockStep is the last step that people are told of, see [steadyClock.stepped].
func (a *App) clockStep() time.Duration {
	if a.clock == nil {
		return 0
	}
	return a.clock.stepped()
}
