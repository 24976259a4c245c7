package web

import (
	"net/netip"
	"sync"
	"time"
)

// maxKeys bounds what a limiter remembers in one window. Beyond it strangers
// share one count, so that a crowd of addresses neither fills the memory nor
// gets tries of its own.
const maxKeys = 10_000

// limiter counts tries per key in fixed windows; it forgets old windows.
type limiter struct {
	mu     sync.Mutex
	most   int
	window time.Duration
	start  time.Time
	tries  map[string]int
}

func newLimiter(most int, window time.Duration) *limiter {
	return &limiter{most: most, window: window, tries: map[string]int{}}
}

// allow notes a try and reports whether it is within the limit.
func (l *limiter) allow(key string, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if now.Sub(l.start) >= l.window || now.Before(l.start) {
		l.start, l.tries = now, map[string]int{}
	}
	if _, known := l.tries[key]; !known && len(l.tries) >= maxKeys {
		key = ""
	}
	l.tries[key]++
	return l.tries[key] <= l.most
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
