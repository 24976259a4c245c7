package family

import (
	"slices"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// maxPeople is how many people of a family write entries at most, as in the
// console.
const maxPeople = 12

// parentRequest is another parent, whom a parent invites.
type parentRequest struct {
	Name string `json:"name"`
}

// inviteParent adds another parent to the caller's family and makes a code for
// them, where the practice allows it. Somebody of that name who has no device yet
// gets a new code; nobody is there twice.
func (c *call) inviteParent() error {
	var req parentRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := record.Trimmed(&req.Name, "name"); err != nil {
		return err
	}
	me := c.Caller.Person
	if me.Role != care.Parent {
		return care.Errorf(care.Forbidden, "not-allowed", "a parent invites another parent")
	}
	if !c.room.invites.Allow(string(me.ID), c.Srv.Now()) {
		return care.Later("too-many-invitations", c.room.invites.Wait(string(me.ID), c.Srv.Now()), "at most %d codes an hour; wait, or ask the clinic for an invitation", invitesAnHour)
	}
	code := access.NewCode()
	var out record.Invitation
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		practice, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		if !practice.ParentsInvite {
			return care.Errorf(care.Forbidden, "clinic-invites", "your clinic invites parents itself; please ask it")
		}
		p, err := newParent(tx, me.Family, req.Name)
		if err != nil {
			return err
		}
		inv := register.Invitation{ID: access.NewID(), Person: p, By: me.ID, Created: tx.Now, Expires: tx.Now.Add(access.InvitationLife)}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		out = record.Invited(c.Srv.BaseURL, code, inv)
		return tx.Audit().Append(me.ID, "invited parent", string(p))
	})
}

// newParent returns a parent of that name who has no device, made if need be.
func newParent(tx *store.Tx, f care.FamilyID, name string) (care.PersonID, error) {
	people, err := tx.Register().People(f)
	if err != nil {
		return "", err
	}
	people = slices.DeleteFunc(people, func(p care.Person) bool { return p.Gone })
	devices, err := tx.Register().Devices(f)
	if err != nil {
		return "", err
	}
	for _, p := range people {
		if p.Name != name || p.Role != care.Parent {
			continue
		}
		if slices.ContainsFunc(devices, func(d care.Device) bool { return d.Person == p.ID }) {
			return "", care.Refuse("name-taken", "name", "%s writes entries already; for one more phone of theirs, use \"a phone more\" on it", name)
		}
		return p.ID, nil
	}
	if len(people) >= maxPeople {
		return "", care.Refuse("too-many-people", "name", "a family has at most %d people", maxPeople)
	}
	p := care.Person{ID: care.PersonID(access.NewID()), Family: f, Name: name, Role: care.Parent}
	return p.ID, tx.Register().AddPerson(p)
}
