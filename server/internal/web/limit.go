package web

import (
	"net/netip"
	"slices"
	"sync"
	"time"
)

// maxKeys bounds what a limiter remembers. Beyond it whoever was heard longest
// ago is forgotten, so that a crowd of addresses neither fills the memory nor
// shuts a newcomer out; who has that many has a try from each of them anyway.
const maxKeys = 10_000

// limiter counts tries per key in a window that slides: at any moment those of
// the last window count, refused ones not.
type limiter struct {
	mu     sync.Mutex
	most   int
	window time.Duration
	tries  map[string][]time.Time // oldest first, at most most
}

func newLimiter(most int, window time.Duration) *limiter {
	return &limiter{most: most, window: window, tries: map[string][]time.Time{}}
}

// allow notes a try and reports whether it is within the limit. A clock that
// steps back forgets what it has not reached again.
func (l *limiter) allow(key string, now time.Time) bool {
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

// forget makes room: for all that is over, or else for one.
func (l *limiter) forget(now time.Time) {
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

// counted is what an address is counted by: all of an IPv4 address, and the
// first 64 bits of an IPv6 address, because one household or one rented machine
// has at least that many (RFC 6177, RFC 4291 section 2.5.4).
func counted(addr string) string {
	a, err := netip.ParseAddr(addr)
	if err != nil || a.Unmap().Is4() {
		return addr
	}
	p, err := a.WithZone("").Prefix(64)
	if err != nil {
		return addr
	}
	return p.String()
}
