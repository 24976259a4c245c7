package store

import (
	"slices"
	"strings"

	"nightkeep/server/internal/care"
)

// Family returns a family, or a not-found error.
func (tx *Tx) Family(id care.FamilyID) (care.Family, error) {
	return recall(tx, func(m *memos) *memo[care.Family] { return &m.families }, families, []byte(id))
}

// putFamily stores a family.
func (tx *Tx) putFamily(f care.Family) error {
	tx.changed(string(f.ID))
	return families.put(tx, []byte(f.ID), f)
}

// Families returns every family, by id.
func (tx *Tx) Families() ([]care.Family, error) { return families.list(tx, nil) }

// Person returns a person, or a not-found error.
func (tx *Tx) Person(id care.PersonID) (care.Person, error) {
	return recall(tx, func(m *memos) *memo[care.Person] { return &m.people }, people, []byte(id))
}

// putPerson stores a person and the index: by family, or among the staff.
func (tx *Tx) putPerson(p care.Person) error {
	if p.Family != "" {
		if err := familyPeople.put(tx, string(p.Family), string(p.ID)); err != nil {
			return err
		}
	}
	if p.Role.Staff() {
		tx.changedAll() // lists name who followed up
		if err := tx.listStaff(p.ID); err != nil {
			return err
		}
	}
	return people.put(tx, []byte(p.ID), p)
}

// staffKey names the list of staff ids among the settings: a handful, read for
// every alert, which must not cost a walk over every family.
const staffKey = "staff_ids"

func (tx *Tx) listStaff(id care.PersonID) error {
	ids, err := tx.staffIDs()
	if err != nil || slices.Contains(ids, string(id)) {
		return err
	}
	return tx.SetSetting(staffKey, append(ids, string(id)))
}

// staffIDs reads the list. A file from before there was one is walked.
func (tx *Tx) staffIDs() ([]string, error) {
	var ids []string
	if err := tx.Setting(staffKey, &ids); err != nil || ids != nil {
		return ids, err
	}
	err := people.scan(tx, nil, func(_ []byte, p care.Person) bool {
		if p.Role.Staff() {
			ids = append(ids, string(p.ID))
		}
		return true
	})
	return ids, err
}

// People returns the people of a family, by id.
func (tx *Tx) People(f care.FamilyID) ([]care.Person, error) {
	return each(familyPeople.members(tx, string(f)), func(id string) (care.Person, error) {
		return tx.Person(care.PersonID(id))
	})
}

// Staff returns the people of the practice.
func (tx *Tx) Staff() ([]care.Person, error) {
	ids, err := tx.staffIDs()
	if err != nil {
		return nil, err
	}
	return each(ids, func(id string) (care.Person, error) { return tx.Person(care.PersonID(id)) })
}

// Wearer returns a wearer, or a not-found error.
func (tx *Tx) Wearer(id care.WearerID) (care.Wearer, error) {
	return recall(tx, func(m *memos) *memo[care.Wearer] { return &m.wearers }, wearers, []byte(id))
}

// putWearer stores a wearer and the index.
func (tx *Tx) putWearer(w care.Wearer) error {
	if err := familyWearers.put(tx, string(w.Family), string(w.ID)); err != nil {
		return err
	}
	tx.changed(string(w.ID))
	return wearers.put(tx, []byte(w.ID), w)
}

// DropWearer takes out a wearer of whom nothing is stored, enrolled by mistake;
// whoever is that wearer leaves. Anything stored is a [care.Conflict] error: a
// record goes with its family only.
func (tx *Tx) DropWearer(id care.WearerID) error {
	w, err := tx.Wearer(id)
	if err != nil {
		return err
	}
	stored, err := tx.holdsOf(w)
	if err != nil {
		return err
	}
	if stored {
		return care.Errorf(care.Conflict, "has-record", "something is stored about this wearer: entries, a plan or visits; it is kept, and goes only when the family is erased")
	}
	people, err := tx.People(w.Family)
	if err != nil {
		return err
	}
	for _, p := range people {
		if p.Wearer != id || p.Gone {
			continue
		}
		if err := tx.Leave(p.ID); err != nil {
			return err
		}
	}
	tx.changedAll()
	if err := familyWearers.drop(tx, string(w.Family), string(id)); err != nil {
		return err
	}
	return wearers.delete(tx, []byte(id))
}

