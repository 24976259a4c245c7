package register_test

import (
	"errors"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
	"nightkeep/server/internal/store/storetest"
)

// A message for one member of the staff goes to the browsers that person uses
// and to no other: not a colleague's, not a family's, not one taken out of use.
func TestStaffDevices(t *testing.T) {
	t.Parallel()
	db := scene.OpenAt(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		errs := []error{
			storetest.Put(tx, care.Person{ID: "ann", Role: care.Desk}), storetest.Put(tx, care.Person{ID: "ann2", Role: care.Desk}),
			storetest.Put(tx, care.Family{ID: "f1"}), storetest.Put(tx, care.Person{ID: "mum", Family: "f1", Role: care.Parent}),
		}
		for _, d := range []care.Device{
			{ID: "desk", Person: "ann"}, {ID: "lost", Person: "ann"}, {ID: "room", Person: "ann2"}, {ID: "phone", Person: "mum", Family: "f1"},
		} {
			errs = append(errs, storetest.Put(tx, d))
		}
		errs = append(errs, storetest.Put(tx, care.Device{ID: "lost", Person: "ann", Revoked: true}))
		return errors.Join(errs...)
	})
	if err != nil {
		t.Fatal(err)
	}
	_ = db.View(func(tx *store.Tx) error {
		got, err := tx.Register().StaffDevices("ann")
		if err != nil || len(got) != 1 || got[0].ID != "desk" {
			t.Errorf("devices %+v, %v; want the desk alone", got, err)
		}
		return nil
	})
}
