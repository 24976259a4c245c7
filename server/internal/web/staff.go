package web

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// sessionLife is how long a browser of the practice stays signed in: one
// working day. After it a new link or a passkey is needed.
const sessionLife = 12 * time.Hour

type signInRequest struct {
	Code string `json:"code"`
}

// signIn uses a one-time link of the command line up.
func (c *call) signIn() error {
	var req signInRequest
	if err := c.read(&req); err != nil {
		return err
	}
	if !c.srv.guesses.allow(c.IP(), c.srv.Now()) {
		return care.Errorf(care.TooMany, "too-many-tries", "too many tries from here; wait a minute and try again")
	}
	token := access.NewToken()
	expires := c.srv.Now().Add(sessionLife)
	err := c.srv.DB.Update(func(tx *store.Tx) error {
		inv, err := tx.Redeem(access.ReadCode(req.Code))
		if err != nil {
			return err
		}
		p, err := tx.Person(inv.Person)
		if err != nil || !p.Role.Staff() {
			return care.Refuse("bad-invitation", "code", "this link is not for the console")
		}
		d := care.Device{ID: care.DeviceID(access.NewID()), Person: p.ID, Name: "Console", Created: tx.Now, LastSeen: tx.Now}
		if err := tx.PutDevice(d); err != nil {
			return err
		}
		if err := tx.Note(p.ID, "signed in", string(d.ID)); err != nil {
			return err
		}
		return tx.PutCredential(token, store.Credential{Device: d.ID, Created: tx.Now, Expires: expires})
	})
	if err != nil {
		return err
	}
	c.setCookie(staffCookie, token, expires)
	return c.reply(done{true})
}
