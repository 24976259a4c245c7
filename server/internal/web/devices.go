package web

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A second device is invited while both are in the same hands.
const (
	secondDeviceLife = 15 * time.Minute
	invitesAnHour    = 5 // of one person
)

type deviceList struct {
	Devices []ownDevice `json:"devices"`
}

type ownDevice struct {
	ID       care.DeviceID `json:"id"`
	Name     string        `json:"name"`
	Person   care.PersonID `json:"person"`
	Created  time.Time     `json:"created"`
	LastSeen time.Time     `json:"last_seen"`
	This     bool          `json:"this"`
	MayDrop  bool          `json:"may_drop"`
}

func (c *call) devices() error {
	out := deviceList{[]ownDevice{}}
	err := c.srv.DB.View(func(tx *store.Tx) error {
		all, err := tx.Devices(c.caller.Person.Family)
		for _, d := range all {
			if !d.Revoked {
				out.Devices = append(out.Devices, ownDevice{d.ID, d.Name, d.Person, d.Created, d.LastSeen, d.ID == c.caller.Device.ID, c.mayDrop(d)})
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(out)
}

// mayDrop reports whether the caller may revoke a device of the family.
func (c *call) mayDrop(d care.Device) bool {
	return d.Family == c.caller.Person.Family && (c.caller.Person.Role == care.Parent || d.Person == c.caller.Person.ID)
}

func (c *call) dropDevice() error {
	err := c.update(func(tx *store.Tx) error {
		d, err := tx.Device(care.DeviceID(c.Params("id")))
		if err != nil || d.Family != c.caller.Person.Family {
			return care.Errorf(care.NotFound, "no-such-device", "your family has no such device")
		}
		if !c.mayDrop(d) {
			return care.Errorf(care.Forbidden, "not-allowed", "you may revoke your own devices; a parent may revoke any")
		}
		if err := tx.Note(c.caller.Person.ID, "revoked device", string(d.ID)); err != nil {
			return err
		}
		return revoke(tx, d)
	})
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

// revoke shuts a device out and stops its messages. Codes its person has made
// for a further device end too: whoever has the lost phone may hold one.
func revoke(tx *store.Tx, d care.Device) error {
	if err := tx.DropSubscription(d.ID); err != nil {
		return err
	}
	if d.Family != "" {
		if err := tx.WithdrawOwn(d.Person); err != nil {
			return err
		}
	}
	return tx.ChangeDevice(d.ID, func(d *care.Device) { d.Revoked = true })
}

// inviteDevice makes a code for one more device of the caller.
func (c *call) inviteDevice() error {
	me := c.caller.Person.ID
	if !c.srv.gates.invites.allow(string(me), c.srv.Now()) {
		return care.Errorf(care.TooMany, "too-many-invitations", "at most %d codes an hour; wait, or ask the clinic for an invitation", invitesAnHour)
	}
	code := access.NewCode()
	inv := store.Invitation{ID: access.NewID(), Person: me, By: me}
	err := c.update(func(tx *store.Tx) error {
		inv.Created, inv.Expires = tx.Now, tx.Now.Add(secondDeviceLife)
		if err := tx.Invite(code, inv); err != nil {
			return err
		}
		return tx.Note(me, "invited own device", string(me))
	})
	if err != nil {
		return err
	}
	return c.reply(invitation{access.ShowCode(code), c.srv.BaseURL + "/join#" + code, inv.Expires})
}

// --- invitations of the staff ---

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
	err := c.srv.DB.View(func(tx *store.Tx) error {
		mine, err := tx.InvitationsBy(c.caller.Person.ID)
		for _, inv := range mine {
			out.Invitations = append(out.Invitations, invitationView{inv.ID, inv.Person, name(tx, inv.Person), inv.Created, inv.Expires})
		}
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(out)
}

func (c *call) dropInvitation() error {
	me := c.caller.Person.ID
	err := c.update(func(tx *store.Tx) error {
		inv, err := tx.RevokeInvitation(me, c.Params("id"))
		if err != nil {
			return err
		}
		return tx.Note(me, "withdrew invitation", string(inv.Person))
	})
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

// --- coming of age ---

type comeOfAge struct {
	Person care.PersonID   `json:"person"` // the teen
	Keep   []care.PersonID `json:"keep"`   // those who keep access because the wearer wants it
}

// comeOfAge makes a teen the holder of their own record. Everybody else of the
// family loses access to it, unless the wearer wants them to keep it. A wearer
// who shared the record with others becomes a family of their own. Reminders go
// to the wearer from the next version of the plan. Asked again, it changes
// nothing and answers as before.
func (c *call) comeOfAge() error {
	var req comeOfAge
	if err := c.read(&req); err != nil {
		return err
	}
	if err := c.rechecked(); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	var d familyDetail
	err := c.update(func(tx *store.Tx) error {
		p, err := tx.Person(req.Person)
		if err == nil && p.Role == care.Parent && p.Wearer != "" && !p.Gone {
			d, err = describeFamily(tx, p.Family) // handed over before
			return err
		}
		if err != nil || p.Family != id || p.Role != care.Teen || p.Wearer == "" || p.Gone {
			return care.Refuse("bad-person", "person", "want a teen of this family who has an account of their own")
		}
		if p, err = c.handRecordOver(tx, p, req.Keep); err != nil {
			return err
		}
		d, err = describeFamily(tx, p.Family)
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(d)
}

// handRecordOver returns the holder as stored.
func (c *call) handRecordOver(tx *store.Tx, p care.Person, keep []care.PersonID) (care.Person, error) {
	others, err := tx.People(p.Family)
	if err != nil {
		return p, err
	}
	others = slices.DeleteFunc(others, func(x care.Person) bool { return x.ID == p.ID || x.Gone })
	for _, id := range keep {
		if !slices.ContainsFunc(others, func(x care.Person) bool { return x.ID == id }) {
			return p, care.Refuse("bad-person", "keep", "want people of this family, other than the one who came of age")
		}
	}
	wearers, err := tx.Wearers(p.Family)
	if err != nil {
		return p, err
	}
	if len(wearers) > 1 {
		p, err = partRecord(tx, p, others, keep)
	} else {
		err = shutOut(tx, p, others, keep)
	}
	if err != nil {
		return p, err
	}
	// Codes that others made for a teen, and the teen's own, are no longer theirs to give.
	if err := tx.EndOpened(p.ID, "invitations", "calendars"); err != nil {
		return p, err
	}
	holder := func(p *care.Person) { p.Role = care.Parent } // of the record, and still its wearer
	if err := tx.ChangePerson(p.ID, holder); err != nil {
		return p, err
	}
	if p, err = tx.Person(p.ID); err != nil {
		return p, err
	}
	if err := remindHolder(tx, p.Wearer, c.caller.Person.ID); err != nil {
		return p, err
	}
	return p, tx.Note(c.caller.Person.ID, "handed record over", string(p.ID)+" "+string(p.Family))
}

// shutOut ends the access of everybody who is not to keep it, and of whoever
// knows the family's calendar address.
func shutOut(tx *store.Tx, p care.Person, others []care.Person, keep []care.PersonID) error {
	for _, x := range others {
		if slices.Contains(keep, x.ID) {
			continue
		}
		if err := tx.Leave(x.ID); err != nil {
			return err
		}
	}
	return tx.DropCalendar(p.Family)
}

// partRecord makes the one who came of age a family of their own. Somebody who
// keeps access gets an account there, to be invited to on a browser of its own:
// a browser holds one family's log.
func partRecord(tx *store.Tx, p care.Person, others []care.Person, keep []care.PersonID) (care.Person, error) {
	old, err := tx.Family(p.Family)
	if err != nil {
		return p, err
	}
	own := care.Family{ID: care.FamilyID(access.NewID()), Name: p.Name, Zone: old.Zone, Created: tx.Now}
	if err := tx.SplitWearer(p.Wearer, own); err != nil {
		return p, err
	}
	for _, x := range others {
		if !slices.Contains(keep, x.ID) {
			continue
		}
		x.ID, x.Family, x.Role, x.Wearer = care.PersonID(access.NewID()), own.ID, care.Parent, ""
		if err := tx.AddPerson(x); err != nil {
			return p, err
		}
	}
	return tx.Person(p.ID)
}

// remindHolder stores the next version of a plan that reminds the teen first,
// reminding the holder of the record instead, and drops what the family chose
// about whom to remind.
func remindHolder(tx *store.Tx, w care.WearerID, by care.PersonID) error {
	unnamed := func(w *care.Wearer) { w.Reminders.RemindFirst, w.Reminders.ParentAfterMinutes = "", nil }
	if err := tx.ChangeWearer(w, unnamed); err != nil {
		return err
	}
	r, err := tx.Plan(w)
	if care.KindOf(err) == care.NotFound {
		return nil
	}
	if err != nil {
		return err
	}
	plan, err := jsonInto[map[string]json.RawMessage](r.Plan)
	if err != nil || string(plan["remind_first"]) != `"teen"` {
		return err
	}
	plan["remind_first"] = json.RawMessage(`"parent"`)
	raw, err := json.Marshal(plan)
	if err != nil {
		return err
	}
	_, err = tx.PutPlan(w, by, raw)
	return err
}
