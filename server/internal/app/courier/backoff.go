package courier

import (
	"context"
	"sync"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/push"
)

// backoffFor is how long a device is left alone after its push service did not
// answer at all (our choice: the shortest wait of the outbox).
const backoffFor = 15 * time.Second

// perDevice is how many messages are on their way to one device at a time (our
// choice: far above what a practice sends, far below what all may).
const perDevice = 16

// backoff remembers devices whose push service did not answer in time. While one
// is quiet, a single message at a time finds out whether it answers again, and
// the others are put off at once: many alerts for one dead service must not
// take the places of alerts for a live one.
type backoff struct {
	mu      sync.Mutex
	devices map[care.DeviceID]*line
}

// line is the way to one device.
type line struct {
	free  chan struct{} // a place for each message that may be on its way
	until time.Time     // quiet until then; zero while it answers
}

// enter waits for a place on the way to a device. It returns how long to leave
// the device alone instead, 0 to go ahead; then leave must be called.
func (b *backoff) enter(ctx context.Context, d care.DeviceID, now func() time.Time) time.Duration {
	b.mu.Lock()
	if b.devices == nil {
		b.devices = map[care.DeviceID]*line{}
	}
	l := b.devices[d]
	if l == nil {
		l = &line{free: make(chan struct{}, perDevice)}
		b.devices[d] = l
	}
	b.mu.Unlock()
	select {
	case l.free <- struct{}{}:
	case <-ctx.Done():
		return backoffFor
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if at := now(); at.Before(l.until) {
		<-l.free
		return l.until.Sub(at)
	} else if !l.until.IsZero() {
		l.until = at.Add(backoffFor) // this one finds out
	}
	return 0
}

// leave takes in what a send came to.
func (b *backoff) leave(d care.DeviceID, now time.Time, out push.Outcome) {
	b.mu.Lock()
	defer b.mu.Unlock()
	l := b.devices[d]
	<-l.free
	l.until = time.Time{}
	if out.Result == push.Retry && out.Status == 0 {
		l.until = now.Add(backoffFor)
	}
}

// noteAnswer keeps since when no push service has taken anything.
func (c *Courier) noteAnswer(out push.Outcome) {
	switch out.Result {
	case push.HandedOver:
		c.failing.Store(0)
	case push.Retry:
		c.failing.CompareAndSwap(0, c.Now().UnixMilli())
	}
}

// PushFailing returns since when no push service has taken anything; zero while
// they do, or nothing was sent.
func (c *Courier) PushFailing() time.Time {
	if ms := c.failing.Load(); ms != 0 {
		return time.UnixMilli(ms)
	}
	return time.Time{}
}
