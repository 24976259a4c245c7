package bolt_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
)

// With one leaf page zeroed a walk around it finds every pair of all other pages, in
// order, says between which keys something is missing, and the transaction goes on
// to write. What the page held is counted in its bytes.
func TestAWalkGoesRoundADamagedPage(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(thousand(t))
	if err != nil {
		t.Fatal(err)
	}
	page, tried := os.Getpagesize(), 0
	path := filepath.Join(t.TempDir(), "broken.db")
	for at := 2 * page; at < len(raw); at += page {
		held := bytes.Count(raw[at:at+page], []byte("key "))
		if leaf := raw[at+8] == 2; !leaf || held == 0 {
			continue
		}
		broken := bytes.Clone(raw)
		clear(broken[at : at+page])
		if err := os.WriteFile(path, broken, 0o600); err != nil {
			t.Fatal(err)
		}
		db := open(t, path, bolt.Options{})
		var found [][]byte
		lost := 0
		around := func(tx kv.Tx) error {
			found, lost = nil, 0
			for k := range kv.Around(tx, "b", func(after, before []byte, why error) {
				if lost++; !errors.Is(why, kv.ErrDamaged) || before != nil && bytes.Compare(after, before) >= 0 {
					t.Errorf("page at %d: lost between %q and %q: %v", at, after, before, why)
				}
			}) {
				if n := len(found); n > 0 && bytes.Compare(found[n-1], k) >= 0 {
					t.Errorf("page at %d: %q after %q", at, k, found[n-1])
				}
				found = append(found, bytes.Clone(k))
			}
			var d kv.Damaged
			if err := tx.Try(func() error {
				for range tx.Ascend("b", nil) {
				}
				return nil
			}); !errors.As(err, &d) || d.Bucket != "b" {
				t.Errorf("page at %d: a plain walk says %v, want damaged in b", at, err)
			}
			return nil
		}
		if err := db.View(around); err != nil || len(found) == 0 {
			if held < 1000 { // a page of the whole tree, given up since
				t.Errorf("page at %d: %d found, %v", at, len(found), err)
			}
		}
		if lost == 0 {
			db.Close()
			continue // given up before
		}
		tried++
		if want := 1000 - held; len(found) != want || lost != 1 {
			t.Errorf("page at %d: %d pairs found and %d parts lost, want %d and 1", at, len(found), lost, want)
		}
		err := db.Update(kv.Alone, func(tx kv.Tx) error { return errors.Join(around(tx), tx.Put("c", []byte("k"), []byte("v"))) })
		if err != nil || len(found) != 1000-held {
			t.Errorf("page at %d: in a write %d found, %v", at, len(found), err)
		}
		db.Close()
	}
	if tried < 20 {
		t.Errorf("%d pages tried, so the test shows little", tried)
	}
}

// In a file whose pages were cut in the middle keys are zeros: a walk ends, in order,
// and hands on none of them.
func TestAWalkEndsWhereKeysAreTorn(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(thousand(t))
	if err != nil {
		t.Fatal(err)
	}
	page, torn := os.Getpagesize(), 0
	for at := 2 * page; at+page <= len(raw); at += page {
		if raw[at+8] != 2 || !bytes.Contains(raw[at:at+page], []byte("key ")) {
			continue
		}
		first := bytes.Index(raw[at:at+page], []byte("key "))
		clear(raw[at+first+len("key 0000") : at+page]) // all but the first key
		torn++
	}
	path := filepath.Join(t.TempDir(), "torn.db")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	db := open(t, path, bolt.Options{ReadOnly: true})
	found := 0
	err = db.View(func(tx kv.Tx) error {
		var last []byte
		for k := range kv.Around(tx, "b", func(_, _ []byte, _ error) {}) {
			if found++; found > 1000 || bytes.Compare(k, last) <= 0 || !bytes.HasPrefix(k, []byte("key ")) {
				t.Fatalf("pair %d is %q after %q", found, k, last)
			}
			last = bytes.Clone(k)
		}
		return nil
	})
	if err != nil || found < 10 || torn < 70 {
		t.Errorf("%d keys found in %d torn pages, %v", found, torn, err)
	}
}
