package family

import (
	"slices"

	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
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
	return c.ReplyView(&out, func(tx *store.Tx) error {
		all, err := tx.Register().Devices(c.Caller.Person.Family)
		// The oldest first: by their ids they would stand anyhow.
		slices.SortStableFunc(all, func(a, b care.Device) int { return a.Created.Compare(b.Created) })
		for _, d := range all {
			if !d.Revoked {
				out.Devices = append(out.Devices, ownDevice{d.ID, d.Name, d.Person, d.Created, d.LastSeen, d.ID == c.Caller.Device.ID, c.mayDrop(d)})
			}
		}
		return err
	})
}

// mayDrop reports whether the caller may revoke a device of the family.
func (c *call) mayDrop(d care.Device) bool {
	return d.Family == c.Caller.Person.Family && (c.Caller.Person.Role == care.Parent || d.Person == c.Caller.Person.ID)
}

// deviceName is what a phone is called.
type deviceName struct {
	Name string `json:"name"`
}

// tidy trims the name and wants one of 1 to 60 characters that can be seen.
func (d *deviceName) tidy(field string) error {
	d.Name = strings.TrimSpace(d.Name)
	if d.Name == "" || utf8.RuneCountInString(d.Name) > 60 || !care.OneLine(d.Name) {
		return care.Refuse("bad-device-name", field, "want a name for this device of 1 to 60 characters that can be seen")
	}
	return nil
}

// renameDevice gives a device another name: whoever may drop it may name it.
func (c *call) renameDevice() error {
	var req deviceName
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.tidy("name"); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		d, err := tx.Register().Device(care.DeviceID(c.Params("id")))
		if err != nil || d.Family != c.Caller.Person.Family || d.Revoked {
			return care.Errorf(care.NotFound, "no-such-device", "your family has no such device")
		}
		if !c.mayDrop(d) {
			return care.Errorf(care.Forbidden, "not-allowed", "you may name your own devices; a parent may name any")
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "renamed device", string(d.ID)); err != nil {
			return err
		}
		return tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Name = req.Name })
	})
}

func (c *call) dropDevice() error {
	return c.DoneUpdate(func(tx *store.Tx) error {
		d, err := tx.Register().Device(care.DeviceID(c.Params("id")))
		if err != nil || d.Family != c.Caller.Person.Family {
			return care.Errorf(care.NotFound, "no-such-device", "your family has no such device")
		}
		if !c.mayDrop(d) {
			return care.Errorf(care.Forbidden, "not-allowed", "you may revoke your own devices; a parent may revoke any")
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "revoked device", string(d.ID)); err != nil {
			return err
		}
		return record.Revoke(tx, d, c.Caller.Device.ID)
	})
}

// inviteDevice makes a code for one more device of the caller.
func (c *call) inviteDevice() error {
	me := c.Caller.Person.ID
	if !c.room.invites.Allow(string(me), c.Srv.Now()) {
		return care.Later("too-many-invitations", c.room.invites.Wait(string(me), c.Srv.Now()), "at most %d codes an hour; wait, or ask the clinic for an invitation", invitesAnHour)
	}
	code := access.NewCode()
	var out record.Invitation
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		inv := register.Invitation{ID: access.NewID(), Person: me, By: me, Created: tx.Now, Expires: tx.Now.Add(secondDeviceLife)}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		out = record.Invited(c.Srv.BaseURL, code, inv)
		return tx.Audit().Append(me, "invited own device", string(me))
	})
}
