package store_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/storetest"
)

// bolt is the store as an engine of the suite.
type bolt struct {
	t  *testing.T
	db *store.DB
}

func (b *bolt) Write(f func(*store.Tx) error) error { return b.db.Write(f) }

func (b *bolt) View(f func(*store.Tx) error) error { return b.db.View(f) }

func (b *bolt) Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error) {
	return dispatch.Outbox{DB: b.db}.Lease(now, n, lease)
}

// Reopen opens a copy of what stands on the disk while the store is open, which
// is what a process that was killed leaves: the file, and an engine's journal
// beside it.
func (b *bolt) Reopen() error {
	to := b.t.TempDir()
	err := os.CopyFS(to, os.DirFS(filepath.Dir(b.db.Path())))
	if err != nil {
		return err
	}
	b.db, err = store.Open(filepath.Join(to, filepath.Base(b.db.Path())), func() time.Time { return storetest.Now })
	if err == nil {
		db := b.db
		b.t.Cleanup(func() { db.Close() })
	}
	return err
}

func TestBoltCarriesTheLog(t *testing.T) {
	t.Parallel()
	storetest.Run(t, func(t *testing.T) storetest.Engine {
		db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return storetest.Now })
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		return &bolt{t, db}
	})
}
