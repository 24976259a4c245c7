package store_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
)

// A byte changed in any stored value, and a pair taken out of any bucket, is
// found by the check, which names the bucket.
func TestEveryChangeIsNoticed(t *testing.T) {
	t.Parallel()
	for _, b := range pairs.Buckets {
		bucket := b.Name
		for what, change := range map[string]func(b *bbolt.Bucket, k, v []byte) error{
			"altered": func(b *bbolt.Bucket, k, v []byte) error {
				v[len(v)/2] ^= 1
				return b.Put(k, v)
			},
			"taken out": func(b *bbolt.Bucket, k, _ []byte) error { return b.Delete(k) },
		} {
			path := twoFamilies(t)
			there := false
			damage(t, path, func(tx *bbolt.Tx) error {
				b := tx.Bucket([]byte(bucket))
				if b == nil {
					return nil
				}
				k, v := b.Cursor().First()
				if there = k != nil; !there {
					return nil
				}
				return change(b, bytes.Clone(k), bytes.Clone(v))
			})
			if !there {
				if bucket != "passkeys" && bucket != "tombstones" && bucket != "quarantine" && bucket != "wear" {
					t.Errorf("%s: nothing in it, so the test shows nothing", bucket)
				}
				continue
			}
			faults, err := store.CheckFile(path)
			named := false
			for _, f := range faults {
				named = named || strings.Contains(f.Error(), bucket)
			}
			if err != nil || !named {
				t.Errorf("%s, a pair %s: %v, %v; want it named", bucket, what, faults, err)
			}
		}
	}
}

// A note whose text was altered in the file is not given out as what was written:
// its place is, and the rest of the log.
func TestAnAlteredNoteIsNotServed(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("entries"))
		k := append([]byte("quincely-family\x00"), 0, 0, 0, 0, 0, 0, 0, 1)
		v := b.Get(k)
		if !bytes.Contains(v, []byte("secret note")) {
			t.Fatalf("entry 1 is %q", v)
		}
		return b.Put(k, bytes.Replace(v, []byte("secret note"), []byte("other words"), 1))
	})
	db := openAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		p, err := tx.Log().Page("quincely-family", 0, 100, 1<<20)
		if err != nil || len(p.Entries) != 3 || bytes.Contains(p.Entries[0], []byte("other words")) || !bytes.Contains(p.Entries[0], []byte(`"unreadable":true`)) {
			t.Errorf("page %s, %v; want the place of the first entry and the others whole", p.Entries, err)
		}
		if _, err := tx.Log().Entry("quincely-family", household{mark: "quincely"}.entryID(2)); err != nil {
			t.Errorf("the entry beside it: %v", err)
		}
		return nil
	})
	if u := db.Unreadable(); len(u) == 0 || u[0].Bucket != "entries" {
		t.Errorf("set aside: %v, want the entry", u)
	}
}

// A backup is made beside a record that was altered, and the record is named from
// then on.
func TestABackupNamesWhatWasAltered(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	db := openAt(t, path)
	add(t, db, entry(1, nil))
	add(t, db, entry(2, nil))
	db.Close()
	damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("entries"))
		k, v := b.Cursor().First()
		return b.Put(bytes.Clone(k), bytes.Replace(v, []byte(`"author":"p1"`), []byte(`"author":"p2"`), 1))
	})
	db = openAt(t, path)
	defer db.Close()
	if err := db.Backup(filepath.Join(t.TempDir(), "b.db")); err != nil {
		t.Errorf("a backup beside it: %v", err)
	}
	if u := db.Unreadable(); len(u) != 1 || u[0].Bucket != "entries" {
		t.Errorf("set aside: %v, want the entry", u)
	}
}

// A block of ids that is damaged is worked out again from the log: what a phone
// sends again is known, and nothing is stored twice.
func TestADamagedBlockOfIDsIsWorkedOutAgain(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("received"))
		k := append([]byte("quincely-family\x00"), 0, 0, 0, 0, 0, 0, 0, 0)
		v := bytes.Clone(b.Get(k))
		v[20] ^= 1
		return b.Put(k, v)
	})
	db := openAt(t, path)
	defer db.Close()
	h := household{mark: "quincely"}
	err := db.Update(func(tx *store.Tx) error {
		second := h.entry(2, func(e *care.Entry) { e.Kind, e.Body = care.Note, []byte(`{"text":"other"}`) })
		if got, err := tx.Log().Append("quincely-family", second); err != nil || got != log.Taken {
			t.Errorf("an id that is there: %v, %v; want it known", got, err)
		}
		if got, err := tx.Log().Append("quincely-family", h.entry(9, nil)); err != nil || got != log.Added {
			t.Errorf("a new entry: %v, %v", got, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the next entry: %v, %v; want it mended", faults, err)
	}
}
