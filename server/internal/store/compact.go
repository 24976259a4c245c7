package store

import (
	"errors"
	"fmt"
	"os"

	"go.etcd.io/bbolt"
)

// compactBatch bounds one write transaction of a compaction, in bytes.
const compactBatch = 1 << 20

// compact writes the file anew when something was erased from it since, because
// freed pages keep what stood in them until they are used again.
func (db *DB) compact() error {
	asked := false
	if err := db.View(func(tx *Tx) error { return tx.Setting("compact", &asked) }); err != nil || !asked {
		return err
	}
	path := db.Path()
	tmp := path + ".part"
	defer os.Remove(tmp)
	if err := rewrite(db.bolt, tmp); err != nil {
		return fmt.Errorf("store: write the file anew after an erasure: %w", err)
	}
	if err := db.bolt.Close(); err != nil {
		return err
	}
	if err := os.Rename(tmp, path); err != nil {
		return err
	}
	b, err := openFile(path)
	if err != nil {
		return err
	}
	db.bolt = b
	return nil
}

func rewrite(from *bbolt.DB, path string) error {
	to, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		return err
	}
	err = bbolt.Compact(to, from, compactBatch)
	if err == nil {
		err = to.Update(func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Delete([]byte("compact")) })
	}
	return errors.Join(err, to.Close())
}

// Size returns the size of the data file in bytes, free pages included.
func (db *DB) Size() (n int64) {
	_ = db.bolt.View(func(tx *bbolt.Tx) error { n = tx.Size(); return nil })
	return n
}
