package log_test

import (
	"bytes"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/forge"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/scene"
)

// A note whose text was altered in the file is not given out as what was written:
// its place is, and the rest of the log.
func TestAnAlteredNoteIsNotServed(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("entries"))
		k := append([]byte("quincely-family\x00"), 0, 0, 0, 0, 0, 0, 0, 1)
		v := b.Get(k)
		if !bytes.Contains(v, []byte("secret note")) {
			t.Fatalf("entry 1 is %q", v)
		}
		return b.Put(k, bytes.Replace(v, []byte("secret note"), []byte("other words"), 1))
	})
	db := scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		p, err := tx.Log().Page("quincely-family", 0, 100, 1<<20)
		if err != nil || len(p.Entries) != 3 || bytes.Contains(p.Entries[0], []byte("other words")) || !bytes.Contains(p.Entries[0], []byte(`"unreadable":true`)) {
			t.Errorf("page %s, %v; want the place of the first entry and the others whole", p.Entries, err)
		}
		if _, err := tx.Log().Entry("quincely-family", scene.Household{Mark: "quincely"}.EntryID(2)); err != nil {
			t.Errorf("the entry beside it: %v", err)
		}
		return nil
	})
	if u := db.Unreadable(); len(u) == 0 || u[0].Bucket != "entries" {
		t.Errorf("set aside: %v, want the entry", u)
	}
}

// A block of ids that is damaged is worked out again from the log: what a phone
// sends again is known, and nothing is stored twice.
func TestADamagedBlockOfIDsIsWorkedOutAgain(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("received"))
		k := append([]byte("quincely-family\x00"), 0, 0, 0, 0, 0, 0, 0, 0)
		v := bytes.Clone(b.Get(k))
		v[20] ^= 1
		return b.Put(k, v)
	})
	db := scene.OpenAt(t, path)
	defer db.Close()
	h := scene.Household{Mark: "quincely"}
	err := db.Update(func(tx *store.Tx) error {
		second := h.Entry(2, func(e *care.Entry) { e.Kind, e.Body = care.Note, []byte(`{"text":"other"}`) })
		if got, err := tx.Log().Append("quincely-family", second); err != nil || got != log.Taken {
			t.Errorf("an id that is there: %v, %v; want it known", got, err)
		}
		if got, err := tx.Log().Append("quincely-family", h.Entry(9, nil)); err != nil || got != log.Added {
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

// A night's record that says other things than its entries, though every sum fits, is
// named by a check: rules read the record alone.
func TestACheckHoldsNightsAgainstTheirEntries(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("nights"))
		k, v := b.Cursor().First()
		v = bytes.Clone(v)
		v[0] ^= 1 // whether an entry about supplies is live
		return b.Put(k, v)
	})
	if err := forge.Reseal(path); err != nil {
		t.Fatal(err)
	}
	faults, err := store.CheckFile(path)
	if err != nil || len(faults) != 1 || !strings.Contains(faults[0].Error(), "the record differs from its entries") {
		t.Errorf("a check says %v, %v; want the night's record", faults, err)
	}
}
