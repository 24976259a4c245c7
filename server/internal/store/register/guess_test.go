package register_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// BenchmarkRefusedSecret is the work that a refused secret costs, by how it is
// no good: one that never was, one that has run out, one that was taken back. What
// a guess could learn from the time is the difference: a few microseconds of a
// request, and only about a secret that was good once.
//
//	go test ./server/internal/store -run '^$' -bench RefusedSecret
func BenchmarkRefusedSecret(b *testing.B) {
	db, err := store.Open(filepath.Join(b.TempDir(), "n.db"), func() time.Time { return scene.Now })
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	err = db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "k1", Name: "K", Role: care.Desk}),
			tx.Register().AddDevice(care.Device{ID: "dk", Person: "k1", Created: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dr", Person: "k1", Created: tx.Now, Revoked: true}),
			tx.Access().AddCredential("run out", register.Credential{Device: "dk", Created: tx.Now, Expires: tx.Now.Add(-time.Hour)}),
			tx.Access().AddCredential("taken back", register.Credential{Device: "dr", Created: tx.Now}),
			tx.Access().Invite("run out", register.Invitation{Person: "k1", Created: tx.Now, Expires: tx.Now.Add(-time.Hour)}),
			tx.Access().Invite("taken back", register.Invitation{Person: "k1", Created: tx.Now, Expires: tx.Now.Add(time.Hour), Revoked: true}),
			tx.Access().SetCalendar("taken back", register.Calendar{Family: "f1", Created: tx.Now}), tx.Access().DropCalendar("f1"),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	for _, kind := range []struct {
		name string
		try  func(tx *store.Tx, secret string) error
	}{
		{"credential", func(tx *store.Tx, secret string) error { _, err := tx.Access().CallerOf(secret, false); return err }},
		{"code", func(tx *store.Tx, secret string) error { _, err := tx.Access().Redeem(secret); return err }},
		{"calendar", func(tx *store.Tx, secret string) error { _, err := tx.Access().CalendarAt(secret); return err }},
	} {
		for _, secret := range []string{"never was", "run out", "taken back"} {
			if kind.name == "calendar" && secret == "run out" {
				continue // an address does not
			}
			b.Run(kind.name+"/"+secret, func(b *testing.B) {
				err := db.View(func(tx *store.Tx) error {
					for b.Loop() {
						if kind.try(tx, secret) == nil {
							b.Fatal("it was taken")
						}
					}
					return nil
				})
				if err != nil {
					b.Fatal(err)
				}
			})
		}
	}
}
