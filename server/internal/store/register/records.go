package register

import "nightkeep/server/internal/care"

// People, wearers, families, devices and credentials are added once and changed
// by id only. Whoever changes one gives a function, which is handed the record
// as it stands in this transaction: what was read before it, by a caller who may
// have been shut out or erased meanwhile, can so never be written. Both refuse
// with [care.NotFound] when what they belong to is gone, and adding what is there
// already is a [care.Conflict].

// AddFamily stores a new family.
func (tx *Tx) AddFamily(f care.Family) error {
	return add(tx, families.Name, string(f.ID), func() error { return tx.putFamily(f) })
}

// ChangeFamily changes a family as it stands now.
func (tx *Tx) ChangeFamily(id care.FamilyID, f func(*care.Family)) error {
	return change(tx.Family, id, f, func(x care.Family) care.FamilyID { return x.ID }, tx.putFamily)
}

// AddPerson stores a new person of a family or of the practice.
func (tx *Tx) AddPerson(p care.Person) error {
	return add(tx, people.Name, string(p.ID), func() error { return tx.putPerson(p) }, tx.inFamily(p.Family))
}

// ChangePerson changes a person as they stand now.
func (tx *Tx) ChangePerson(id care.PersonID, f func(*care.Person)) error {
	return change(tx.Person, id, f, func(x care.Person) care.PersonID { return x.ID }, tx.putPerson)
}

// AddWearer stores a new wearer.
func (tx *Tx) AddWearer(w care.Wearer) error {
	return add(tx, wearers.Name, string(w.ID), func() error { return tx.putWearer(w) }, tx.inFamily(w.Family))
}

// ChangeWearer changes a wearer as they stand now.
func (tx *Tx) ChangeWearer(id care.WearerID, f func(*care.Wearer)) error {
	return change(tx.Wearer, id, f, func(x care.Wearer) care.WearerID { return x.ID }, tx.putWearer)
}

// AddDevice stores a new device of somebody of that family, or of the practice.
func (tx *Tx) AddDevice(d care.Device) error {
	return add(tx, devices.Name, string(d.ID), func() error { return tx.putDevice(d) }, tx.inFamily(d.Family), func() error {
		p, err := tx.Person(d.Person)
		if err == nil && p.Family != d.Family {
			return care.Errorf(care.NotFound, "not-found", "whose device this is has left")
		}
		return err
	})
}

// ChangeDevice changes a device as it stands now.
func (tx *Tx) ChangeDevice(id care.DeviceID, f func(*care.Device)) error {
	return change(tx.Device, id, f, func(x care.Device) care.DeviceID { return x.ID }, tx.putDevice)
}

// inFamily refuses what belongs to a family that is not there.
func (tx *Tx) inFamily(id care.FamilyID) func() error {
	return func() error {
		if id == "" {
			return nil
		}
		_, err := tx.Family(id)
		return err
	}
}

func add(tx *Tx, bucket, id string, put func() error, checks ...func() error) error {
	if tx.p.Has(bucket, []byte(id)) {
		return care.Errorf(care.Conflict, "already-there", "this is stored already in %s", bucket)
	}
	for _, check := range checks {
		if err := check(); err != nil {
			return err
		}
	}
	return put()
}

func change[ID ~string, T any](get func(ID) (T, error), id ID, f func(*T), idOf func(T) ID, put func(T) error) error {
	v, err := get(id)
	if err != nil {
		return err
	}
	f(&v)
	if idOf(v) != id {
		return care.Errorf(care.Internal, "id-changed", "a record keeps its id")
	}
	return put(v)
}
