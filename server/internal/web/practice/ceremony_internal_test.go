package practice

import (
	"fmt"
	"testing"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"
)

// Who asks for challenges without end loses their own, not a stranger's.
func TestNobodyEvictsAnothersChallenge(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	var s ceremonies
	ask := func(challenge, network string) {
		s.put(ceremony{data: webauthn.SessionData{Challenge: challenge}, network: network, browser: network}, now)
	}
	ask("mine", "192.0.2.1")
	for i := range 5000 {
		ask(fmt.Sprint("theirs", i), fmt.Sprint("198.51.100.", i%200))
	}
	if len(s.open) > maxCeremonies {
		t.Errorf("%d challenges wait, want at most %d", len(s.open), maxCeremonies)
	}
	if _, ok := s.take("mine", "192.0.2.1", now.Add(time.Second)); !ok {
		t.Error("strangers evicted a challenge that waits")
	}
}

// A challenge is answered by the browser that asked for it, once; another's try
// neither works nor uses it up.
func TestAChallengeIsItsBrowsersOwn(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	var s ceremonies
	s.put(ceremony{data: webauthn.SessionData{Challenge: "c"}, network: "192.0.2.1", browser: "secret"}, now)
	for _, other := range []string{"", "another"} {
		if _, ok := s.take("c", other, now); ok {
			t.Errorf("browser %q answered another's challenge", other)
		}
	}
	if _, ok := s.take("c", "secret", now); !ok {
		t.Error("its own browser may not answer")
	}
	if _, ok := s.take("c", "secret", now); ok {
		t.Error("it was answered twice")
	}
}
