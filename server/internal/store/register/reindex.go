package register

import (
	"errors"

	"nightkeep/server/internal/care"
)

// Reindex writes every list of people, wearers and devices again from what can be
// read of them.
func (tx *Tx) Reindex() (err error) {
	ps, e1 := people.List(tx.p, nil)
	ws, e2 := wearers.List(tx.p, nil)
	ds, e3 := devices.List(tx.p, nil)
	lists := []string{string(FamilyPeople), string(FamilyWearers), string(FamilyDevices), string(staffDevices)}
	err = errors.Join(e1, e2, e3, tx.p.Drop(lists...), tx.p.SetSetting(staffKey, []string{}))
	return errors.Join(err, each(ps, tx.putPerson), each(ws, tx.putWearer), each(ds, tx.putDevice))
}

// ReindexDevices writes the lists of devices again from what can be read of them.
func (tx *Tx) ReindexDevices() error {
	ds, err := devices.List(tx.p, nil)
	return errors.Join(err, tx.p.Drop(string(FamilyDevices), string(staffDevices)), each(ds, tx.putDevice))
}

func each[T care.Person | care.Wearer | care.Device](list []T, put func(T) error) (err error) {
	for _, x := range list {
		err = errors.Join(err, put(x))
	}
	return err
}
