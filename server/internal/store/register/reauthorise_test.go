package register_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Between a request and its transaction somebody may be shut out or moved: each thing
// alone that is not as it was when the caller was let in lets them write nothing.
func TestEachChangeOfACallerShutsOut(t *testing.T) {
	t.Parallel()
	device := func(f func(*care.Device)) func(*store.Tx) error {
		return func(tx *store.Tx) error { return tx.Register().ChangeDevice("d1", f) }
	}
	person := func(f func(*care.Person)) func(*store.Tx) error {
		return func(tx *store.Tx) error { return tx.Register().ChangePerson("p1", f) }
	}
	for name, change := range map[string]func(*store.Tx) error{
		"":                            func(*store.Tx) error { return nil },
		"the device is revoked":       device(func(d *care.Device) { d.Revoked = true }),
		"the device is another's":     device(func(d *care.Device) { d.Person = "p2" }),
		"the device is of others":     device(func(d *care.Device) { d.Family = "f2" }),
		"the person has left":         person(func(p *care.Person) { p.Gone = true }),
		"the person is of others":     person(func(p *care.Person) { p.Family = "f2" }),
		"the person has another role": person(func(p *care.Person) { p.Role = care.Teen }),
	} {
		db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), time.Now)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		caller := register.Caller{
			Person: register.CallerPerson{ID: "p1", Family: "f1", Role: care.Parent},
			Device: register.CallerDevice{ID: "d1"},
		}
		var got error
		err = db.Update(func(tx *store.Tx) error {
			for _, f := range []care.FamilyID{"f1", "f2"} {
				if err := tx.Register().AddFamily(care.Family{ID: f, Name: string(f), Zone: "Europe/Lisbon"}); err != nil {
					return err
				}
			}
			if err := tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "P", Role: care.Parent}); err != nil {
				return err
			}
			if err := tx.Register().AddDevice(care.Device{ID: "d1", Family: "f1", Person: "p1"}); err != nil {
				return err
			}
			if err := change(tx); err != nil {
				return err
			}
			got = tx.Access().Reauthorise(caller)
			return nil
		})
		if err != nil || (got == nil) != (name == "") {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}
