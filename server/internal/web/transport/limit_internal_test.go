package transport

import (
	"fmt"
	"testing"
	"time"
)

// Ten tries a minute hold over any minute, not from one full minute to the next,
// and a crowd of strangers shuts no newcomer out.
func TestTriesAreCountedInASlidingWindow(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 55, 0, time.UTC)
	l := NewLimiter(10, time.Minute)
	for i := range 10 {
		if !l.Allow("a", now) {
			t.Fatalf("try %d is refused", i+1)
		}
	}
	if l.Allow("a", now.Add(59*time.Second)) {
		t.Error("the eleventh try within a minute is let through")
	}
	if !l.Allow("a", now.Add(61*time.Second)) {
		t.Error("a minute later a try is refused")
	}
	for i := range 3 * maxKeys {
		l.Allow(fmt.Sprint(i), now)
	}
	if !l.Allow("newcomer", now) {
		t.Error("strangers shut a newcomer out")
	}
	if len(l.tries) > maxKeys {
		t.Errorf("%d addresses are remembered, want at most %d", len(l.tries), maxKeys)
	}
}
