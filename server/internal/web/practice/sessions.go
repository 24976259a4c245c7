package practice

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

// Limits of a session of the staff, after OWASP ASVS 4.0 section 3.3 for level
// 2: 12 hours, or [transport.SessionIdle] in which nobody did anything.
const (
	sessionLife = 12 * time.Hour
	// linkedLife is how long after a one-time link a first passkey can be made.
	linkedLife = 15 * time.Minute
	cookieLife = 400 // days; the longest browsers keep. The session ends sooner, the device stays known
)

// startSession signs a member of staff in on this browser and sets the cookie.
// A session this browser had before ends.
func (c *call) startSession(tx *store.Tx, p care.Person, how string, s register.Credential) (token string, err error) {
	old := c.HeldToken(transport.StaffCookie)
	d, err := tx.Access().DeviceOfToken(old)
	if err != nil || d.Person != p.ID {
		d = care.Device{ID: care.DeviceID(access.NewID()), Person: p.ID, Name: browserName(c.Get("User-Agent")), Created: tx.Now, LastSeen: tx.Now}
		err = tx.Register().AddDevice(d)
	} else {
		err = tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.LastSeen = tx.Now })
	}
	if err != nil {
		return "", err
	}
	if err := tx.Access().DeleteCredential(old); err != nil {
		return "", err
	}
	if err := tx.Audit().Append(p.ID, how, string(d.ID)); err != nil {
		return "", err
	}
	token = access.NewToken()
	s.Device, s.Created, s.Seen, s.Expires = d.ID, tx.Now, tx.Now, tx.Now.Add(sessionLife)
	return token, tx.Access().AddCredential(token, s)
}

func (c *call) giveSession(token string) {
	c.SetToken(transport.StaffCookie, token, c.Srv.Now().AddDate(0, 0, cookieLife))
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
	return c.ReplyView(&out, func(tx *store.Tx) error {
		all, err := tx.Access().Sessions(c.Caller.Person.ID)
		for _, s := range all {
			out.Sessions = append(out.Sessions, sessionView{s.Device.ID, s.Device.Name, s.Credential.Created, s.Credential.Seen, s.Credential.Expires, s.Device.ID == c.Caller.Device.ID})
		}
		return err
	})
}

// endSession ends one of the caller's own sessions.
func (c *call) endSession() error {
	return c.endSessions(care.DeviceID(c.Params("id")), "ended session")
}

// signOutEverywhere ends every session of the caller, this one too.
func (c *call) signOutEverywhere() error { return c.endSessions("", "signed out everywhere") }

func (c *call) endSessions(one care.DeviceID, did string) error {
	me := c.Caller.Person.ID
	return c.DoneUpdate(func(tx *store.Tx) error {
		if err := tx.Access().EndSessions(me, one); err != nil {
			return err
		}
		return tx.Audit().Append(me, did, string(one))
	})
}

func (c *call) signOut() error {
	token := c.HeldToken(transport.StaffCookie)
	err := c.Update(func(tx *store.Tx) error { return tx.Access().DeleteCredential(token) })
	if err != nil {
		return err
	}
	c.SetToken(transport.StaffCookie, "", time.Unix(0, 0))
	return c.Done()
}
