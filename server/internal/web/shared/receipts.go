package shared

import (
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

// receipt is what a service worker reports of a notification.
type receipt struct {
	Tag   string `json:"tag"`
	Event string `json:"event"` // shown or opened
}

// receipt stores what a service worker reports of a notification.
func (c *call) receipt() error {
	var r receipt
	if err := c.Read(&r); err != nil {
		return err
	}
	if r.Event != "shown" && r.Event != "opened" || r.Tag == "" || len(r.Tag) > 100 {
		return care.Refuse("bad-receipt", "event", "want {tag, event} with event shown or opened")
	}
	err := c.UpdateShared(func(tx *store.Tx) error {
		if c.Caller.Person.Role.Staff() {
			return storeReceipt(tx, c.Caller, r)
		}
		// A practitioner who is a parent too: the browser has one service worker and
		// one subscription for both, so what it showed it showed to either, and a
		// message about an alert is the practice's.
		staff, err := tx.Access().CallerOf(c.HeldToken(transport.StaffCookie), true)
		if err != nil || !staff.Person.Role.Staff() {
			return storeReceipt(tx, c.Caller, r)
		}
		return errors.Join(heard(tx, c.Caller.Device.ID), storeReceipt(tx, staff, r))
	})
	if err != nil {
		return err
	}
	return c.Done()
}

// storeReceipt writes a receipt into the alert the notification was about, and
// that the device still shows messages.
func storeReceipt(tx *store.Tx, who register.Caller, r receipt) error {
	if err := heard(tx, who.Device.ID); err != nil {
		return err
	}
	a, err := tx.Duty().Alert(care.AlertID(r.Tag))
	staff := who.Person.Role.Staff()
	if care.KindOf(err) == care.NotFound || !staff && a.Family != who.Person.Family {
		return nil // a reminder, a canary or a test: nothing waits for it
	}
	if err != nil {
		return err
	}
	if !staff {
		return seenByFamily(tx, a, who.Person.Named())
	}
	kind := escalate.Shown
	if r.Event == "opened" {
		kind = escalate.Opened
	}
	rules, err := dispatch.Rules(tx)
	if err != nil {
		return err
	}
	_, err = dispatch.Apply(tx, rules, a, escalate.Event{Kind: kind, By: who.Person.ID, Name: who.Person.Name, Role: who.Person.Role})
	return err
}

// seenByFamily notes that a device of the family showed where an alert stands;
// once for each time they were told.
func seenByFamily(tx *store.Tx, a escalate.Alert, p care.Person) error {
	for _, e := range slices.Backward(a.History) {
		if e.Kind == escalate.FamilyShown {
			return nil
		}
		if e.Kind == escalate.FamilyTold {
			break
		}
	}
	_, err := dispatch.Apply(tx, escalate.Rules{}, a, escalate.Event{Kind: escalate.FamilyShown, By: p.ID, Name: p.Name, Role: p.Role})
	return err
}

// heard notes that a device has shown a message, the daily one or any other.
func heard(tx *store.Tx, id care.DeviceID) error {
	d, err := tx.Register().Device(id)
	if err != nil || d.Owes.IsZero() {
		return err
	}
	return tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Owes, d.Heard = time.Time{}, tx.Now })
}
