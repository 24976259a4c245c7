package register

import (
	"encoding/json"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Session is one browser of a member of staff that is signed in.
type Session struct {
	Device     care.Device
	Credential Credential
}

// Sessions returns the sessions of one person that are still good, by device.
func (tx *Access) Sessions(p care.PersonID) ([]Session, error) {
	var out []Session
	err := credentials.Scan(tx.p, nil, func(_ []byte, c Credential) bool {
		d, err := tx.register.Device(c.Device)
		if err == nil && d.Person == p && !d.Revoked && (c.Expires.IsZero() || tx.p.Now.Before(c.Expires)) {
			out = append(out, Session{d, c})
		}
		return true
	})
	return out, err
}

// EndSessions forgets the credentials of a person's devices, or of one device,
// and revokes the devices, so that they get no messages either.
func (tx *Access) EndSessions(p care.PersonID, one care.DeviceID) error {
	var keys []string
	var gone []care.Device
	err := credentials.Scan(tx.p, nil, func(k []byte, c Credential) bool {
		d, err := tx.register.Device(c.Device)
		if err == nil && d.Person == p && (one == "" || one == d.ID) {
			keys, gone = append(keys, string(k)), append(gone, d)
		}
		return true
	})
	if err != nil {
		return err
	}
	for i, k := range keys {
		if err := credentials.Delete(tx.p, []byte(k)); err != nil {
			return err
		}
		gone[i].Revoked = true
		if err := tx.register.putDevice(gone[i]); err != nil {
			return err
		}
		if err := tx.DropSubscription(gone[i].ID); err != nil {
			return err
		}
	}
	return nil
}

// DeviceOfToken returns the device of a token even when its session has run
// out, so that signing in again in the same browser does not make a second
// device. A revoked device is not found.
func (tx *Access) DeviceOfToken(token string) (care.Device, error) {
	c, err := credentials.Get(tx.p, hashSecret(token))
	if err != nil {
		return care.Device{}, err
	}
	d, err := tx.register.Device(c.Device)
	if err == nil && d.Revoked {
		err = care.Errorf(care.NotFound, "not-found", "this device is revoked")
	}
	return d, err
}

// Passkey is one passkey of a member of staff. Credential is what the WebAuthn
// library keeps of it: a public key, a counter and flags, nothing secret.
type Passkey struct {
	ID         string          `json:"id"` // base64url of the credential's id
	Person     care.PersonID   `json:"person"`
	Name       string          `json:"name"`
	Created    time.Time       `json:"created"`
	LastUsed   time.Time       `json:"last_used,omitzero"`
	Credential json.RawMessage `json:"credential"`
}

var passkeys = pairs.Table[Passkey]{Name: "passkeys"}

// PutPasskey stores a passkey, new or used.
func (tx *Access) PutPasskey(p Passkey) error {
	return passkeys.Put(tx.p, pairs.Key(string(p.Person), p.ID), p)
}

// Passkeys returns a person's passkeys. Those in a damaged part of the file are set
// aside: who is left without one comes in by a link, and makes one anew.
func (tx *Access) Passkeys(p care.PersonID) ([]Passkey, error) {
	out := []Passkey{}
	err := tx.p.Try(func() (err error) { out, err = passkeys.List(tx.p, pairs.Key(string(p), "")); return err })
	if pairs.IsDamaged(err) {
		return []Passkey{}, nil
	}
	return out, err
}

// DeletePasskey forgets one passkey of a person; a missing one is no error.
func (tx *Access) DeletePasskey(p care.PersonID, id string) error {
	return passkeys.Delete(tx.p, pairs.Key(string(p), id))
}
