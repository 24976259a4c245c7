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
	var d kv.Damaged
	if errors.As(err, &d) {
		if mendable(err) {
			db.hurt.Store(true)
		}
		db.memory.Quarantine.Damaged(d.Bucket, "", err, db.now().UTC())
	}
	return err
}

// keepQuarantine stores what could not be read, so that a restart forgets none of it.
func (db *DB) keepQuarantine() error {
	return db.memory.Quarantine.Save(func(f func(*pairs.Tx) error) error {
		return db.Update(func(tx *Tx) error { return f(tx.pairs) })
	})
}

// Unreadable returns every record that is known to be unreadable, by bucket and
// key; also those met before a restart.
func (db *DB) Unreadable() []pairs.Unreadable { return db.memory.Quarantine.List() }

// rememberUnreadable takes over what a check of a whole copy could not read: whoever
// looks is told of it, and of nothing that can be read again.
func (db *DB) rememberUnreadable(faults []error) { db.memory.Quarantine.Found(unreadable(faults)) }

// unreadable returns which of the faults are records that cannot be read.
func unreadable(faults []error) (found []pairs.Unreadable) {
	for _, f := range faults {
		var u pairs.Unreadable
		if errors.As(f, &u) {
			found = append(found, u)
		}
	}
	return found
}

// IsUnreadable reports whether something failed because what is stored cannot be
// read: no fault of the disk's room.
func IsUnreadable(err error) bool {
	return errors.Is(err, kv.ErrDamaged) || errors.Is(err, kv.ErrNoFile) || errors.Is(err, pairs.ErrUnreadable)
}

// beyondReading returns the faults that are more than a record set aside.
func beyondReading(faults []error) []error {
	return slices.DeleteFunc(slices.Clone(faults), func(err error) bool {
		return errors.As(err, &pairs.Unreadable{}) || errors.As(err, &archive.Leftover{})
	})
}
