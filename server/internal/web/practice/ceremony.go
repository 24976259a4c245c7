package practice

import (
	"maps"
	"sync"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/web/transport"
)

// ceremonyLife is how long a challenge waits for its answer: the 5 minutes
// WebAuthn level 3 section 15.1 recommends as the default timeout.
const ceremonyLife = 5 * time.Minute

// maxCeremonies bounds the challenges that wait at once, because anybody can
// ask for one, and maxOfNetwork those of one network. Then the oldest of that
// network gives way, or of the one that has most, never a stranger's.
const (
	maxCeremonies = 1000
	maxOfNetwork  = 50
)

// ceremonies holds the challenges that wait, in memory: a restart only means
// to try again.
type ceremonies struct {
	mu   sync.Mutex
	open map[string]ceremony // by challenge
}

type ceremony struct {
	data    webauthn.SessionData
	person  care.PersonID // who registers; empty for an assertion
	until   time.Time
	network string // that asked, as the limiter counts it
	browser string // that asked: the secret of its cookie; no other may answer
}

func (s *ceremonies) put(c ceremony, now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open == nil {
		s.open = map[string]ceremony{}
	}
	of, counts := "", map[string]int{} // the network with most
	for k, have := range s.open {
		if now.After(have.until) {
			delete(s.open, k)
			continue
		}
		if counts[have.network]++; of == "" || counts[have.network] > counts[of] {
			of = have.network
		}
	}
	switch {
	case counts[c.network] >= maxOfNetwork:
		s.dropOldest(c.network)
	case len(s.open) >= maxCeremonies:
		s.dropOldest(of)
	}
	c.until = now.Add(ceremonyLife)
	s.open[c.data.Challenge] = c
}

func (s *ceremonies) dropOldest(network string) {
	oldest := ""
	for k, have := range s.open {
		if have.network == network && (oldest == "" || have.until.Before(s.open[oldest].until)) {
			oldest = k
		}
	}
	delete(s.open, oldest)
}

// drop forgets the challenges of somebody who left.
func (s *ceremonies) drop(p care.PersonID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	maps.DeleteFunc(s.open, func(_ string, c ceremony) bool { return c.person == p })
}

// take returns a challenge once, to the browser that asked for it. Another's try
// does not use it up.
func (s *ceremonies) take(challenge, browser string, now time.Time) (ceremony, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	c, ok := s.open[challenge]
	if !ok || browser == "" || c.browser != browser {
		return ceremony{}, false
	}
	delete(s.open, challenge)
	return c, !now.After(c.until)
}

// begin lets a challenge wait for its answer from this browser.
func (c *call) begin(of ceremony) {
	if of.browser = c.HeldToken(transport.CeremonyCookie); of.browser == "" {
		of.browser = access.NewToken()
	}
	of.network = transport.Counted(c.ClientAddr())
	c.SetToken(transport.CeremonyCookie, of.browser, c.Srv.Now().Add(ceremonyLife))
	c.room.ceremonies.put(of, c.Srv.Now())
}

// answered returns the challenge that this browser asked for and now answers.
func (c *call) answered(challenge string) (ceremony, bool) {
	return c.room.ceremonies.take(challenge, c.HeldToken(transport.CeremonyCookie), c.Srv.Now())
}
