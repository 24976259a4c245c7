package transport

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

const (
	// SessionIdle is how long a session of the staff lasts in which nobody does
	// anything, after OWASP ASVS 4.0 section 3.3 for level 2.
	SessionIdle = 30 * time.Minute
	// recheckLife is how long a proof with the passkey is good for what cannot be
	// undone or leaves the building (our choice: long enough for one form).
	recheckLife = 5 * time.Minute
	seenEvery   = time.Minute // how often activity is written down
)

// unattended are the routes a page calls by itself. They do not keep a session
// awake. Those marked true answer even when it sleeps, and name nobody.
var unattended = map[string]bool{
	"/api/clinic/alerts":   false,
	"/api/clinic/waiting":  true,
	"/api/clinic/sign-out": true,
	ReceiptsPath:           true,
}

// byItselfHeader is what a page sends with a request that nobody at it asked for,
// on a route that otherwise counts as use.
const byItselfHeader = "Nightkeep-By-Itself"

// awake refuses a session that nobody has used for SessionIdle, and notes that
// this one is used. A credential without an end is not a session.
func (c *Call) awake(path string) error {
	s := c.Caller.Session
	if s.Expires.IsZero() {
		return nil
	}
	asleep, byItself := unattended[path]
	idle := c.Srv.Now().Sub(s.Seen)
	if idle > SessionIdle && !asleep {
		return care.Errorf(care.Unauthenticated, "session-idle", "nobody has used this window for 30 minutes; sign in again with your passkey")
	}
	if byItself || c.Ctx.Get(byItselfHeader) != "" || idle < seenEvery {
		return nil
	}
	return c.UpdateShared(func(tx *store.Tx) error {
		return tx.Access().ChangeCredential(c.Token, func(s *register.Credential) { s.Seen = tx.Now })
	})
}

// Rechecked refuses what needs a fresh proof with the passkey. In the demo
// nobody has one, and nobody is real.
func (c *Call) Rechecked() error {
	if c.Srv.Demo != nil {
		return nil
	}
	if since := c.Srv.Now().Sub(c.Caller.Session.Rechecked); since < 0 || since > recheckLife {
		return care.Errorf(care.Conflict, "recheck-needed", "confirm with your passkey first; it counts for 5 minutes")
	}
	return nil
}
