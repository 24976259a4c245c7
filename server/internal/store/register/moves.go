package register

import (
	"errors"

	"nightkeep/server/internal/care"
)

// SplitFamily takes a wearer to a new family, with those who are the wearer and
// their devices, which it returns.
func (tx *Tx) SplitFamily(w care.Wearer, from, to care.Family) ([]care.DeviceID, error) {
	w.Family = to.ID
	err := errors.Join(tx.putFamily(from), tx.putFamily(to), FamilyWearers.Drop(tx.p, string(from.ID), string(w.ID)), tx.putWearer(w))
	if err != nil {
		return nil, err
	}
	return tx.movePeople(w, from.ID)
}

// movePeople takes those who are the wearer, and their devices, to the
// wearer's family, and returns the devices.
func (tx *Tx) movePeople(w care.Wearer, from care.FamilyID) (moved []care.DeviceID, _ error) {
	all, err := tx.People(from)
	if err != nil {
		return nil, err
	}
	devices, err := tx.Devices(from)
	if err != nil {
		return nil, err
	}
	for _, p := range all {
		if p.Wearer != w.ID {
			continue
		}
		if err := FamilyPeople.Drop(tx.p, string(from), string(p.ID)); err != nil {
			return nil, err
		}
		p.Family = w.Family
		if err := tx.putPerson(p); err != nil {
			return nil, err
		}
		for _, d := range devices {
			if d.Person != p.ID {
				continue
			}
			if err := FamilyDevices.Drop(tx.p, string(from), string(d.ID)); err != nil {
				return nil, err
			}
			moved = append(moved, d.ID)
			d.Family = w.Family
			if err := tx.putDevice(d); err != nil {
				return nil, err
			}
		}
	}
	return moved, nil
}
