package register

import (
	"bytes"
	"errors"

	"nightkeep/server/internal/care"
)

// Revocations is who was shut out of the file that a backup is about to replace.
type Revocations struct {
	devices     []care.DeviceID
	people      []care.PersonID
	invitations [][]byte // by their keys: used or withdrawn
}

// Revocations lists it.
func (tx *Access) Revocations() (out Revocations, err error) {
	err = devices.Scan(tx.p, nil, func(_ []byte, d care.Device) bool {
		if d.Revoked {
			out.devices = append(out.devices, d.ID)
		}
		return true
	})
	if err != nil {
		return out, err
	}
	err = people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
		if p.Gone {
			out.people = append(out.people, p.ID)
		}
		return true
	})
	if err != nil {
		return out, err
	}
	err = invitations.Scan(tx.p, nil, func(k []byte, inv Invitation) bool {
		if inv.Revoked || !inv.Used.IsZero() {
			out.invitations = append(out.invitations, bytes.Clone(k))
		}
		return true
	})
	return out, err
}

// RevokeAgain shuts out again whoever was shut out since the backup: a lost
// phone, or somebody who left, must not come back with it, nor a code be used a
// second time.
func (tx *Access) RevokeAgain(s Revocations) error {
	for _, id := range s.devices {
		d, err := tx.register.Device(id)
		if err != nil {
			continue // not in this backup
		}
		d.Revoked = true
		if err := errors.Join(tx.register.putDevice(d), tx.DropSubscription(id)); err != nil {
			return err
		}
	}
	for _, k := range s.invitations {
		inv, err := invitations.Get(tx.p, k)
		if err != nil {
			continue
		}
		inv.Revoked = true
		if err := invitations.Put(tx.p, k, inv); err != nil {
			return err
		}
	}
	for _, id := range s.people {
		p, err := tx.register.Person(id)
		if err != nil {
			continue
		}
		p.Gone = true
		if err := tx.register.putPerson(p); err != nil {
			return err
		}
	}
	return tx.RevokeLeft()
}
