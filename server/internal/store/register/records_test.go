package register_test

import (
	"path/filepath"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
	"nightkeep/server/internal/store/storetest"
)

// A record keeps its id: a change that gives it another is refused, and leaves the
// record as it was and nothing under the other id. Else a person, a wearer or a
// browser would stand there twice, and closing one of them would not close the other.
func TestARecordKeepsItsID(t *testing.T) {
	t.Parallel()
	db := scene.OpenAt(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		for _, record := range []any{
			care.Family{ID: "f1", Name: "as it was"}, care.Wearer{ID: "w1", Family: "f1", Name: "as it was"},
			care.Person{ID: "p1", Family: "f1", Name: "as it was", Role: care.Parent}, care.Device{ID: "d1", Family: "f1", Person: "p1", Name: "as it was"},
		} {
			if err := storetest.Put(tx, record); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for what, change := range map[string]func(r *register.Tx) error{
		"family": func(r *register.Tx) error {
			return r.ChangeFamily("f1", func(x *care.Family) { x.ID, x.Name = "f2", "changed" })
		},
		"wearer": func(r *register.Tx) error {
			return r.ChangeWearer("w1", func(x *care.Wearer) { x.ID, x.Name = "w2", "changed" })
		},
		"person": func(r *register.Tx) error {
			return r.ChangePerson("p1", func(x *care.Person) { x.ID, x.Name = "p2", "changed" })
		},
		"device": func(r *register.Tx) error {
			return r.ChangeDevice("d1", func(x *care.Device) { x.ID, x.Name = "d2", "changed" })
		},
	} {
		_ = db.Update(func(tx *store.Tx) error {
			if err := change(tx.Register()); err == nil || care.KindOf(err) != care.Internal {
				t.Errorf("%s: %v; want it refused as a fault of this program", what, err)
			}
			return nil // what the change stored all the same is kept
		})
	}
	_ = db.View(func(tx *store.Tx) error {
		names := map[string]error{}
		get := func(id, name string, err error) {
			if names[id] = err; err == nil && name != "as it was" {
				t.Errorf("%s is called %q now", id, name)
			}
		}
		for _, n := range []string{"1", "2"} {
			f, err := tx.Register().Family(care.FamilyID("f" + n))
			get("f"+n, f.Name, err)
			w, err := tx.Register().Wearer(care.WearerID("w" + n))
			get("w"+n, w.Name, err)
			p, err := tx.Register().Person(care.PersonID("p" + n))
			get("p"+n, p.Name, err)
			d, err := tx.Register().Device(care.DeviceID("d" + n))
			get("d"+n, d.Name, err)
		}
		for id, err := range names {
			if there := id[1] == '1'; there != (err == nil) || !there && care.KindOf(err) != care.NotFound {
				t.Errorf("%s: %v", id, err)
			}
		}
		return nil
	})
}
