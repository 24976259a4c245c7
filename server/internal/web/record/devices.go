package record

import (
	"slices"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Revoke shuts a device out and stops its messages. Codes its person has made
// for a further device end too: whoever has the lost phone may hold one. So do the
// devices that the same browser was before and after, when its log was cleared, but
// for the one that asks for it: whoever has the phone may go by any of them.
func Revoke(tx *store.Tx, d care.Device, asks care.DeviceID) error {
	browser := []care.Device{d}
	if d.Family != "" {
		if err := tx.Access().WithdrawOwn(d.Person); err != nil {
			return err
		}
		all, err := tx.Register().Devices(d.Family)
		if err != nil {
			return err
		}
		browser = sameBrowser(d, slices.Clone(all))
	}
	for _, x := range browser {
		if x.ID == asks && d.ID != asks || x.Revoked {
			continue
		}
		if err := tx.Access().DropSubscription(x.ID); err != nil {
			return err
		}
		if err := tx.Register().ChangeDevice(x.ID, func(d *care.Device) { d.Revoked = true }); err != nil {
			return err
		}
	}
	return nil
}

// sameBrowser returns a device with all that it took over from or that took over
// from it.
func sameBrowser(d care.Device, all []care.Device) []care.Device {
	found := []care.Device{d}
	for i := 0; i < len(found); i++ {
		for _, x := range all {
			next := x.Before != "" && x.Before == found[i].ID || found[i].Before != "" && found[i].Before == x.ID
			if next && !slices.ContainsFunc(found, func(f care.Device) bool { return f.ID == x.ID }) {
				found = append(found, x)
			}
		}
	}
	return found
}

// Invitation is a code as it is shown, once.
type Invitation struct {
	Code    string    `json:"code"`
	URL     string    `json:"url"` // the code stands after '#', which no server sees
	Expires time.Time `json:"expires"`
}

// Invited returns how a code is shown by the site at base.
func Invited(base, code string, inv register.Invitation) Invitation {
	return Invitation{access.ShowCode(code), base + "/join#" + code, inv.Expires}
}
