package store

import (
	"errors"
	"slices"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/pairs"
)

// incident notes that a transaction met a damaged part of the file: that is an incident
// which people are told of, and the request that met it fails alone.
func (db *DB) incident(err error) error {
	if !errors.Is(err, kv.ErrDamaged) {
		return err
	}
	db.memory.Quarantine.Add(damagedPart, pairs.Unreadable{Bucket: damagedPart, Key: "a page", Why: err.Error(), At: db.now().UTC()})
	return err
}

// damagedPart stands for pages of the file, which are of no one bucket.
const damagedPart = "(damaged file)"

// Unreadable returns every record that could not be read since the store was
// opened, by bucket and key.
func (db *DB) Unreadable() []pairs.Unreadable { return db.memory.Quarantine.List() }

// rememberUnreadable remembers what a check of a copy could not read, so that whoever looks is
// told of it.
func (db *DB) rememberUnreadable(faults []error) {
	for _, f := range faults {
		var u pairs.Unreadable
		if errors.As(f, &u) {
			db.memory.Quarantine.Add(u.Bucket+"\x00"+u.Key, u)
		}
	}
}

// beyondReading returns the faults that are more than a record set aside.
func beyondReading(faults []error) []error {
	return slices.DeleteFunc(slices.Clone(faults), func(err error) bool {
		return errors.As(err, &pairs.Unreadable{}) || errors.As(err, &archive.Leftover{})
	})
}
