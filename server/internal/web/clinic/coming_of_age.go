package clinic

import (
	"encoding/json"
	"slices"
	"strings"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

type authorityRequest struct {
	Basis string `json:"basis" enum:"parent,guardian,adult,consented"`
}

// stateAuthority puts on record, in the caller's name, why somebody of a family may
// decide for its wearers. A later statement takes the place of the one before; both
// are in the audit log.
func (c *call) stateAuthority() error {
	var req authorityRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if !slices.Contains(care.Bases, req.Basis) {
		return care.Refuse("bad-basis", "basis", "want one of %s", strings.Join(care.Bases, ", "))
	}
	return c.changeFamily(care.FamilyID(c.Params("id")), "stated authority as "+req.Basis, func(tx *store.Tx) (string, error) {
		p, err := c.pathPerson(tx)
		if err != nil {
			return "", err
		}
		said := care.Authority{Basis: req.Basis, By: c.Caller.Person.ID, At: tx.Now}
		return string(p.ID), tx.Register().ChangePerson(p.ID, func(p *care.Person) { p.Authority = said })
	})
}

type comeOfAge struct {
	Person care.PersonID   `json:"person"` // the teen
	Keep   []care.PersonID `json:"keep"`   // those who keep access because the wearer wants it
	// Devices are the wearer's own that go on: each is asked about, as a parent may
	// hold one. The others are shut out.
	Devices []care.DeviceID `json:"devices"`
}

// comeOfAge makes a teen the holder of their own record. Everybody else of the
// family loses access to it, unless the wearer wants them to keep it. A wearer
// who shared the record with others becomes a family of their own. Reminders go
// to the wearer from the next version of the plan. Asked again, it changes
// nothing and answers as before.
func (c *call) comeOfAge() error {
	var req comeOfAge
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	var d familyDetail
	return c.ReplyUpdate(&d, func(tx *store.Tx) error {
		p, err := tx.Register().Person(req.Person)
		if err == nil && p.Role == care.Parent && p.Wearer != "" && !p.Gone {
			d, err = describeFamily(tx, p.Family) // handed over before
			return err
		}
		if err != nil || p.Family != id || p.Role != care.Teen || p.Wearer == "" || p.Gone {
			return care.Refuse("bad-person", "person", "want a teen of this family who has an account of their own")
		}
		if p, err = c.handRecordOver(tx, p, req.Keep, req.Devices); err != nil {
			return err
		}
		d, err = describeFamily(tx, p.Family)
		return err
	})
}

// handRecordOver returns the holder as stored.
func (c *call) handRecordOver(tx *store.Tx, p care.Person, keep []care.PersonID, devices []care.DeviceID) (care.Person, error) {
	if err := shutOthers(tx, p, devices); err != nil {
		return p, err
	}
	others, err := tx.Register().People(p.Family)
	if err != nil {
		return p, err
	}
	others = slices.DeleteFunc(others, func(x care.Person) bool { return x.ID == p.ID || x.Gone })
	for _, id := range keep {
		if !slices.ContainsFunc(others, func(x care.Person) bool { return x.ID == id }) {
			return p, care.Refuse("bad-person", "keep", "want people of this family, other than the one who came of age")
		}
	}
	wearers, err := tx.Register().Wearers(p.Family)
	if err != nil {
		return p, err
	}
	if len(wearers) > 1 {
		p, err = partRecord(tx, p, others, keep)
	} else {
		err = revokeAccess(tx, p, others, keep)
	}
	if err != nil {
		return p, err
	}
	// Codes that others made for a teen, and the teen's own, are no longer theirs to give.
	if err := tx.Access().RevokeGrants(p.ID, "invitations", "calendars"); err != nil {
		return p, err
	}
	holder := func(p *care.Person) { p.Role = care.Parent } // of the record, and still its wearer
	if err := tx.Register().ChangePerson(p.ID, holder); err != nil {
		return p, err
	}
	if p, err = tx.Register().Person(p.ID); err != nil {
		return p, err
	}
	if err := remindHolder(tx, p.Wearer, c.Caller.Person.ID); err != nil {
		return p, err
	}
	return p, tx.Audit().Append(c.Caller.Person.ID, "handed record over", string(p.ID)+" "+string(p.Family))
}

// shutOthers shuts out those of a wearer's devices that do not go on.
func shutOthers(tx *store.Tx, p care.Person, goOn []care.DeviceID) error {
	all, err := tx.Register().Devices(p.Family)
	if err != nil {
		return err
	}
	mine := slices.DeleteFunc(all, func(d care.Device) bool { return d.Person != p.ID || d.Revoked })
	for _, id := range goOn {
		if !slices.ContainsFunc(mine, func(d care.Device) bool { return d.ID == id }) {
			return care.Refuse("bad-device", "devices", "want devices in use of the one who came of age")
		}
	}
	for _, d := range mine {
		if slices.Contains(goOn, d.ID) {
			continue
		}
		if err := record.Revoke(tx, d, ""); err != nil {
			return err
		}
	}
	return nil
}

// revokeAccess ends the access of everybody who is not to keep it, and of whoever
// knows the family's calendar address.
func revokeAccess(tx *store.Tx, p care.Person, others []care.Person, keep []care.PersonID) error {
	for _, x := range others {
		if slices.Contains(keep, x.ID) {
			continue
		}
		if err := tx.Access().Leave(x.ID); err != nil {
			return err
		}
	}
	return tx.Access().DropCalendar(p.Family)
}

// partRecord makes the one who came of age a family of their own. Somebody who
// keeps access gets an account there, to be invited to on a browser of its own:
// a browser holds one family's log.
func partRecord(tx *store.Tx, p care.Person, others []care.Person, keep []care.PersonID) (care.Person, error) {
	old, err := tx.Register().Family(p.Family)
	if err != nil {
		return p, err
	}
	own := care.Family{ID: care.FamilyID(access.NewID()), Name: p.Name, Zone: old.Zone, Created: tx.Now}
	if err := tx.Archive().SplitWearer(p.Wearer, own); err != nil {
		return p, err
	}
	for _, x := range others {
		if !slices.Contains(keep, x.ID) {
			continue
		}
		x.ID, x.Family, x.Role, x.Wearer, x.Authority = care.PersonID(access.NewID()), own.ID, care.Parent, "", care.Authority{}
		if err := tx.Register().AddPerson(x); err != nil {
			return p, err
		}
	}
	return tx.Register().Person(p.ID)
}

// remindHolder stores the next version of a plan that reminds the teen first,
// reminding the holder of the record instead, and drops what the family chose
// about whom to remind.
func remindHolder(tx *store.Tx, w care.WearerID, by care.PersonID) error {
	unnamed := func(w *care.Wearer) { w.Reminders.RemindFirst, w.Reminders.ParentAfterMinutes = "", nil }
	if err := tx.Register().ChangeWearer(w, unnamed); err != nil {
		return err
	}
	r, err := tx.Chart().Plan(w)
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
	_, err = tx.Chart().PutPlan(w, by, raw)
	return err
}
