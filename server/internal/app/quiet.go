package app

import (
	"context"
	"sync"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/push"
)

// quietFor is how long a device is left alone after its push service did not
// answer at all (our choice: the shortest wait of the outbox).
const quietFor = 15 * time.Second

// perDevice is how many messages are on their way to one device at a time (our
// choice: far above what a practice sends, far below what all may).
const perDevice = 16

// quiet remembers devices whose push service did not answer in time. While one
// is quiet, a single message at a time finds out whether it answers again, and
// the others are put off at once: many alerts for one dead service must not
// take the places of alerts for a live one.
type quiet struct {
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
func (q *quiet) enter(ctx context.Context, d care.DeviceID, now func() time.Time) time.Duration {
	q.mu.Lock()
	if q.devices == nil {
		q.devices = map[care.DeviceID]*line{}
	}
	l := q.devices[d]
	if l == nil {
		l = &line{free: make(chan struct{}, perDevice)}
		q.devices[d] = l
	}
	q.mu.Unlock()
	select {
	case l.free <- struct{}{}:
	case <-ctx.Done():
		return quietFor
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	if at := now(); at.Before(l.until) {
		<-l.free
		return l.until.Sub(at)
	} else if !l.until.IsZero() {
		l.until = at.Add(quietFor) // this one finds out
	}
	return 0
}

// leave takes in what a send came to.
func (q *quiet) leave(d care.DeviceID, now time.Time, out push.Outcome) {
	q.mu.Lock()
	defer q.mu.Unlock()
	l := q.devices[d]
	<-l.free
	l.until = time.Time{}
	if out.Result == push.Retry && out.Status == 0 {
		l.until = now.Add(quietFor)
	}
}

// noteAnswer keeps since when no push service has taken anything.
func (c *courier) noteAnswer(out push.Outcome) {
	switch out.Result {
	case push.HandedOver:
		c.failing.Store(0)
	case push.Retry:
		c.failing.CompareAndSwap(0, c.now().UnixMilli())
	}
}

// pushFailing returns since when no push service has taken anything; zero while
// they do, or nothing was sent.
func (c *courier) pushFailing() time.Time {
	if ms := c.failing.Load(); ms != 0 {
		return time.UnixMilli(ms)
	}
	return time.Time{}
}
