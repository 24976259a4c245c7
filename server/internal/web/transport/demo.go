package transport

import (
	"errors"
	"net/http"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Demo holds the devices of the people a demo visitor can sign in as, by who
// they are. It exists only while the demo runs.
type Demo map[string]DemoSeat

// DemoSeat is one device of the demo and its bearer token.
type DemoSeat struct {
	Token  string
	Device care.DeviceID
}

// demoSignIn signs the browser in as a person of the demo, as often as the
// link is opened.
func (c *Call) demoSignIn() error {
	who := c.Params("who")
	seat, ok := (*c.Srv.Demo)[who]
	if !ok {
		return care.Errorf(care.NotFound, "no-such-person", "the demo has a parent, a teen, a clinician, a desk and an administrator")
	}
	expires := c.Srv.Now().AddDate(1, 0, 0)
	if who == string(care.Parent) || who == string(care.Teen) {
		return c.demoPhone(seat)
	}
	if err := c.Update(seat.unlock); err != nil {
		return err
	}
	c.SetToken(StaffCookie, seat.Token, expires)
	return c.Redirect("/clinic", http.StatusSeeOther)
}

// demoPhone makes this browser a phone of its own of somebody of the family, as
// joining would; one that is theirs already stays what it is.
func (c *Call) demoPhone(seat DemoSeat) error {
	token := access.NewToken()
	err := c.Update(func(tx *store.Tx) error {
		own, err := tx.Register().Device(seat.Device)
		if err != nil {
			return err
		}
		if have, err := tx.Access().CallerOf(c.HeldToken(FamilyCookie), false); err == nil && have.Person.ID == own.Person {
			token = c.HeldToken(FamilyCookie)
			return nil
		}
		d := care.Device{ID: care.DeviceID(access.NewID()), Family: own.Family, Person: own.Person, Name: own.Name, Created: tx.Now, LastSeen: tx.Now}
		return errors.Join(tx.Register().AddDevice(d), tx.Access().AddCredential(token, register.Credential{Device: d.ID, Created: tx.Now}))
	})
	if err != nil {
		return err
	}
	c.SetToken(FamilyCookie, token, c.Srv.Now().AddDate(1, 0, 0))
	return c.Redirect("/", http.StatusSeeOther)
}

// unlock makes a member of staff's token good again after somebody signed out.
func (s DemoSeat) unlock(tx *store.Tx) error {
	d, err := tx.Register().Device(s.Device)
	if err != nil {
		return err
	}
	if err := tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Revoked = false }); err != nil {
		return err
	}
	if err := tx.Access().DeleteCredential(s.Token); err != nil {
		return err
	}
	return tx.Access().AddCredential(s.Token, register.Credential{Device: d.ID, Created: d.Created, Seen: tx.Now})
}
