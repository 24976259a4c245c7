package register

import (
	"encoding/json"
	"errors"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Check checks people, wearers and devices against the lists of their
// families and of the staff.
func (tx *Tx) Check() (f pairs.Faults) {
	pairs.ReadAll(tx.p, families)
	staff, err := tx.staffIDs()
	f.Unless(err == nil, "list of staff: %v", err)
	for _, id := range staff {
		_, err := tx.Person(care.PersonID(id))
		f.Unless(pairs.Unread(err) || err == nil, "list of staff: there is no person %s", id)
	}
	err = errors.Join(
		people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
			f.Unless(p.Family == "" || tx.p.Has(string(FamilyPeople), pairs.Key(string(p.Family), string(p.ID))), "person %s: not in the list of the family", p.ID)
			f.Unless(!p.Role.Staff() || slices.Contains(staff, string(p.ID)), "person %s: not in the list of staff", p.ID)
			return true
		}),
		wearers.Scan(tx.p, nil, func(_ []byte, w care.Wearer) bool {
			f.Unless(tx.p.Has(string(FamilyWearers), pairs.Key(string(w.Family), string(w.ID))), "wearer %s: not in the list of the family", w.ID)
			return true
		}),
		devices.Scan(tx.p, nil, func(_ []byte, d care.Device) bool {
			k, by := pairs.Key(string(d.Family), string(d.ID)), FamilyDevices
			if d.Family == "" {
				k, by = pairs.Key(string(d.Person), string(d.ID)), staffDevices
			}
			f.Unless(tx.p.Has(string(by), k), "device %s: not in %s", d.ID, by)
			return true
		}),
	)
	f.Unless(err == nil, "people and devices: %v", err)
	tx.checkLists(&f)
	return f
}

// checkLists looks for members of a list that are not there, or are another's.
func (tx *Tx) checkLists(f *pairs.Faults) {
	tx.p.Lists(f, FamilyPeople, func(owner, member string) bool {
		p, err := tx.Person(care.PersonID(member))
		return pairs.Unread(err) || err == nil && string(p.Family) == owner
	})
	tx.p.Lists(f, FamilyWearers, func(owner, member string) bool {
		w, err := tx.Wearer(care.WearerID(member))
		return pairs.Unread(err) || err == nil && string(w.Family) == owner
	})
	tx.p.Lists(f, FamilyDevices, func(owner, member string) bool {
		d, err := tx.Device(care.DeviceID(member))
		return pairs.Unread(err) || err == nil && string(d.Family) == owner
	})
	tx.p.Lists(f, staffDevices, func(_, member string) bool {
		_, err := tx.Device(care.DeviceID(member))
		return pairs.Unread(err) || err == nil
	})
}

// Check reads what lets somebody in.
func (tx *Access) Check() pairs.Faults {
	pairs.ReadAll(tx.p, invitations)
	pairs.ReadAll(tx.p, credentials)
	pairs.ReadAll(tx.p, subscriptions)
	pairs.ReadAll(tx.p, calendars)
	pairs.ReadAll(tx.p, consents)
	pairs.ReadAll(tx.p, familyNews)
	pairs.ReadAll(tx.p, passkeys)
	return nil
}

// Check reads what the practitioner wrote.
func (tx *Chart) Check() pairs.Faults {
	pairs.ReadAll(tx.p, plans)
	pairs.ReadAll(tx.p, visits)
	for _, shelf := range shelves {
		pairs.ReadAll(tx.p, pairs.Table[json.RawMessage]{Name: string(shelf)})
	}
	pairs.ReadAll(tx.p, calendarEvents)
	pairs.ReadAll(tx.p, followups)
	pairs.ReadAll(tx.p, wordsRead)
	pairs.ReadAll(tx.p, privates)
	return tx.checkAttached()
}
