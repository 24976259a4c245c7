// Package quota says how much one caller may ask of the server, so that nobody
// can take it from the others. It keeps token buckets by name in memory, and
// forgets them when the server stops; it refuses to know what is counted.
package quota

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Limit is a bucket: so many at once, and as many again over each span.
type Limit struct {
	Most int
	Per  time.Duration
}

// A Book holds the buckets of each caller, one for every limit.
type Book struct {
	limits []Limit
	mu     sync.Mutex
	of     map[string]*account
	swept  time.Time
}

type account struct {
	buckets []*rate.Limiter
	used    time.Time
}

// NewBook returns an empty book. A cost above a limit's Most is never granted.
func NewBook(limits ...Limit) *Book { return &Book{limits: limits, of: map[string]*account{}} }

// Wait returns how long a caller has to wait before [Book.Take] grants the
// costs, one for every limit; 0 when it would now.
func (b *Book) Wait(now time.Time, caller string, costs ...int) time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.wait(b.account(now, caller), now, costs)
}

// Take grants the costs, one for every limit, and returns 0; or takes nothing
// and returns how long the caller has to wait.
func (b *Book) Take(now time.Time, caller string, costs ...int) time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	a := b.account(now, caller)
	if wait := b.wait(a, now, costs); wait > 0 {
		return wait
	}
	for i, n := range costs {
		a.buckets[i].AllowN(now, n)
	}
	return 0
}

func (b *Book) wait(a *account, now time.Time, costs []int) time.Duration {
	longest := time.Duration(0)
	for i, n := range costs {
		missing := float64(n) - a.buckets[i].TokensAt(now)
		if missing > 0 {
			longest = max(longest, time.Duration(missing/float64(b.limits[i].Most)*float64(b.limits[i].Per))+1)
		}
	}
	return longest
}

func (b *Book) account(now time.Time, caller string) *account {
	b.sweep(now)
	a := b.of[caller]
	if a == nil {
		a = &account{}
		for _, l := range b.limits {
			a.buckets = append(a.buckets, rate.NewLimiter(rate.Limit(float64(l.Most)/l.Per.Seconds()), l.Most))
		}
		b.of[caller] = a
	}
	if now.After(a.used) { // a clock that steps back forgets nothing
		a.used = now
	}
	return a
}

// sweep forgets, once an hour, whose buckets are full again.
func (b *Book) sweep(now time.Time) {
	if since := now.Sub(b.swept); since >= 0 && since < time.Hour {
		return
	}
	b.swept = now
	for caller, a := range b.of {
		full := true
		for _, l := range b.limits {
			full = full && now.Sub(a.used) > l.Per
		}
		if full {
			delete(b.of, caller)
		}
	}
}
