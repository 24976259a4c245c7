package family

import (
	"slices"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

// renewDevice makes a new device for a browser whose log was cleared under it,
// while the cookie of its device stayed. Going on as the old device, it could
// give numbers away a second time, above a gap that the server has not seen
// filled. The old device is not shut out at once: its cookie may have been copied
// to where the log still stands, as from a browser to the home screen. What that
// one had taken over from is shut out, and whatever was made of it in vain.
func (c *call) renewDevice() error {
	token := access.NewToken()
	var d care.Device
	err := c.Update(func(tx *store.Tx) error {
		old, err := tx.Register().Device(c.Caller.Device.ID)
		if err != nil {
			return err
		}
		d = care.Device{
			ID: care.DeviceID(access.NewID()), Family: old.Family, Person: old.Person, Name: old.Name, Before: old.ID,
			Created: tx.Now, LastSeen: tx.Now,
		}
		if err := dropForerunners(tx, old); err != nil {
			return err
		}
		if err := c.roomForDevice(tx, old.Family); err != nil {
			return err
		}
		if err := tx.Register().AddDevice(d); err != nil {
			return err
		}
		if err := tx.Audit().Append(d.Person, "came back without a log", string(d.ID)); err != nil {
			return err
		}
		if err := dispatch.TellOfDevice(tx, d); err != nil {
			return err
		}
		return tx.Access().AddCredential(token, register.Credential{Device: d.ID, Created: tx.Now})
	})
	if err != nil {
		return err
	}
	c.SetToken(transport.FamilyCookie, token, c.Srv.Now().AddDate(0, 0, 400))
	return c.Reply(joinReply{d.ID, d.Person, d.Family})
}

// dropForerunners shuts out the device that one had taken over from, and those
// that were to take over from it and were never heard of.
func dropForerunners(tx *store.Tx, of care.Device) error {
	all, err := tx.Register().Devices(of.Family)
	if err != nil {
		return err
	}
	for _, d := range slices.Clone(all) {
		if !d.Revoked && (d.ID == of.Before || d.Before == of.ID && !heard(tx, d.Family, d.ID, d.Schema)) {
			if err := tx.Access().DropSubscription(d.ID); err != nil {
				return err
			}
			if err := tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Revoked = true }); err != nil {
				return err
			}
		}
	}
	return nil
}

// heard reports whether a device has ever synced, so that numbers of its log
// may have been given away.
func heard(tx *store.Tx, f care.FamilyID, d care.DeviceID, schema int) bool {
	return schema > 0 || tx.Log().Watermark(f, d) > 0
}
