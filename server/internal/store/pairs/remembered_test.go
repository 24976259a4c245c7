package pairs_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/pairs"
)

var now = time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)

// base opens a file and returns what runs a function in a transaction of it that
// remembers.
func base(t *testing.T) (write, read func(func(*pairs.Tx))) {
	t.Helper()
	db, err := bolt.Open(filepath.Join(t.TempDir(), "n.db"), bolt.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	memory := &pairs.Memory{}
	run := func(in func(func(kv.Tx) error) error) func(func(*pairs.Tx)) {
		return func(f func(*pairs.Tx)) {
			t.Helper()
			if err := in(func(k kv.Tx) error { f(pairs.New(k, memory, now)); return nil }); err != nil {
				t.Fatal(err)
			}
		}
	}
	return run(func(f func(kv.Tx) error) error { return db.Update(kv.Alone, f) }), run(db.View)
}

func done(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// The rule of remembered.go: whatever the lists of a practice show of a wearer is
// worked out anew after a write of it, and of nobody else.
func TestAWriteEndsWhatListsShow(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		bucket, value string
		key           []byte
		one, other    bool // whether what is known of w1 in f1, and of w2 in f2, still holds
	}{
		{"plans", "{}", pairs.Key("w1", uint64(1)), false, true},
		{"visits", "{}", pairs.Key("w1", "v"), false, true},
		{"followups", "{}", pairs.Key("w1", "silent"), false, true},
		{"nights", "x", pairs.Key("w1", "2026-03-28"), false, true},
		{"alerts", `{"id":"a","wearer":"w1"}`, pairs.Key("a"), false, true},
		{"wearers", "{}", pairs.Key("w1"), false, true},
		{"families", "{}", pairs.Key("f1"), false, true},
		{"family_devices", "", pairs.Key("f1", "d"), false, true},
		{"people", `{"id":"c1","role":"clinician"}`, pairs.Key("c1"), false, false},
		{"people", `{"id":"p1","role":"guardian"}`, pairs.Key("p1"), true, true},
		{"devices", "{}", pairs.Key("d"), true, true}, // it was heard of again
		{"audit", "{}", pairs.Key(uint64(1)), true, true},
	} {
		write, read := base(t)
		write(func(tx *pairs.Tx) { done(t, tx.Put("meta", []byte("x"), []byte("1"))) })
		since := 0
		read(func(tx *pairs.Tx) { since = tx.Serial() })
		write(func(tx *pairs.Tx) { done(t, tx.Put(tt.bucket, tt.key, []byte(tt.value))) })
		read(func(tx *pairs.Tx) {
			one, other := tx.Unchanged(since, "w1", "f1"), tx.Unchanged(since, "w2", "f2")
			if one != tt.one || other != tt.other {
				t.Errorf("%s: unchanged %t for the wearer, %t for another; want %t, %t",
					tt.bucket, one, other, tt.one, tt.other)
			}
			since = tx.Serial()
		})
		write(func(tx *pairs.Tx) { done(t, tx.Delete(tt.bucket, tt.key)) })
		read(func(tx *pairs.Tx) {
			if !tt.one && tx.Unchanged(since, "w1", "f1") {
				t.Errorf("%s: taken out, and what is known of the wearer is said to hold", tt.bucket)
			}
		})
	}
}

// What a transaction has worked out from a bucket holds until that bucket is
// written, and a record is quarantined until it is.
func TestAWriteEndsWhatATransactionKeeps(t *testing.T) {
	t.Parallel()
	write, _ := base(t)
	write(func(tx *pairs.Tx) {
		if n := tx.Writes("refs", "entries"); n != 0 {
			t.Errorf("%d writes of a transaction that wrote nothing", n)
		}
		done(t, tx.Put("entries", []byte("k"), nil))
		done(t, tx.Put("nights", []byte("k"), nil))
		if n := tx.Writes("refs", "entries"); n != 1 {
			t.Errorf("%d writes, want 1", n)
		}
		done(t, tx.Delete("entries", []byte("k")))
		done(t, tx.Delete("entries", []byte("k"))) // is not there
		if n := tx.Writes("refs", "entries"); n != 2 {
			t.Errorf("%d writes, want 2", n)
		}
	})
	memory := &pairs.Memory{}
	db, err := bolt.Open(filepath.Join(t.TempDir(), "q.db"), bolt.Options{})
	done(t, err)
	defer db.Close()
	done(t, db.Update(kv.Alone, func(k kv.Tx) error {
		tx := pairs.New(k, memory, now)
		for _, key := range []string{"a", "b", "c"} {
			done(t, tx.Put("visits", []byte(key), []byte("{")))
			tx.Quarantine("visits", []byte(key), errors.New("no JSON"))
		}
		return errors.Join(tx.Put("visits", []byte("a"), []byte("{}")), tx.Delete("visits", []byte("b")))
	}))
	if list := memory.Quarantine.List(); len(list) != 1 || list[0].Key != "63" && list[0].Key != "c" {
		t.Errorf("quarantined %v, want c alone: a was written anew and b taken out", list)
	}
}
