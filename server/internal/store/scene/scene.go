// Package scene sets the scenes that tests of the store are played in: a file, an
// entry, and invented families with something in every bucket. It is for tests only.
package scene

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
)

// Now is the time of every transaction of a scene.
var Now = time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)

// Open opens a new file, which is closed with the test.
func Open(t *testing.T) *store.DB {
	t.Helper()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return Now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// Entry makes a care entry of wearer w1 from device d1, number n; over changes it.
func Entry(n int, over func(*care.Entry)) *care.Entry {
	e := &care.Entry{
		ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%012d", n)), Wearer: "w1", Device: "d1", DSeq: uint64(n), Author: "p1",
		Kind: care.Care, Night: civil.MustDate("2026-03-28"), Wall: "2026-03-28T21:40:00", Zone: "Europe/Lisbon",
		HLC: fmt.Sprintf("1774734000%03d-0000", n), V: 1, Body: json.RawMessage(`{"rub":true}`),
	}
	if over != nil {
		over(e)
	}
	return e
}

// Append appends an entry to the log of family f1.
func Append(t *testing.T, db *store.DB, e *care.Entry) (out log.Stored) {
	t.Helper()
	if err := db.Update(func(tx *store.Tx) (err error) { out, err = tx.Log().Append("f1", e); return err }); err != nil {
		t.Fatal(err)
	}
	return out
}

// OpenAt opens the file at a path.
func OpenAt(t *testing.T, path string) *store.DB {
	t.Helper()
	db, err := store.Open(path, func() time.Time { return Now })
	if err != nil {
		t.Fatal(err)
	}
	return db
}
