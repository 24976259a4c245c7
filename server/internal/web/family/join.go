package family

import (
	"errors"
	"slices"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

type joinRequest struct {
	Code       string `json:"code"`
	DeviceName string `json:"device_name"`
	Consent    string `json:"consent"` // version of the consent text the person agreed to
	// Language is the tag of the one the app has on the phone; empty for English, which it falls back on.
	Language string `json:"language,omitempty"`
}

type joinReply struct {
	Device care.DeviceID `json:"device"`
	Person care.PersonID `json:"person"`
	Family care.FamilyID `json:"family"`
}

// join uses an invitation up. Tries are limited per address.
func (c *call) join() error {
	var req joinRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.LimitTries(); err != nil {
		return err
	}
	phone := deviceName{req.DeviceName}
	if err := phone.tidy("device_name"); err != nil {
		return err
	}
	token := access.NewToken()
	var reply joinReply
	err := c.Update(func(tx *store.Tx) error {
		if err := inForce(tx, req.Consent); err != nil {
			return err
		}
		p, err := invited(tx, req.Code)
		if err != nil {
			return err
		}
		if err := c.roomForDevice(tx, p.Family); err != nil {
			return err
		}
		d := care.Device{ID: care.DeviceID(access.NewID()), Family: p.Family, Person: p.ID, Name: phone.Name, Created: tx.Now, LastSeen: tx.Now}
		reply = joinReply{d.ID, p.ID, p.Family}
		if err := errors.Join(tx.Register().AddDevice(d), tx.Audit().Append(p.ID, "joined", string(d.ID))); err != nil {
			return err
		}
		if err := agree(tx, p, d.ID, req.Consent); err != nil {
			return err
		}
		if err := errors.Join(speaks(tx, p.Family, req.Language), dispatch.TellOfDevice(tx, d)); err != nil {
			return err
		}
		return tx.Access().AddCredential(token, register.Credential{Device: d.ID, Created: tx.Now})
	})
	if err != nil {
		return err
	}
	c.SetToken(transport.FamilyCookie, token, c.Srv.Now().AddDate(0, 0, 400))
	return c.Reply(reply)
}

// speaks notes the language chosen on a family's phone while nobody has asked the
// family, so that whoever telephones knows. A word that is no language of the app
// is passed over: nobody is kept from joining by it.
func speaks(tx *store.Tx, id care.FamilyID, lang string) error {
	f, err := tx.Register().Family(id)
	if err != nil || f.Language != "" || !care.IsLanguage(lang) {
		return err
	}
	return tx.Register().ChangeFamily(id, func(f *care.Family) { f.Language = lang })
}

// invited takes a code, which is used up by it, and returns whose it was.
func invited(tx *store.Tx, code string) (care.Person, error) {
	inv, err := tx.Access().Redeem(access.ReadCode(code))
	if err != nil {
		return care.Person{}, err
	}
	p, err := tx.Register().Person(inv.Person)
	if err != nil || p.Gone || p.Role.Staff() {
		return p, register.BadInvitation() // a link of the staff opens sessions, which end; a device's credential does not
	}
	return p, nil
}

// maxDevices is how many devices of a family are in use at most.
const maxDevices = 30

// roomForDevice refuses a device beyond those a family may have, and a crowd of
// new ones in a day. The code stays good.
func (c *call) roomForDevice(tx *store.Tx, f care.FamilyID) error {
	devices, err := tx.Register().Devices(f)
	if err != nil {
		return err
	}
	if n := len(slices.DeleteFunc(devices, func(d care.Device) bool { return d.Revoked })); n >= maxDevices {
		return care.Errorf(care.Conflict, "too-many-devices", "your family has %d devices in use; take one out of use first", n)
	}
	return c.TakeQuota(c.room.joins, string(f))
}
