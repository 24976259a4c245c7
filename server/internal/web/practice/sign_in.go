package practice

import (
	"strings"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

type signInRequest struct {
	Code string `json:"code"`
}

// signIn uses a one-time link of the command line up.
func (c *call) signIn() error {
	var req signInRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.LimitTries(); err != nil {
		return err
	}
	var token string
	err := c.Update(func(tx *store.Tx) error {
		inv, err := tx.Access().Redeem(access.ReadCode(req.Code))
		if err != nil {
			return err
		}
		p, err := tx.Register().Person(inv.Person)
		if err != nil || !p.Role.Staff() || p.Gone {
			return register.BadInvitation() // for a family, or of somebody who left
		}
		token, err = c.startSession(tx, p, "signed in by link", register.Credential{Linked: true})
		return err
	})
	if err != nil {
		return err
	}
	c.giveSession(token)
	return c.Done()
}

// browserName is how a browser is called in the list of sessions.
func browserName(agent string) string {
	for _, known := range []struct{ mark, name string }{
		{"iPhone", "iPhone"}, {"iPad", "iPad"}, {"Android", "Android"}, {"Windows", "Windows"}, {"Mac OS X", "Mac"}, {"Linux", "Linux"},
	} {
		if strings.Contains(agent, known.mark) {
			return known.name
		}
	}
	return "Browser"
}
