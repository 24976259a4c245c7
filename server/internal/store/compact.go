package store

import (
	"errors"
	"fmt"
	"time"

	"nightkeep/server/internal/kv"
)

// compact writes the file anew when something was erased from it since, because
// freed pages keep what stood in them until they are used again.
func (db *DB) compact() error {
	asked := false
	if err := db.View(func(tx *Tx) error { return tx.pairs.Setting("compact", &asked) }); err != nil || !asked {
		return err
	}
	err := db.file.Renew(nil, func(k kv.Tx) error {
		tx := bare(k, time.Time{}, false)
		return errors.Join(tx.pairs.Delete("meta", []byte("compact")), tx.pairs.PutDigests())
	})
	if err != nil {
		return fmt.Errorf("store: write the file anew after an erasure: %w", err)
	}
	return nil
}

// Size returns the size of the data file in bytes, free pages included.
func (db *DB) Size() int64 { return db.file.Size() }
