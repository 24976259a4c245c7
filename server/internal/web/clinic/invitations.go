package clinic

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

type inviteRequest struct {
	Person care.PersonID `json:"person"`
}

func (c *call) invite() error {
	var req inviteRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	code := access.NewCode()
	var out record.Invitation
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		p, err := tx.Register().Person(req.Person)
		if err != nil || string(p.Family) != c.Params("id") || p.Family == "" || p.Gone {
			return care.Refuse("bad-person", "person", "want a person of this family")
		}
		if err := ready.MayInvite(c.Srv, tx, p.Family); err != nil {
			return err
		}
		inv := register.Invitation{ID: access.NewID(), Person: p.ID, By: c.Caller.Person.ID, Created: tx.Now, Expires: tx.Now.Add(access.InvitationLife)}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		out = record.Invited(c.Srv.BaseURL, code, inv)
		return tx.Audit().Append(c.Caller.Person.ID, "invited", string(p.ID))
	})
}

func (c *call) revokeDevice() error {
	return c.DoneUpdate(func(tx *store.Tx) error {
		d, err := tx.Register().Device(care.DeviceID(c.Params("id")))
		if err != nil {
			return err
		}
		if d.Family == "" && d.Person != c.Caller.Person.ID {
			return care.Errorf(care.Forbidden, "not-allowed", "a colleague's browser is signed out by the colleague, or ends when an administrator lets them go")
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "revoked device", string(d.ID)); err != nil {
			return err
		}
		return record.Revoke(tx, d, "")
	})
}

type invitationList struct {
	Invitations []invitationView `json:"invitations"`
}

type invitationView struct {
	ID      string        `json:"id"`
	Person  care.PersonID `json:"person"`
	Name    string        `json:"name"`
	Created time.Time     `json:"created"`
	Expires time.Time     `json:"expires"`
}

func (c *call) invitations() error {
	out := invitationList{[]invitationView{}}
	return c.ReplyView(&out, func(tx *store.Tx) error {
		mine, err := tx.Access().InvitationsBy(c.Caller.Person.ID)
		for _, inv := range mine {
			out.Invitations = append(out.Invitations, invitationView{inv.ID, inv.Person, record.Name(tx, inv.Person), inv.Created, inv.Expires})
		}
		return err
	})
}

func (c *call) dropInvitation() error {
	me := c.Caller.Person.ID
	return c.DoneUpdate(func(tx *store.Tx) error {
		inv, err := tx.Access().RevokeInvitation(me, c.Params("id"))
		if err != nil {
			return err
		}
		return tx.Audit().Append(me, "withdrew invitation", string(inv.Person))
	})
}
