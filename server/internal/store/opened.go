package store

import (
	"errors"
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
)

// opened says, for every bucket that holds something by which a person gets in
// or is reached, which of its pairs that person opened, and how one is ended.
// Whoever leaves, and whose record is handed over, has all of it ended by this
// one table, and [Tx.Check] finds what remains by it; a test fails when a bucket
// of secrets has no row.
var opened = map[string]struct {
	of  func(tx *Tx, p care.PersonID, k, v []byte) bool
	end func(tx *Tx, k []byte) error
}{
	"devices": {
		of: func(tx *Tx, p care.PersonID, k, _ []byte) bool {
			d, err := tx.Device(care.DeviceID(k))
			return err == nil && d.Person == p && !d.Revoked
		},
		end: func(tx *Tx, k []byte) error {
			return tx.ChangeDevice(care.DeviceID(k), func(d *care.Device) { d.Revoked = true })
		},
	},
	"credentials": {
		of: func(tx *Tx, p care.PersonID, k, _ []byte) bool {
			c, err := credentials.get(tx, k)
			return err == nil && tx.deviceOf(c.Device, p)
		},
		end: func(tx *Tx, k []byte) error { return credentials.delete(tx, k) },
	},
	"subscriptions": {
		of:  func(tx *Tx, p care.PersonID, k, _ []byte) bool { return tx.deviceOf(care.DeviceID(k), p) },
		end: func(tx *Tx, k []byte) error { return subscriptions.delete(tx, k) },
	},
	"invitations": {
		of: func(tx *Tx, p care.PersonID, k, _ []byte) bool {
			inv, err := invitations.get(tx, k)
			return err == nil && (inv.Person == p || inv.By == p) && inv.Used.IsZero() && !inv.Revoked
		},
		end: func(tx *Tx, k []byte) error {
			inv, err := invitations.get(tx, k)
			if err != nil {
				return err
			}
			inv.Revoked = true
			return invitations.put(tx, k, inv)
		},
	},
	"calendars": {
		of: func(tx *Tx, p care.PersonID, k, _ []byte) bool {
			c, err := calendars.get(tx, k)
			return err == nil && c.By == p
		},
		end: func(tx *Tx, k []byte) error { return calendars.delete(tx, k) },
	},
	"passkeys": {
		of:  func(_ *Tx, p care.PersonID, k, _ []byte) bool { return hasPrefix(k, key(string(p), "")) },
		end: func(tx *Tx, k []byte) error { return tx.del("passkeys", k) },
	},
}

func (tx *Tx) deviceOf(d care.DeviceID, p care.PersonID) bool {
	have, err := tx.Device(d)
	return err == nil && have.Person == p
}

// EndOpened ends everything a person opened: their devices and sessions, codes
// made for them and by them, addresses of calendars they made, subscriptions and
// passkeys. Of some buckets only, when they are named.
func (tx *Tx) EndOpened(p care.PersonID, only ...string) error {
	for name, o := range opened {
		if len(only) > 0 && !slices.Contains(only, name) {
			continue
		}
		var doomed [][]byte
		err := tx.each(name, func(k, v []byte) error {
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

// endLeft ends what those who left have still open: programs before layout 6
// left codes and calendars behind.
func endLeft(tx *Tx) error {
	var left []care.PersonID
	err := people.scan(tx, nil, func(_ []byte, p care.Person) bool {
		if p.Gone {
			left = append(left, p.ID)
		}
		return true
	})
	for _, p := range left {
		err = errors.Join(err, tx.EndOpened(p))
	}
	return err
}

// Left is a record that should have gone with somebody: with a person who left,
// a device that is revoked, or an erasure. It stops no backup, and `check` tells
// of it.
type Left struct{ Bucket, What string }

func (l Left) Error() string { return l.Bucket + ": " + l.What }

// checkLeft finds what a person who left has still open, what is of a device
// that is revoked, and in a file in which a family was erased every pair that
// belongs to a family, person, wearer, device or alert that is not there.
func (tx *Tx) checkLeft() (out []error) {
	tell := func(bucket, format string, args ...any) {
		out = append(out, Left{bucket, fmt.Sprintf(format, args...)})
	}
	_ = people.scan(tx, nil, func(_ []byte, p care.Person) bool {
		if !p.Gone {
			return true
		}
		for name, o := range opened {
			_ = tx.each(name, func(k, v []byte) error {
				if o.of(tx, p.ID, k, v) {
					tell(name, "something of person %s, who left", p.ID)
				}
				return nil
			})
		}
		return true
	})
	_ = tx.each("subscriptions", func(k, _ []byte) error {
		if d, err := tx.Device(care.DeviceID(k)); err == nil && d.Revoked {
			tell("subscriptions", "one of device %s, which is revoked", k)
		}
		return nil
	})
	if stones, err := tx.Tombstones(); err == nil && len(stones) > 0 {
		tx.checkErased(tell)
	}
	return out
}

// checkErased goes by the table of ownership: a pair of a family's must have an
// owner that is there. What is in no table of owners, or names a device of a
// phone that was lost before a restore, is left out.
func (tx *Tx) checkErased(tell func(bucket, format string, args ...any)) {
	all := &kin{}
	for name, set := range map[string]*map[string]bool{
		"families": &all.families, "people": &all.people, "wearers": &all.wearers, "devices": &all.devices, "alerts": &all.alerts,
	} {
		*set = map[string]bool{}
		tx.eachKey(name, func(k []byte) { (*set)[string(k)] = true })
	}
	lost := func(family care.FamilyID) bool { return family != "" && !all.families[string(family)] }
	_ = people.scan(tx, nil, func(_ []byte, p care.Person) bool {
		if lost(p.Family) {
			tell("people", "%q is of a family that is not there", p.ID)
		}
		return true
	})
	_ = wearers.scan(tx, nil, func(_ []byte, w care.Wearer) bool {
		if lost(w.Family) {
			tell("wearers", "%q is of a family that is not there", w.ID)
		}
		return true
	})
	_ = devices.scan(tx, nil, func(_ []byte, d care.Device) bool {
		if lost(d.Family) || !all.people[string(d.Person)] {
			tell("devices", "%q is of a family or person that is not there", d.ID)
		}
		return true
	})
	_ = calendars.scan(tx, nil, func(_ []byte, c Calendar) bool {
		if lost(c.Family) {
			tell("calendars", "one of a family that is not there")
		}
		return true
	})
	elsewhere := []string{"calendars", "calendar_events", "outbox", "outbox_due", "device_seqs"} // checked with what they list, or of the practice too
	for name, o := range owners() {
		if o.first == nil && o.owns == nil || slices.Contains(elsewhere, name) {
			continue
		}
		first := map[string]bool{}
		if o.first != nil {
			first = o.first(all)
		}
		_ = tx.each(name, func(k, v []byte) error {
			p := parts(o.form, k)
			if p == nil || o.first != nil && first[p[0]] || o.first == nil && o.owns(all, p, v) {
				return nil
			}
			tell(name, "%s belongs to nobody who is there", said(o, p[0]))
			return nil
		})
	}
}

// said names a key, unless it is a secret's.
func said(o ownership, id string) string {
	if o.secret {
		return "a pair"
	}
	return fmt.Sprintf("%q", id)
}
