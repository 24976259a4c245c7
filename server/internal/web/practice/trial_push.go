package practice

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// trialPush is what became of a test notification on its way to one device.
type trialPush struct {
	Device string `json:"device"` // its name
	Why    string `json:"why"`    // why no push service took it; empty: one did
}

type trialPushReply struct {
	Sent []trialPush `json:"sent"`
}

// ring is one of a person's devices with notifications on.
type ring struct {
	device care.Device
	sub    register.Subscription
}

// trialPush sends a test notification to each device of a member of staff. That a
// push service took it does not mean that anybody saw it: the device says so
// itself once it has shown it, and the list of staff tells.
func (c *call) trialPush() error {
	if err := c.TakeQuota(c.room.trials, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	var rings []ring
	err := c.View(func(tx *store.Tx) (err error) {
		p, err := tx.Register().Person(care.PersonID(c.Params("id")))
		if err != nil || !p.Role.Staff() || p.Gone {
			return care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
		}
		if rings, err = ringsOf(tx, p.ID); err == nil && len(rings) == 0 {
			return care.Errorf(care.Conflict, "no-device", "%s has no device with notifications on; it is turned on at that device", p.Name)
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := c.Update(func(tx *store.Tx) error { return noteTrials(tx, rings) }); err != nil {
		return err
	}
	out := trialPushReply{}
	for _, r := range rings {
		one, err := c.tryPush(r)
		if err != nil {
			return err
		}
		out.Sent = append(out.Sent, one)
	}
	return c.Reply(out)
}

// noteTrials keeps that each device was sent a test message, and since when it owes
// an answer.
func noteTrials(tx *store.Tx, rings []ring) error {
	for _, r := range rings {
		err := tx.Register().ChangeDevice(r.device.ID, func(d *care.Device) {
			if d.Tested = tx.Now; d.Owes.IsZero() {
				d.Owes = tx.Now
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// tryPush sends one test message, and says why where it was not taken.
func (c *call) tryPush(r ring) (trialPush, error) {
	one := trialPush{Device: r.device.Name}
	switch err := c.Srv.Push.Test(r.sub); {
	case care.KindOf(err) == care.Conflict && c.Srv.Rehearsal:
		one.Why = "this is a rehearsal: nothing is sent"
	case care.KindOf(err) == care.Conflict:
		one.Why = "this browser's permission for notifications has ended: turn them on there again"
		return one, c.Update(func(tx *store.Tx) error { return tx.Access().DropSubscription(r.device.ID) })
	case err != nil:
		one.Why = "its push service did not take it; try again later"
		c.Srv.Log.Warn("test notification not taken", "err", err)
	}
	return one, nil
}

// ringsOf returns the devices of a member of staff that have notifications on.
func ringsOf(tx *store.Tx, id care.PersonID) ([]ring, error) {
	devices, err := tx.Register().StaffDevices(id)
	var out []ring
	for _, d := range devices {
		sub, none := tx.Access().Subscription(d.ID)
		if none == nil {
			out = append(out, ring{d, sub})
		}
	}
	return out, err
}

// reach is one device or address by which a member of staff hears of alerts, and
// the last test of it.
type reach struct {
	Name    string    `json:"name"`             // of the device; the address itself for mail
	Sent    time.Time `json:"sent,omitzero"`    // when it was last tested; absent: never
	Arrived time.Time `json:"arrived,omitzero"` // when that test was shown, or its number entered; absent: not yet
}

// reaches returns the devices of a member of staff with their last test.
func reaches(tx *store.Tx, id care.PersonID) ([]reach, error) {
	rings, err := ringsOf(tx, id)
	out := []reach{}
	for _, r := range rings {
		one := reach{Name: r.device.Name, Sent: r.device.Tested}
		if !one.Sent.IsZero() && !r.device.Heard.Before(one.Sent) {
			one.Arrived = r.device.Heard
		}
		out = append(out, one)
	}
	return out, err
}
