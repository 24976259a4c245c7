package app_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// Of a file that has lost a page of what lets people in, repair and the restore of what
// it saved say how many are shut out, and what to do.
func TestRepairAndRestoreSayWhoIsShutOut(t *testing.T) {
	t.Parallel()
	for _, bucket := range []string{"devices", "credentials"} {
		dir := t.TempDir()
		path, fixed := filepath.Join(dir, "n.db"), filepath.Join(dir, "fixed.db")
		db := scene.OpenAt(t, path)
		err := db.Update(func(tx *store.Tx) (err error) {
			for n := range 200 {
				id := fmt.Sprintf("%03d", n)
				f, p, d := care.FamilyID("family-"+id), care.PersonID("parent-"+id), care.DeviceID("device-"+id)
				err = errors.Join(err,
					tx.Register().AddFamily(care.Family{ID: f, Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}),
					tx.Register().AddPerson(care.Person{ID: p, Family: f, Name: "P", Role: care.Parent}),
					tx.Register().AddDevice(care.Device{ID: d, Family: f, Person: p, Created: tx.Now}),
					tx.Access().AddCredential("token-"+id, register.Credential{Device: d, Created: tx.Now}))
			}
			return errors.Join(err, tx.Register().AddPerson(care.Person{ID: "c1", Name: "C", Role: care.Clinician}),
				tx.Register().AddPerson(care.Person{ID: "a1", Name: "A", Role: care.Administrator}),
				tx.Access().PutPasskey(register.Passkey{ID: "k", Person: "a1", Name: "K", Created: tx.Now}))
		})
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatal(err)
		}
		lost, err := scene.ZeroPage(path, bucket, "")
		if err != nil || len(lost) == 0 || len(lost) == 200 {
			t.Fatalf("%s: %d of 200 records lost, %v", bucket, len(lost), err)
		}
		want := fmt.Sprintf("staff without a passkey: 1; families of whom no phone is let in: %[1]d; phones and browsers that have lost what lets them in: %[1]d\n", len(lost))
		for _, args := range [][]string{{"repair", "-file", path, "-to", fixed}, {"restore", "-from", fixed, "-data", filepath.Join(dir, "data")}} {
			var said bytes.Buffer
			if err := app.Run(context.Background(), args, app.IO{Out: &said, Err: &said}); err != nil {
				t.Fatal(bucket, args[0], err)
			}
			if !strings.Contains(said.String(), want) || !strings.Contains(said.String(), "staff link") || !strings.Contains(said.String(), "invite the families anew") {
				t.Errorf("%s: %s says %q, want %q and what to do", bucket, args[0], said.String(), want)
			}
		}
	}
}
