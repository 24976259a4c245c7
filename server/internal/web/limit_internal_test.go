package web

import (
	"fmt"
	"testing"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"
)

// Ten tries a minute hold over any minute, not from one full minute to the next,
// and a crowd of strangers shuts no newcomer out.
func TestTriesAreCountedInASlidingWindow(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 55, 0, time.UTC)
	l := newLimiter(10, time.Minute)
	for i := range 10 {
		if !l.allow("a", now) {
			t.Fatalf("try %d is refused", i+1)
		}
	}
	if l.allow("a", now.Add(59*time.Second)) {
		t.Error("the eleventh try within a minute is let through")
	}
	if !l.allow("a", now.Add(61*time.Second)) {
		t.Error("a minute later a try is refused")
	}
	for i := range 3 * maxKeys {
		l.allow(fmt.Sprint(i), now)
	}
	if !l.allow("newcomer", now) {
		t.Error("strangers shut a newcomer out")
	}
	if len(l.tries) > maxKeys {
		t.Errorf("%d addresses are remembered, want at most %d", len(l.tries), maxKeys)
	}
}

// Who asks for challenges without end loses their own, not a stranger's.
func TestNobodyEvictsAnothersChallenge(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	var s ceremonies
	ask := func(challenge, network string) {
		s.put(ceremony{data: webauthn.SessionData{Challenge: challenge}, network: network}, now)
	}
	ask("mine", "192.0.2.1")
	for i := range 5000 {
		ask(fmt.Sprint("theirs", i), fmt.Sprint("198.51.100.", i%200))
	}
	if len(s.open) > maxCeremonies {
		t.Errorf("%d challenges wait, want at most %d", len(s.open), maxCeremonies)
	}
	if _, ok := s.take("mine", now.Add(time.Second)); !ok {
		t.Error("strangers evicted a challenge that waits")
	}
}
