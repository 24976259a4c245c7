package register

import (
	"bytes"
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Family returns a family, or a not-found error.
// A damaged part of the file is an error and ends nothing else.
func (tx *Tx) Family(id care.FamilyID) (f care.Family, err error) {
	err = tx.p.Try(func() (err error) { f, err = families.Cached(tx.p, []byte(id)); return err })
	return f, err
}

// putFamily stores a family.
func (tx *Tx) putFamily(f care.Family) error {
	return families.Put(tx.p, []byte(f.ID), f)
}

// Families returns every family, by id.
func (tx *Tx) Families() ([]care.Family, error) { return families.List(tx.p, nil) }

// Person returns a person, or a not-found error.
// A damaged part of the file is an error and ends nothing else.
func (tx *Tx) Person(id care.PersonID) (p care.Person, err error) {
	err = tx.p.Try(func() (err error) { p, err = people.Cached(tx.p, []byte(id)); return err })
	return p, err
}

// putPerson stores a person and the index: by family, or among the staff.
func (tx *Tx) putPerson(p care.Person) error {
	if p.Family != "" {
		if err := FamilyPeople.Put(tx.p, string(p.Family), string(p.ID)); err != nil {
			return err
		}
	}
	if p.Role.Staff() {
		if err := tx.listStaff(p.ID); err != nil {
			return err
		}
	}
	return people.Put(tx.p, []byte(p.ID), p)
}

// staffKey names the list of staff ids among the settings: a handful, read for
// every alert, which must not cost a walk over every family.
const staffKey = "staff_ids"

func (tx *Tx) listStaff(id care.PersonID) error {
	ids, err := tx.staffIDs()
	if err != nil || slices.Contains(ids, string(id)) {
		return err
	}
	return tx.p.SetSetting(staffKey, append(ids, string(id)))
}

// staffIDs reads the list. A file from before there was one is walked.
func (tx *Tx) staffIDs() ([]string, error) {
	var ids []string
	if err := tx.p.Setting(staffKey, &ids); err != nil || ids != nil {
		return ids, err
	}
	err := people.Scan(tx.p, nil, func(_ []byte, p care.Person) bool {
		if p.Role.Staff() {
			ids = append(ids, string(p.ID))
		}
		return true
	})
	return ids, err
}

// People returns the people of a family, by id.
func (tx *Tx) People(f care.FamilyID) ([]care.Person, error) {
	return pairs.Resolve(tx.p, FamilyPeople.Members(tx.p, string(f)), func(id string) (care.Person, error) {
		return tx.Person(care.PersonID(id))
	})
}

// Staff returns the people of the practice.
func (tx *Tx) Staff() ([]care.Person, error) {
	ids, err := tx.staffIDs()
	if err != nil {
		return nil, err
	}
	return pairs.Resolve(tx.p, ids, func(id string) (care.Person, error) { return tx.Person(care.PersonID(id)) })
}

// Wearer returns a wearer, or a not-found error.
// A damaged part of the file is an error and ends nothing else.
func (tx *Tx) Wearer(id care.WearerID) (w care.Wearer, err error) {
	err = tx.p.Try(func() (err error) { w, err = wearers.Cached(tx.p, []byte(id)); return err })
	return w, err
}

// FamilyOf returns the family of a wearer, by the lists of families where the wearer's
// record cannot be read; empty when nobody knows.
func (tx *Tx) FamilyOf(id care.WearerID) care.FamilyID {
	w, err := tx.Wearer(id)
	if err == nil || care.KindOf(err) == care.NotFound {
		return w.Family
	}
	for k := range tx.p.All(string(FamilyWearers)) {
		if owner, member, ok := bytes.Cut(k, []byte{pairs.Sep}); ok && string(member) == string(id) {
			return care.FamilyID(owner)
		}
	}
	return ""
}

// putWearer stores a wearer and the index.
func (tx *Tx) putWearer(w care.Wearer) error {
	if err := FamilyWearers.Put(tx.p, string(w.Family), string(w.ID)); err != nil {
		return err
	}
	return wearers.Put(tx.p, []byte(w.ID), w)
}

// Wearers returns the wearers of a family, by id.
func (tx *Tx) Wearers(f care.FamilyID) ([]care.Wearer, error) {
	return pairs.Resolve(tx.p, FamilyWearers.Members(tx.p, string(f)), func(id string) (care.Wearer, error) {
		return tx.Wearer(care.WearerID(id))
	})
}

// AllWearers calls f for every wearer in order of id until it returns false. That
// of drills is none.
func (tx *Tx) AllWearers(f func(care.Wearer) bool) error {
	return wearers.Scan(tx.p, nil, func(_ []byte, w care.Wearer) bool { return w.ID == care.DrillWearer || f(w) })
}

// Device returns a device, or a not-found error.
// A damaged part of the file is an error and ends nothing else.
func (tx *Tx) Device(id care.DeviceID) (d care.Device, err error) {
	err = tx.p.Try(func() (err error) { d, err = devices.Cached(tx.p, []byte(id)); return err })
	return d, err
}

// lostDevice is what is known of a family's device whose record is lost or cannot be
// read: that it is in the list of the family's.
func (tx *Tx) lostDevice(id care.DeviceID) (d care.Device, err error) {
	for k := range tx.p.All(string(FamilyDevices)) {
		if owner, member, ok := bytes.Cut(k, []byte{pairs.Sep}); ok && string(member) == string(id) {
			return care.Device{ID: id, Family: care.FamilyID(owner)}, nil
		}
	}
	return d, notSignedIn()
}

// putDevice stores a device and the index: by family, or by member of staff.
func (tx *Tx) putDevice(d care.Device) error {
	by, owner := FamilyDevices, string(d.Family)
	if owner == "" {
		by, owner = staffDevices, string(d.Person)
	}
	if err := by.Put(tx.p, owner, string(d.ID)); err != nil {
		return err
	}
	return devices.Put(tx.p, []byte(d.ID), d)
}

// Devices returns the devices of a family, revoked ones too.
func (tx *Tx) Devices(f care.FamilyID) ([]care.Device, error) {
	return pairs.Resolve(tx.p, FamilyDevices.Members(tx.p, string(f)), func(id string) (care.Device, error) {
		return tx.Device(care.DeviceID(id))
	})
}

// StaffDevices returns the devices of one member of staff that are not revoked.
func (tx *Tx) StaffDevices(p care.PersonID) ([]care.Device, error) {
	list, err := pairs.Resolve(tx.p, staffDevices.Members(tx.p, string(p)), func(id string) (care.Device, error) {
		return tx.Device(care.DeviceID(id))
	})
	return slices.DeleteFunc(list, func(d care.Device) bool { return d.Person != p || d.Family != "" || d.Revoked }), err
}

var (
	families = pairs.Table[care.Family]{Name: "families"}
	people   = pairs.Table[care.Person]{Name: "people"}
	wearers  = pairs.Table[care.Wearer]{Name: "wearers"}
	devices  = pairs.Table[care.Device]{Name: "devices"}
)

const (
	FamilyPeople  = pairs.Index("family_people")
	FamilyWearers = pairs.Index("family_wearers")
	FamilyDevices = pairs.Index("family_devices")
	staffDevices  = pairs.Index("staff_devices")
)

// WearerIDs returns the id of every wearer, in order. That of drills is none.
func (tx *Tx) WearerIDs() []care.WearerID {
	var out []care.WearerID
	for k := range tx.p.All(wearers.Name) {
		if id := care.WearerID(k); id != care.DrillWearer {
			out = append(out, id)
		}
	}
	return out
}

// WearersOf returns the ids of a family's wearers, also of one who cannot be read.
func (tx *Tx) WearersOf(f care.FamilyID) []care.WearerID {
	var out []care.WearerID
	err := tx.p.Try(func() error {
		for _, id := range FamilyWearers.Members(tx.p, string(f)) {
			out = append(out, care.WearerID(id))
		}
		return nil
	})
	if err == nil {
		return out
	}
	out = nil
	_ = wearers.Scan(tx.p, nil, func(_ []byte, w care.Wearer) bool { // what cannot be read is set aside
		if w.Family == f {
			out = append(out, w.ID)
		}
		return true
	})
	return out
}

// DeleteWearer takes a wearer out, of whom nothing is stored.
func (tx *Tx) DeleteWearer(w care.Wearer) error {
	if err := FamilyWearers.Drop(tx.p, string(w.Family), string(w.ID)); err != nil {
		return err
	}
	return wearers.Delete(tx.p, []byte(w.ID))
}

// IndexStaffDevices makes the index of staff's devices, for files from before it.
func (tx *Tx) IndexStaffDevices() error {
	return tx.p.Each(devices.Name, func(k, v []byte) error {
		var d care.Device
		if err := json.Unmarshal(v, &d); err != nil || d.Family != "" {
			return err
		}
		return staffDevices.Put(tx.p, string(d.Person), string(d.ID))
	})
}
