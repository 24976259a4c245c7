package transport

import (
	"slices"
	"sync"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
)

// Limits of tries from one address in a minute: at what can be guessed, and at
// what only costs work.
const (
	triesAMinute   = 10
	unknownAMinute = 60
)

// requestsOfDevice is what a device of a family may ask for. The number is our
// choice: several times what a phone does that looks every few seconds for the
// clinic's answer.
var requestsOfDevice = quota.Limit{Most: 1200, Per: 4 * time.Minute}

// LimitTries notes a try at something that could be guessed.
func (c *Call) LimitTries() error { return c.within(c.Srv.tries) }

// LimitUnknown notes a request of somebody unknown that costs work.
func (c *Call) LimitUnknown() error { return c.within(c.Srv.unknown) }

func (c *Call) within(l *Limiter) error {
	key, now := Counted(c.ClientAddr()), c.Srv.Now()
	if l.Allow(key, now) {
		return nil
	}
	return care.Later("too-many-tries", l.Wait(key, now), "too many tries from here; wait a minute and try again")
}

// TakeQuota takes one of a book's for the device or family named, or refuses.
func (c *Call) TakeQuota(b *quota.Book, of string) error {
	if wait := b.Take(c.Srv.Now(), of, 1); wait > 0 {
		return care.Later("too-many", wait, "that was asked for very often; wait a little")
	}
	return nil
}

// maxKeys bounds what a limiter remembers. Beyond it whoever was heard longest
// ago is forgotten, so that a crowd of addresses neither fills the memory nor
// shuts a newcomer out; who has that many has a try from each of them anyway.
const maxKeys = 10_000

// Limiter counts tries per key in a window that slides: at any moment those of
// the last window count, refused ones not.
type Limiter struct {
	mu     sync.Mutex
	most   int
	window time.Duration
	tries  map[string][]time.Time // oldest first, at most most
}

// NewLimiter allows most tries of a key within a window.
func NewLimiter(most int, window time.Duration) *Limiter {
	return &Limiter{most: most, window: window, tries: map[string][]time.Time{}}
}

// Allow notes a try and reports whether it is within the limit. A clock that
// steps back forgets what it has not reached again.
func (l *Limiter) Allow(key string, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	list, known := l.tries[key]
	if !known && len(l.tries) >= maxKeys {
		l.forget(now)
	}
	list = slices.DeleteFunc(list, func(t time.Time) bool { return now.Sub(t) >= l.window || t.After(now) })
	ok := len(list) < l.most
	if ok {
		list = append(list, now)
	}
	l.tries[key] = list
	return ok
}

// Wait returns how long a key that was refused has to wait for its next try.
func (l *Limiter) Wait(key string, now time.Time) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	if list := l.tries[key]; len(list) >= l.most {
		return list[0].Add(l.window).Sub(now)
	}
	return 0
}

// forget makes room: for all that is over, or else for one.
func (l *Limiter) forget(now time.Time) {
	oldest, at := "", now.Add(time.Hour)
	for key, list := range l.tries {
		last := time.Time{}
		if len(list) > 0 {
			last = list[len(list)-1]
		}
		if now.Sub(last) >= l.window {
			delete(l.tries, key)
		} else if last.Before(at) {
			oldest, at = key, last
		}
	}
	if len(l.tries) >= maxKeys {
		delete(l.tries, oldest)
	}
}
