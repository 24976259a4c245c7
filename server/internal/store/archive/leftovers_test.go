package archive_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/forge"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// faultsOf checks a file, and returns what it says, in one text.
func faultsOf(t *testing.T, path string) string {
	t.Helper()
	faults, err := store.CheckFile(path)
	if err != nil {
		t.Fatal(err)
	}
	out := ""
	for _, f := range faults {
		out += f.Error() + "\n"
	}
	return out
}

// Whoever left has nothing open: each kind of thing by which somebody gets in or is
// reached is found where it remains, and so is what a device that is revoked is sent by.
func TestCheckFindsWhatOutlivesAPersonOrDevice(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*store.Tx) error
		want   []string
	}{
		{"somebody who left", func(tx *store.Tx) error {
			return tx.Register().ChangePerson("quincely-parent", func(p *care.Person) { p.Gone = true })
		}, []string{"devices", "credentials", "subscriptions", "invitations", "calendars", "passkeys"}},
		{"a device that is revoked", func(tx *store.Tx) error {
			return tx.Register().ChangeDevice("quincely-device", func(d *care.Device) { d.Revoked = true })
		}, []string{"subscriptions"}},
	} {
		path := scene.TwoFamilies(t)
		db := scene.OpenAt(t, path)
		if err := db.Update(func(tx *store.Tx) error {
			return tx.Access().PutPasskey(register.Passkey{ID: "k", Person: "quincely-parent", Credential: []byte(`{}`)})
		}); err != nil {
			t.Fatal(err)
		}
		if err := db.Update(c.change); err != nil {
			t.Fatal(err)
		}
		db.Close()
		said := faultsOf(t, path)
		for _, bucket := range c.want {
			if !strings.Contains(said, bucket+": ") {
				t.Errorf("%s: nothing is said of %s in\n%s", c.name, bucket, said)
			}
		}
	}
}

// A single pair of an erased family is found, whichever it is: each is put back by
// itself, as a fault or a hand would.
func TestCheckFindsWhatOutlivesAnErasure(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	of := map[string][2][]byte{} // of each bucket a pair of the family's
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		for _, b := range pairs.Buckets {
			bucket := tx.Bucket([]byte(b.Name))
			if bucket == nil || b.Name == "audit" || b.Name == pairs.DigestBucket || b.Name == "device_seqs" {
				continue // the lines stay and the ids go; digests are of whole buckets; a counter may be of a phone that was lost
			}
			err := bucket.ForEach(func(k, v []byte) error {
				if of[b.Name][0] == nil && bytes.Contains(append(bytes.Clone(k), v...), []byte("quincely")) {
					of[b.Name] = [2][]byte{bytes.Clone(k), bytes.Clone(v)}
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
	db := scene.OpenAt(t, path)
	if err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", "staff-1"); return err }); err != nil {
		t.Fatal(err)
	}
	db.Close()
	if said := faultsOf(t, path); said != "" {
		t.Fatalf("after the erasure: %s", said)
	}
	erased, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(of) < 30 {
		t.Fatalf("only %d buckets hold something of the family", len(of))
	}
	for bucket, pair := range of {
		t.Run(bucket, func(t *testing.T) {
			t.Parallel()
			again := filepath.Join(t.TempDir(), "n.db")
			if err := os.WriteFile(again, erased, 0o600); err != nil {
				t.Fatal(err)
			}
			scene.Damage(t, again, func(tx *bbolt.Tx) error { return tx.Bucket([]byte(bucket)).Put(pair[0], pair[1]) })
			if err := forge.Reseal(again); err != nil {
				t.Fatal(err)
			}
			if said := faultsOf(t, again); said == "" {
				t.Errorf("a pair of %s is not found: %q", bucket, pair[0])
			}
		})
	}
}
