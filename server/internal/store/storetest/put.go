package storetest

import (
	"fmt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Put stores a record whether there was one or not. Only what sets a scene may
// do that; the program adds, or changes what it has just read.
func Put(tx *store.Tx, record any) error {
	switch r := record.(type) {
	case care.Family:
		return replaced(tx.Register().ChangeFamily(r.ID, func(x *care.Family) { *x = r }), func() error { return tx.Register().AddFamily(r) })
	case care.Person:
		return replaced(tx.Register().ChangePerson(r.ID, func(x *care.Person) { *x = r }), func() error { return tx.Register().AddPerson(r) })
	case care.Wearer:
		return replaced(tx.Register().ChangeWearer(r.ID, func(x *care.Wearer) { *x = r }), func() error { return tx.Register().AddWearer(r) })
	case care.Device:
		return replaced(tx.Register().ChangeDevice(r.ID, func(x *care.Device) { *x = r }), func() error { return tx.Register().AddDevice(r) })
	}
	return fmt.Errorf("storetest: no such record: %T", record)
}

func replaced(err error, add func() error) error {
	if care.KindOf(err) == care.NotFound {
		return add()
	}
	return err
}
