package store

import (
	"crypto/rand"
	"encoding/json"
	"fmt"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
)

// Layout is the number of the newest file layout this program writes.
const Layout = 1

// migrations[i] brings a file from layout i to i+1, inside one transaction.
// They are never edited once shipped; each has a fixture from before it.
var migrations = []func(*bbolt.Tx) error{
	createBuckets,
}

func createBuckets(tx *bbolt.Tx) error {
	for _, name := range buckets {
		if _, err := tx.CreateBucketIfNotExists([]byte(name)); err != nil {
			return err
		}
	}
	return tx.Bucket([]byte("meta")).Put([]byte("epoch"), quote(rand.Text()))
}

func quote(s string) []byte {
	raw, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string always marshals
	}
	return raw
}

// migrate runs the missing steps in one transaction and refuses a file from a
// later program.
func (db *DB) migrate() error {
	return db.bolt.Update(func(tx *bbolt.Tx) error {
		have := 0
		if m := tx.Bucket([]byte("meta")); m != nil {
			if err := json.Unmarshal(m.Get([]byte("layout")), &have); err != nil {
				return fmt.Errorf("store: read layout: %w", err)
			}
		}
		if have > Layout {
			return care.Errorf(care.Unavailable, "newer-layout",
				"this data file has layout %d and this program reads up to %d; run the newer program, or restore the backup made before the upgrade", have, Layout)
		}
		for i := have; i < Layout; i++ {
			if err := migrations[i](tx); err != nil {
				return fmt.Errorf("store: migrate to layout %d: %w", i+1, err)
			}
		}
		raw, err := json.Marshal(Layout)
		if err != nil {
			return err
		}
		return tx.Bucket([]byte("meta")).Put([]byte("layout"), raw)
	})
}

// Setting reads a named JSON value of the practice into v. A missing name
// leaves v as it is.
func (tx *Tx) Setting(name string, v any) error {
	raw := tx.bolt.Bucket([]byte("meta")).Get([]byte(name))
	if raw == nil {
		return nil
	}
	return json.Unmarshal(raw, v)
}

// SetSetting stores a named JSON value.
func (tx *Tx) SetSetting(name string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return meta.put(tx, []byte(name), raw)
}

// Epoch names this life of the log. A restore from backup starts a new one, so
// that devices offer again what the backup did not hold.
func (tx *Tx) Epoch() (string, error) {
	var s string
	err := tx.Setting("epoch", &s)
	return s, err
}

// NewEpoch starts a new life of the log.
func (tx *Tx) NewEpoch() error { return tx.SetSetting("epoch", rand.Text()) }
