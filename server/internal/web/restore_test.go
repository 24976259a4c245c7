package web_test

import (
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// The server is put back from a backup while the family's devices hold newer
// entries. After they have synced, every entry ever written is there, on the
// server and on every device, and every report has its alert. The devices
// meet the new life of the log over the same bad network.
func TestRestoreFromOlderBackup(t *testing.T) {
	t.Parallel()
	newer := 0
	for seed := range uint64(24) {
		w := newWorld(t)
		s := &schedule{world: w, t: t, seed: seed, rng: rand.New(rand.NewPCG(seed, 11)), written: map[care.EntryID]care.Entry{}}
		s.enrol()
		s.live(s.rng.IntN(25))
		backup := filepath.Join(t.TempDir(), "backup.db")
		if err := w.db.Backup(backup); err != nil {
			t.Fatal(err)
		}
		before := s.stored()
		s.live(5 + s.rng.IntN(25))
		if seed%2 == 0 {
			s.quiet() // everything was acknowledged, and the backup has none of it
		}
		newer += s.stored() - before
		w.restore(t, backup)
		if got := s.stored(); got != before {
			t.Errorf("seed %d: %d entries after the restore, want the backup's %d", seed, got, before)
		}
		s.live(s.rng.IntN(15))
		s.arrive()
		s.quiet()
		s.quiet() // the first rounds learn of the new life
		s.check()
		if faults, err := store.CheckFile(w.closed(t)); err != nil || len(faults) > 0 {
			t.Errorf("seed %d: the file is not sound: %v %v", seed, err, faults)
		}
		if t.Failed() {
			t.Fatalf("seed %d failed", seed)
		}
	}
	t.Logf("%d stored entries were newer than their backup", newer)
	if newer == 0 {
		t.Error("no stored entry was newer than its backup: nothing was tested")
	}
}

// stored returns how many entries the server has of the family.
func (s *schedule) stored() int {
	var n uint64
	err := s.db.View(func(tx *store.Tx) (err error) { n, _, err = tx.Head(s.family); return err })
	if err != nil {
		s.t.Fatal(err)
	}
	return int(n)
}

// restore puts the backup in place of the file, as the command does, and
// starts the handlers on it.
func (w *world) restore(t *testing.T, backup string) {
	t.Helper()
	path := w.closed(t)
	if kept, err := store.Restore(backup, path, simNow); err != nil || kept == "" {
		t.Fatalf("restore: kept %q, %v", kept, err)
	}
	db, err := store.Open(path, func() time.Time { return simNow })
	if err != nil {
		t.Fatal(err)
	}
	db.NoSync(true)
	t.Cleanup(func() { db.Close() })
	w.db, w.handler = db, testServer(db).App().Handler()
}

// closed closes the file and returns its path.
func (w *world) closed(t *testing.T) string {
	t.Helper()
	path := w.db.Path()
	if err := w.db.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}
