package store_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// unreadVisit makes a file in which a visit of the first family is damaged, and meets it.
func unreadVisit(t *testing.T) (path string, db *store.DB) {
	t.Helper()
	path = scene.TwoFamilies(t)
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte("visits")).Put([]byte("quincely-wearer\x00quincely-visit"), []byte("not what was stored"))
	})
	db = scene.OpenAt(t, path)
	if n := len(db.Unreadable()); n != 0 {
		t.Errorf("%d records are unreadable before anybody looked", n)
	}
	meet(t, db)
	return path, db
}

func meet(t *testing.T, db *store.DB) {
	t.Helper()
	if err := db.View(func(tx *store.Tx) error {
		_, err := register.Visits[map[string]string](tx.Chart(), "quincely-wearer")
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

// unread are the records that a store says are unreadable.
func unread(db *store.DB) (out []string) {
	for _, u := range db.Unreadable() {
		out = append(out, u.Bucket+" "+u.Key)
	}
	return out
}

const theVisit = "visits quincely-wearer/quincely-visit"

// What could not be read is known after a restart, before anybody meets it again,
// with when it was first met; written anew it is off the list, after a restart too.
func TestUnreadableRecordsAreKnownAfterARestart(t *testing.T) {
	t.Parallel()
	path, db := unreadVisit(t)
	db.Close()
	later, err := store.Open(path, func() time.Time { return scene.Now.Add(time.Hour) })
	if err != nil {
		t.Fatal(err)
	}
	if u := later.Unreadable(); len(u) != 1 || u[0].Bucket+" "+u[0].Key != theVisit || !u[0].At.Equal(scene.Now) {
		t.Errorf("after a restart %+v, want %s since %v", u, theVisit, scene.Now)
	}
	err = later.Update(func(tx *store.Tx) error {
		return tx.Chart().PutVisit("quincely-wearer", "quincely-visit", map[string]string{"id": "quincely-visit"})
	})
	if err := errors.Join(err, later.Close()); err != nil {
		t.Fatal(err)
	}
	db = scene.OpenAt(t, path)
	defer db.Close()
	if u := unread(db); len(u) > 0 {
		t.Errorf("written anew, and after a restart still named: %v", u)
	}
}

// A server that is killed has written down what it met by its next mark.
func TestAMarkWritesDownWhatIsUnreadable(t *testing.T) {
	t.Parallel()
	path, db := unreadVisit(t)
	defer db.Close()
	if err := db.Mark(); err != nil {
		t.Fatal(err)
	}
	aside := filepath.Join(t.TempDir(), "as-it-was-killed.db")
	copyFile(t, path, aside)
	killed := scene.OpenAt(t, aside)
	defer killed.Close()
	if u := unread(killed); len(u) != 1 || u[0] != theVisit {
		t.Errorf("after a kill %v, want %s", u, theVisit)
	}
}

// An erased family leaves nothing in the list, and a backup that is checked takes off
// it what can be read again.
func TestTheListOfUnreadableRecordsIsTrue(t *testing.T) {
	t.Parallel()
	path, db := unreadVisit(t)
	if err := db.Backup(filepath.Join(t.TempDir(), "b.db")); !errors.As(err, &store.Lacking{}) {
		t.Fatal(err)
	}
	if u := unread(db); len(u) != 2 || u[1] != theVisit { // and its bucket, whose digest does not fit
		t.Errorf("after a backup %v, want %s once", u, theVisit)
	}
	err := db.Update(func(tx *store.Tx) error {
		_, err := tx.Archive().EraseFamily(care.FamilyID("quincely-family"), "")
		return err
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	if n := scene.Found(t, path, "quincely")["quarantine"]; n > 0 {
		t.Errorf("%d lines name the erased family", n)
	}
	path, db = unreadVisit(t)
	db.Close()
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte("visits")).Delete([]byte("quincely-wearer\x00quincely-visit"))
	})
	db = scene.OpenAt(t, path)
	defer db.Close()
	if u := unread(db); len(u) != 1 {
		t.Errorf("%v, want what was written down", u)
	}
	if err := db.Backup(filepath.Join(t.TempDir(), "b.db")); !errors.As(err, &store.Lacking{}) { // of its bucket's digest
		t.Fatal(err)
	}
	for _, u := range unread(db) {
		if u == theVisit {
			t.Error("what is no more is still named")
		}
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	raw, err := os.ReadFile(from)
	if err := errors.Join(err, os.WriteFile(to, raw, 0o600)); err != nil {
		t.Fatal(err)
	}
}

// A check of a file with a damaged page names it, and goes on: it still finds a
// record that was altered elsewhere.
func TestACheckGoesOnBehindADamage(t *testing.T) {
	t.Parallel()
	raw, _, _ := fiveFamilies(t)
	path := writeFile(t, raw)
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte("visits")).Put([]byte("quincely-wearer\x00quincely-visit"), []byte("not what was stored"))
	})
	if lost, err := scene.ZeroPage(path, "entries", "marrowby-family\x00"); err != nil || len(lost) == 0 {
		t.Fatalf("%d entries lost, %v", len(lost), err)
	}
	faults, err := store.CheckFile(path)
	if err != nil {
		t.Fatal(err)
	}
	said := errors.Join(faults...).Error()
	for _, want := range []string{"visits: quincely-wearer/quincely-visit cannot be read", "entries: a damaged part of the file", "the bucket holds"} {
		if !strings.Contains(said, want) {
			t.Errorf("the check does not say %q:\n%.2000s", want, said)
		}
	}
}

// A part of the file that is lost is named by who stands on both sides of it: so who
// looks knows of whom something is missing.
func TestALostPartIsNamedByBothSides(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	err := db.Update(func(tx *store.Tx) error {
		for n := range 300 {
			if err := tx.Register().AddFamily(care.Family{ID: care.FamilyID(fmt.Sprintf("family-%03d", n)), Name: "a name of a usual length"}); err != nil {
				return err
			}
		}
		return nil
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	lost, err := scene.ZeroPage(path, "families", "family-150")
	if err != nil || len(lost) == 0 {
		t.Fatalf("%d lost, %v", len(lost), err)
	}
	db = scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error { _, err := tx.Register().Families(); return err })
	number := func(key string) (n int) { _, _ = fmt.Sscanf(key, "family-%d", &n); return n }
	want := fmt.Sprintf("a damaged part of the file after family-%03d before family-%03d", number(lost[0])-1, number(lost[len(lost)-1])+1)
	for _, u := range db.Unreadable() {
		if u.Bucket == "families" && u.Key == want {
			return
		}
	}
	t.Errorf("named: %v; want %q", db.Unreadable(), want)
}
