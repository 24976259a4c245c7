package record

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Revoke shuts a device out and stops its messages. Codes its person has made
// for a further device end too: whoever has the lost phone may hold one.
func Revoke(tx *store.Tx, d care.Device) error {
	if err := tx.Access().DropSubscription(d.ID); err != nil {
		return err
	}
	if d.Family != "" {
		if err := tx.Access().WithdrawOwn(d.Person); err != nil {
			return err
		}
	}
	return tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Revoked = true })
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
