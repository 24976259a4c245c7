package bolt_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
)

// With any page of a file zeroed, also of its list of buckets, setting buckets apart
// ends in an answer, and in the end of no process.
func TestSettingApartOnADamagedListOfBuckets(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	names := make([]string, 200) // more than a page of the list takes
	for i := range names {
		names[i] = fmt.Sprintf("bucket with a long name %03d", i)
	}
	whole := open(t, path, bolt.Options{})
	err := whole.Update(kv.Alone, func(tx kv.Tx) (err error) {
		for _, name := range names {
			err = errors.Join(err, tx.Put(name, []byte("k"), []byte("v")))
		}
		return err
	})
	if err := errors.Join(err, whole.Close()); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	page, refused := os.Getpagesize(), 0
	for at := 2 * page; at < len(raw) && at < 64*page; at += page {
		broken := append([]byte{}, raw...)
		clear(broken[at : at+page])
		if err := os.WriteFile(path, broken, 0o600); err != nil {
			t.Fatal(err)
		}
		db, err := bolt.Open(path, bolt.Options{})
		if err != nil {
			continue
		}
		err = db.SetApart([]string{names[0], names[100], names[199]}, func(kv.Tx) error { return nil })
		if errors.Is(err, kv.ErrDamaged) {
			refused++
		} else if err != nil {
			t.Errorf("page at %d: %v, want damaged", at, err)
		}
		db.Close()
	}
	if refused < 3 {
		t.Errorf("%d pages of the list of buckets were damaged, so the test shows little", refused)
	}
}
