package shared

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
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
	err := c.UpdateShared(func(tx *store.Tx) error { return c.storeReceipt(tx, r) })
	if err != nil {
		return err
	}
	return c.Done()
}

// storeReceipt writes a receipt into the alert the notification was about, and
// that the device still shows messages.
func (c *call) storeReceipt(tx *store.Tx, r receipt) error {
	if err := c.heard(tx); err != nil {
		return err
	}
	a, err := tx.Duty().Alert(care.AlertID(r.Tag))
	staff := c.Caller.Person.Role.Staff()
	if care.KindOf(err) == care.NotFound || !staff && a.Family != c.Caller.Person.Family {
		return nil // a reminder, a canary or a test: nothing waits for it
	}
	if err != nil {
		return err
	}
	if !staff {
		return seenByFamily(tx, a, c.Caller.Person.Named())
	}
	kind := escalate.Shown
	if r.Event == "opened" {
		kind = escalate.Opened
	}
	rules, err := dispatch.Rules(tx)
	if err != nil {
		return err
	}
	_, err = dispatch.Apply(tx, rules, a, escalate.Event{Kind: kind, By: c.Caller.Person.ID, Name: c.Caller.Person.Name, Role: c.Caller.Person.Role})
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

// heard notes that the caller's device has shown a message, the daily one or any
// other.
func (c *call) heard(tx *store.Tx) error {
	d, err := tx.Register().Device(c.Caller.Device.ID)
	if err != nil || d.Owes.IsZero() {
		return err
	}
	return tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Owes = time.Time{} })
}
