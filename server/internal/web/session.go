package web

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Limits of a session of the staff, after OWASP ASVS 4.0 section 3.3 for level
// 2: 12 hours, or 30 minutes in which nobody did anything.
const (
	sessionLife = 12 * time.Hour
	sessionIdle = 30 * time.Minute
	// recheckLife is how long a proof with the passkey is good for what cannot be
	// undone or leaves the building (our choice: long enough for one form).
	recheckLife = 5 * time.Minute
	// linkedLife is how long after a one-time link a first passkey can be made.
	linkedLife = 15 * time.Minute
	seenEvery  = time.Minute // how often activity is written down
	cookieLife = 400         // days; the longest browsers keep. The session ends sooner, the device stays known
)

// receiptsPath is where service workers say that a message was shown; they do
// so at night, long after the session ended.
const receiptsPath = "/api/receipts"

// unattended are the routes a page calls by itself. They do not keep a session
// awake. Those marked true answer even when it sleeps, and name nobody.
var unattended = map[string]bool{
	"/api/clinic/alerts":   false,
	"/api/clinic/waiting":  true,
	"/api/clinic/sign-out": true,
	receiptsPath:           true,
}

// awake refuses a session that nobody has used for sessionIdle, and notes that
// this one is used. A credential without an end is not a session.
func (c *call) awake(path string) error {
	s := c.caller.Session
	if s.Expires.IsZero() {
		return nil
	}
	asleep, byItself := unattended[path]
	idle := c.srv.Now().Sub(s.Seen)
	if idle > sessionIdle && !asleep {
		return care.Errorf(care.Unauthenticated, "session-idle", "nobody has used this window for 30 minutes; sign in again with your passkey")
	}
	if byItself || idle < seenEvery {
		return nil
	}
	return c.write(func(tx *store.Tx) error {
		return tx.ChangeCredential(c.token, func(s *store.Credential) { s.Seen = tx.Now })
	})
}

// rechecked refuses what needs a fresh proof with the passkey. In the demo
// nobody has one, and nobody is real.
func (c *call) rechecked() error {
	if c.srv.Demo != nil {
		return nil
	}
	if since := c.srv.Now().Sub(c.caller.Session.Rechecked); since < 0 || since > recheckLife {
		return care.Errorf(care.Conflict, "recheck-needed", "confirm with your passkey first; it counts for 5 minutes")
	}
	return nil
}

// startSession signs a member of staff in on this browser and sets the cookie.
// A session this browser had before ends.
func (c *call) startSession(tx *store.Tx, p care.Person, how string, s store.Credential) (token string, err error) {
	old := c.cookie(staffCookie)
	d, err := tx.DeviceOfToken(old)
	if err != nil || d.Person != p.ID {
		d = care.Device{ID: care.DeviceID(access.NewID()), Person: p.ID, Name: browserName(c.Get("User-Agent")), Created: tx.Now, LastSeen: tx.Now}
		err = tx.AddDevice(d)
	} else {
		err = tx.ChangeDevice(d.ID, func(d *care.Device) { d.LastSeen = tx.Now })
	}
	if err != nil {
		return "", err
	}
	if err := tx.DeleteCredential(old); err != nil {
		return "", err
	}
	if err := tx.Note(p.ID, how, string(d.ID)); err != nil {
		return "", err
	}
	token = access.NewToken()
	s.Device, s.Created, s.Seen, s.Expires = d.ID, tx.Now, tx.Now, tx.Now.Add(sessionLife)
	return token, tx.AddCredential(token, s)
}

func (c *call) giveSession(token string) {
	c.setCookie(staffCookie, token, c.srv.Now().AddDate(0, 0, cookieLife))
}

type sessionList struct {
	Sessions []sessionView `json:"sessions"`
}

type sessionView struct {
	ID      care.DeviceID `json:"id"`
	Name    string        `json:"name"`
	Created time.Time     `json:"created"`
	Seen    time.Time     `json:"seen"`
	Expires time.Time     `json:"expires"`
	This    bool          `json:"this"`
}

func (c *call) sessions() error {
	out := sessionList{[]sessionView{}}
	err := c.srv.DB.View(func(tx *store.Tx) error {
		all, err := tx.Sessions(c.caller.Person.ID)
		for _, s := range all {
			out.Sessions = append(out.Sessions, sessionView{s.Device.ID, s.Device.Name, s.Credential.Created, s.Credential.Seen, s.Credential.Expires, s.Device.ID == c.caller.Device.ID})
		}
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(out)
}

// endSession ends one of the caller's own sessions.
func (c *call) endSession() error {
	return c.endSessions(care.DeviceID(c.Params("id")), "ended session")
}

// signOutEverywhere ends every session of the caller, this one too.
func (c *call) signOutEverywhere() error { return c.endSessions("", "signed out everywhere") }

func (c *call) endSessions(one care.DeviceID, did string) error {
	me := c.caller.Person.ID
	err := c.update(func(tx *store.Tx) error {
		if err := tx.EndSessions(me, one); err != nil {
			return err
		}
		return tx.Note(me, did, string(one))
	})
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

// waiting is what a locked window may know: that somebody waits, not who.
type waiting struct {
	Open        int `json:"open"`        // alerts nobody has taken
	Emergencies int `json:"emergencies"` // of those, the most pressing
}

func (c *call) waiting() error {
	var w waiting
	err := c.srv.DB.View(func(tx *store.Tx) error {
		live, err := tx.LiveAlerts()
		for _, a := range live {
			if a.State != "open" {
				continue
			}
			w.Open++
			if a.Level.Rank() == 0 {
				w.Emergencies++
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(w)
}
