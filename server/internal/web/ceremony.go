package web

import (
	"maps"
	"sync"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"

	"nightkeep/server/internal/care"
)

// ceremonyLife is how long a challenge waits for its answer: the 5 minutes
// WebAuthn level 3 section 15.1 recommends as the default timeout.
const ceremonyLife = 5 * time.Minute

// maxCeremonies bounds the challenges that wait at once, because anybody can
// ask for one. The oldest gives way.
const maxCeremonies = 1000

// ceremonies holds the challenges that wait, in memory: a restart only means
// to try again.
type ceremonies struct {
	mu   sync.Mutex
	open map[string]ceremony // by challenge
}

type ceremony struct {
	data   webauthn.SessionData
	person care.PersonID // who registers; empty for an assertion
	until  time.Time
}

func (s *ceremonies) put(c ceremony, now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open == nil {
		s.open = map[string]ceremony{}
	}
	oldest := ""
	for k, have := range s.open {
		if now.After(have.until) {
			delete(s.open, k)
		} else if oldest == "" || have.until.Before(s.open[oldest].until) {
			oldest = k
		}
	}
	if len(s.open) >= maxCeremonies {
		delete(s.open, oldest)
	}
	c.until = now.Add(ceremonyLife)
	s.open[c.data.Challenge] = c
}

// drop forgets the challenges of somebody who left.
func (s *ceremonies) drop(p care.PersonID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	maps.DeleteFunc(s.open, func(_ string, c ceremony) bool { return c.person == p })
}

// take returns a challenge once.
func (s *ceremonies) take(challenge string, now time.Time) (ceremony, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c, ok := s.open[challenge]
	delete(s.open, challenge)
	return c, ok && !now.After(c.until)
}
