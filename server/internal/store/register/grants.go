package register

import (
	"errors"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// grants says, for every bucket that holds something by which a person gets in
// or is reached, which of its pairs that person opened, and how one is ended.
// Whoever leaves, and whose record is handed over, has all of it ended by this
// one table, and [archive.Tx.Check] finds what remains by it; a test fails when a bucket
// of secrets has no row.
var grants = map[string]struct {
	of  func(tx *Access, p care.PersonID, k, v []byte) bool
	end func(tx *Access, k []byte) error
}{
	"devices": {
		of: func(tx *Access, p care.PersonID, k, _ []byte) bool {
			d, err := tx.register.Device(care.DeviceID(k))
			return err == nil && d.Person == p && !d.Revoked
		},
		end: func(tx *Access, k []byte) error {
			return tx.register.ChangeDevice(care.DeviceID(k), func(d *care.Device) { d.Revoked = true })
		},
	},
	"credentials": {
		of: func(tx *Access, p care.PersonID, k, _ []byte) bool {
			c, err := credentials.Get(tx.p, k)
			return err == nil && tx.deviceOf(c.Device, p)
		},
		end: func(tx *Access, k []byte) error { return credentials.Delete(tx.p, k) },
	},
	"subscriptions": {
		of:  func(tx *Access, p care.PersonID, k, _ []byte) bool { return tx.deviceOf(care.DeviceID(k), p) },
		end: func(tx *Access, k []byte) error { return subscriptions.Delete(tx.p, k) },
	},
	"invitations": {
		of: func(tx *Access, p care.PersonID, k, _ []byte) bool {
			inv, err := invitations.Get(tx.p, k)
			return err == nil && (inv.Person == p || inv.By == p) && inv.Used.IsZero() && !inv.Revoked
		},
		end: func(tx *Access, k []byte) error {
			inv, err := invitations.Get(tx.p, k)
			if err != nil {
				return err
			}
			inv.Revoked = true
			return invitations.Put(tx.p, k, inv)
		},
	},
	"calendars": {
		of: func(tx *Access, p care.PersonID, k, _ []byte) bool {
			c, err := calendars.Get(tx.p, k)
			return err == nil && c.By == p
		},
		end: func(tx *Access, k []byte) error { return calendars.Delete(tx.p, k) },
	},
	"passkeys": {
		of: func(_ *Access, p care.PersonID, k, _ []byte) bool {
			return pairs.HasPrefix(k, pairs.Key(string(p), ""))
		},
		end: func(tx *Access, k []byte) error { return tx.p.Delete("passkeys", k) },
	},
}

func (tx *Access) deviceOf(d care.DeviceID, p care.PersonID) bool {
	have, err := tx.register.Device(d)
	return err == nil && have.Person == p
}

// RevokeGrants ends everything a person opened: their devices and sessions, codes
// made for them and by them, addresses of calendars they made, subscriptions and
// passkeys. Of some buckets only, when they are named.
func (tx *Access) RevokeGrants(p care.PersonID, only ...string) error {
	for name, o := range grants {
		if len(only) > 0 && !slices.Contains(only, name) {
			continue
		}
		var doomed [][]byte
		err := tx.p.Each(name, func(k, v []byte) error {
			if o.of(tx, p, k, v) {
				doomed = append(doomed, slices.Clone(k))
			}
			return nil
		})
		for _, k := range doomed {
			err = errors.Join(err, o.end(tx, k))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// RevokeLeft ends what those who left have still open: programs before layout 6
// left codes and calendars behind.
func (tx *Access) RevokeLeft() error {
	var left []care.PersonID
	err := people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
		if p.Gone {
			left = append(left, p.ID)
		}
		return true
	})
	for _, p := range left {
		err = errors.Join(err, tx.RevokeGrants(p))
	}
	return err
}

// Leave shuts a person out: no device of theirs opens anything or gets a
// message from now on, and no invitation lets them back.
func (tx *Access) Leave(id care.PersonID) error {
	if err := tx.register.ChangePerson(id, func(p *care.Person) { p.Gone = true }); err != nil {
		return err
	}
	return tx.RevokeGrants(id)
}

// CheckGrants finds what a person who left has still open, and what is of a
// device that is revoked.
func (tx *Access) CheckGrants(tell func(bucket, format string, args ...any)) {
	_ = people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
		if !p.Gone {
			return true
		}
		for name, o := range grants {
			_ = tx.p.Each(name, func(k, v []byte) error {
				if o.of(tx, p.ID, k, v) {
					tell(name, "something of person %s, who left", p.ID)
				}
				return nil
			})
		}
		return true
	})
	_ = tx.p.Each("subscriptions", func(k, _ []byte) error {
		if d, err := tx.register.Device(care.DeviceID(k)); err == nil && d.Revoked {
			tell("subscriptions", "one of device %s, which is revoked", k)
		}
		return nil
	})
}

// CheckOwners finds people, wearers, devices and calendars of families and people
// who are not there.
func (tx *Access) CheckOwners(inFamilies, inPeople map[string]bool, tell func(bucket, format string, args ...any)) {
	lost := func(family care.FamilyID) bool { return family != "" && !inFamilies[string(family)] }
	_ = people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
		if lost(p.Family) {
			tell("people", "%q is of a family that is not there", p.ID)
		}
		return true
	})
	_ = wearers.Scan(tx.p, nil, func(_ []byte, w care.Wearer) bool {
		if lost(w.Family) {
			tell("wearers", "%q is of a family that is not there", w.ID)
		}
		return true
	})
	_ = devices.Scan(tx.p, nil, func(_ []byte, d care.Device) bool {
		if lost(d.Family) || !inPeople[string(d.Person)] {
			tell("devices", "%q is of a family or person that is not there", d.ID)
		}
		return true
	})
	_ = calendars.Scan(tx.p, nil, func(_ []byte, c Calendar) bool {
		if lost(c.Family) {
			tell("calendars", "one of a family that is not there")
		}
		return true
	})
}
