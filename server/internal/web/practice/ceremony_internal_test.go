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
