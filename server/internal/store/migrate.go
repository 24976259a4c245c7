package store

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Layout is the number of the newest file layout this program writes.
const Layout = 6

// plainLayout is the last layout whose values have no content sum.
const plainLayout = 5

// migrations[i] brings a file from layout i to i+1, up to [plainLayout], inside
// one transaction. They are never edited once shipped; each has a fixture from
// before it.
var migrations = []func(*Tx) error{
	firstEpoch,
	func(tx *Tx) error {
		return tx.audit.SealAudit(func(who care.PersonID, device care.DeviceID, version string, at time.Time) error {
			return tx.access.PutConsent(register.Consent{Person: who, Device: device, Version: version, At: at})
		})
	},
	func(tx *Tx) error { return tx.log.IndexReferences() },
	func(tx *Tx) error { return tx.log.IndexNights() },
	func(tx *Tx) error { return tx.log.JoinHeads() },
}

// sixth are the steps of layout 6 beside the content sums: they run once every
// value has one, in the transaction that makes the file one of layout 6, and for a
// new file too.
var sixth = []func(*Tx) error{wearStart, func(tx *Tx) error { return tx.access.RevokeLeft() }}

// firstEpoch brings layout 1. Buckets come with their first pair.
func firstEpoch(tx *Tx) error { return tx.pairs.Put("meta", []byte("epoch"), pairs.Quote(rand.Text())) }

// layoutOf returns the layout of what an engine holds, 0 for nothing yet.
func layoutOf(tx kv.Tx) (have int, err error) {
	if len(tx.Buckets()) == 0 {
		return 0, nil
	}
	if err := json.Unmarshal(tx.Get("meta", []byte(pairs.LayoutKey)), &have); err != nil {
		return 0, fmt.Errorf("%w: it does not say of which layout it is", kv.ErrNoFile)
	}
	return have, nil
}

// reading gives a transaction on a file of any layout.
func reading(k kv.Tx) *Tx {
	have, _ := layoutOf(k) // nothing can be read where it cannot
	return bare(k, time.Time{}, have <= plainLayout)
}

// migrate runs the missing steps and refuses a file from a later program. A file
// with data in it is copied beside itself first. Whenever it is cut off, the file
// has the layout it says, and the next opening goes on.
func (db *DB) migrate() error {
	have := 0
	err := db.kv.View(func(k kv.Tx) (err error) { have, err = layoutOf(k); return err })
	switch {
	case err != nil:
		return err
	case have > Layout:
		return care.Errorf(care.Unavailable, "newer-layout",
			"this data file has layout %d and this program reads up to %d; run the newer program, or restore the backup made before the upgrade", have, Layout)
	case have == Layout:
		return nil
	case have == 0:
		return db.kv.Update(kv.Alone, func(k kv.Tx) error {
			tx := bare(k, db.now(), false)
			if err := firstEpoch(tx); err != nil {
				return err
			}
			return tx.beSixth()
		})
	}
	kept := fmt.Sprintf("%s.layout-%d-%s", db.Path(), have, db.now().UTC().Format("20060102T150405Z"))
	if err := errors.Join(db.file.CopyTo(kept, func(time.Duration) {}), flush(kept)); err != nil {
		return fmt.Errorf("store: copy before the upgrade: %w", err)
	}
	if err := db.migratePlain(have); err != nil {
		return err
	}
	return db.addSums()
}

// migratePlain brings a file up to [plainLayout].
func (db *DB) migratePlain(have int) error {
	if have == plainLayout {
		return nil
	}
	return db.kv.Update(kv.Alone, func(k kv.Tx) error {
		for i := have; i < plainLayout; i++ {
			if err := migrations[i](bare(k, time.Time{}, true)); err != nil {
				return fmt.Errorf("store: migrate to layout %d: %w", i+1, err)
			}
		}
		return putLayout(k, plainLayout)
	})
}

// addSums brings layout 6: every value ends with its content sum, and every bucket
// has its digest. The file is written anew for it and takes the place of the old
// one when it is whole, so that the size of a transaction does not grow with the
// file.
func (db *DB) addSums() error {
	add := func(bucket string, k, v []byte) []byte {
		if bucket == "meta" && string(k) == pairs.LayoutKey {
			return v
		}
		stored, _ := pairs.WithSum(bucket, k, v)
		return stored
	}
	err := db.file.Renew(add, func(k kv.Tx) error {
		tx := bare(k, db.now(), false)
		if err := tx.pairs.CountDigests(); err != nil {
			return err
		}
		return tx.beSixth()
	})
	if err != nil {
		return fmt.Errorf("store: migrate to layout 6: %w", err)
	}
	return nil
}

// beSixth runs the steps of layout 6.
func (tx *Tx) beSixth() error {
	for _, step := range sixth {
		if err := step(tx); err != nil {
			return err
		}
	}
	return errors.Join(tx.log.Flush(), tx.pairs.PutDigests(), putLayout(tx.kv, Layout))
}

func putLayout(k kv.Tx, n int) error {
	return k.Put("meta", []byte(pairs.LayoutKey), []byte(strconv.Itoa(n)))
}
