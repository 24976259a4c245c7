package register_test

import (
	"path/filepath"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

func TestCalendarAddresses(t *testing.T) {
	t.Parallel()
	db := scene.OpenAt(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		for secret, family := range map[string]care.FamilyID{"one": "f1", "two": "f2", "desk": ""} {
			if err := tx.Access().SetCalendar(secret, register.Calendar{Family: family, Created: tx.Now}); err != nil {
				return err
			}
		}
		if err := tx.Access().SetCalendar("one again", register.Calendar{Family: "f1", Created: tx.Now}); err != nil {
			return err
		}
		return tx.Access().DropCalendar("f2")
	})
	if err != nil {
		t.Fatal(err)
	}
	_ = db.View(func(tx *store.Tx) error {
		for secret, want := range map[string]bool{"one": false, "one again": true, "two": false, "desk": true, "": false, "f1": false} {
			_, err := tx.Access().CalendarAt(secret)
			if (err == nil) != want || err != nil && care.KindOf(err) != care.NotFound {
				t.Errorf("%q: %v, want found %v", secret, err, want)
			}
		}
		return nil
	})
}