// holdsOf reports whether anything is stored about a wearer, as the table of
// ownership has it: under the wearer's own id, or in the family's log, read or
// not.
func (tx *Tx) holdsOf(w care.Wearer) (bool, error) {
	for name, o := range owners() {
		if name == "wearers" || o.first == nil || !o.first(&kin{wearers: map[string]bool{string(w.ID): true}})[string(w.ID)] {
			continue
		}
		if tx.has(name, []byte(w.ID)) || tx.any(name, key(string(w.ID), "")) {
			return true, nil
		}
	}
	log, err := tx.wholeLog(w.Family)
	if err != nil || slices.ContainsFunc(log, func(e care.Entry) bool { return e.Wearer == w.ID }) {
		return true, err
	}
	return slices.ContainsFunc(tx.AllHeld(), func(h Held) bool { return h.Family == w.Family && strings.Contains(string(h.Raw), string(w.ID)) }), nil
}

// Wearers returns the wearers of a family, by id.
func (tx *Tx) Wearers(f care.FamilyID) ([]care.Wearer, error) {
	return each(familyWearers.members(tx, string(f)), func(id string) (care.Wearer, error) {
		return tx.Wearer(care.WearerID(id))
	})
}

// AllWearers calls f for every wearer in order of id until it returns false.
func (tx *Tx) AllWearers(f func(care.Wearer) bool) error {
	return wearers.scan(tx, nil, func(_ []byte, w care.Wearer) bool { return f(w) })
}

// Device returns a device, or a not-found error.
func (tx *Tx) Device(id care.DeviceID) (care.Device, error) {
	return recall(tx, func(m *memos) *memo[care.Device] { return &m.devices }, devices, []byte(id))
}

// putDevice stores a device and the index: by family, or by member of staff.
func (tx *Tx) putDevice(d care.Device) error {
	if have, err := tx.Device(d.ID); err != nil || have.Family != d.Family {
		tx.changed(string(have.Family), string(d.Family)) // joined or moved; that it is heard of again changes no list
	}
	by, owner := familyDevices, string(d.Family)
	if owner == "" {
		by, owner = staffDevices, string(d.Person)
	}
	if err := by.put(tx, owner, string(d.ID)); err != nil {
		return err
	}
	return devices.put(tx, []byte(d.ID), d)
}

// Devices returns the devices of a family, revoked ones too.
func (tx *Tx) Devices(f care.FamilyID) ([]care.Device, error) {
	return each(familyDevices.members(tx, string(f)), func(id string) (care.Device, error) {
		return tx.Device(care.DeviceID(id))
	})
}

// StaffDevices returns the devices of one member of staff that are not revoked.
func (tx *Tx) StaffDevices(p care.PersonID) ([]care.Device, error) {
	list, err := each(staffDevices.members(tx, string(p)), func(id string) (care.Device, error) {
		return tx.Device(care.DeviceID(id))
	})
	return slices.DeleteFunc(list, func(d care.Device) bool { return d.Person != p || d.Family != "" || d.Revoked }), err
}

// each returns what the ids of a list stand for. One that cannot be read has been
// set aside by get, and one there is none of is left out: check names both.
func each[T any](ids []string, get func(string) (T, error)) ([]T, error) {
	out := make([]T, 0, len(ids))
	for _, id := range ids {
		if v, err := get(id); err == nil {
			out = append(out, v)
		}
	}
	return out, nil
}
