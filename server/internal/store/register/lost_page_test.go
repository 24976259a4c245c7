package register_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
	"nightkeep/server/internal/store/storetest"
)

// When the disk loses the page that says who the wearers of a family are, they are found
// among all wearers: every one of the family, and never a child of another.
func TestWearersAreFoundWithoutTheirList(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	const families = 80 // so that the list has a page of its own
	err := db.Update(func(tx *store.Tx) (err error) {
		for n := range families {
			f := care.FamilyID(fmt.Sprintf("family-%02d", n))
			err = errors.Join(err, storetest.Put(tx, care.Family{ID: f}))
			for _, child := range []string{"first", "second"} {
				id := care.WearerID(fmt.Sprintf("%s-of-%s", child, f))
				err = errors.Join(err, storetest.Put(tx, care.Wearer{ID: id, Family: f, Name: "W", Code: string(id)}))
			}
		}
		return err
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	lost, err := scene.ZeroPage(path, "family_wearers", "family-00")
	if err != nil || len(lost) == 0 {
		t.Fatalf("%d lists are lost, %v; want some", len(lost), err)
	}
	db = scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		for _, f := range []care.FamilyID{"family-00", "family-01", "family-79"} {
			got := tx.Register().WearersOf(f)
			slices.Sort(got)
			if want := []care.WearerID{"first-of-" + care.WearerID(f), "second-of-" + care.WearerID(f)}; !slices.Equal(got, want) {
				t.Errorf("%s has %q, want %q", f, got, want)
			}
		}
		return nil
	})
}
