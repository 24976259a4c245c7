package store_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/store"
)

func opened(t *testing.T, path string) *store.DB {
	t.Helper()
	db, err := store.Open(path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// named makes a data file with one family, so that files can be told apart.
func named(t *testing.T, path, family string) {
	t.Helper()
	db := opened(t, path)
	if err := db.Update(func(tx *store.Tx) error { return tx.Register().AddFamily(care.Family{ID: care.FamilyID(family)}) }); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

func holds(t *testing.T, path, family string) bool {
	t.Helper()
	db := opened(t, path)
	defer db.Close()
	return db.View(func(tx *store.Tx) error { _, err := tx.Register().Family(care.FamilyID(family)); return err }) == nil
}

// Two restores within one second keep both files that stood there.
func TestRestoresKeepEveryFile(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "n.db")
	at := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	named(t, path, "first")
	var kept []string
	for _, family := range []string{"second", "third", "fourth"} {
		backup := filepath.Join(dir, family)
		named(t, backup, family)
		old, err := store.Restore(backup, path, at)
		if err != nil {
			t.Fatal(err)
		}
		kept = append(kept, old)
	}
	for file, family := range map[string]string{kept[0]: "first", kept[1]: "second", kept[2]: "third", path: "fourth"} {
		if !holds(t, file, family) {
			t.Errorf("%s does not hold the family %s", filepath.Base(file), family)
		}
	}
}

// A practice is never begun anew where one stood: not with an empty file in place
// of its own, and not when its file is gone. A restore mends both.
func TestOpenNeverBeginsAnewWhereAPracticeStood(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "n.db"), filepath.Join(dir, "backup")
	named(t, backup, "f1")
	named(t, path, "f1")
	db := opened(t, path)
	if err := db.Mark(); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	refused := func(why string) {
		t.Helper()
		db, err := store.Open(path, time.Now)
		if err == nil {
			db.Close()
		}
		if err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("opened with %v, want a refusal that says %q", err, why)
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	refused("is gone")
	if _, err := store.Restore(backup, path, time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, 0); err != nil {
		t.Fatal(err)
	}
	refused("is empty")
	if _, err := store.Restore(backup, path, time.Now()); err != nil {
		t.Fatal(err)
	}
	if !holds(t, path, "f1") {
		t.Error("the practice is not back")
	}
	// Restored to a folder where nothing stood: also before its first start nobody
	// begins anew there, and the first start finds nothing older than it was.
	path = filepath.Join(t.TempDir(), "n.db")
	for range 2 { // the second over a file that was marked
		if _, err := store.Restore(backup, path, time.Now()); err != nil {
			t.Fatal(err)
		}
		db = opened(t, path)
		if back, err := db.WentBack(); back || err != nil {
			t.Errorf("just restored, and said to have gone back: %t, %v", back, err)
		}
		if err := errors.Join(db.Mark(), db.Mark(), db.Close()); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := store.Restore(backup, path, time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	refused("is gone")
}

// Restores at the same moment into one folder never meet: each is done whole or is
// refused in words, nothing hangs, and every file that stood there is kept. While one
// is at work nobody opens what is there.
func TestRestoresAtTheSameMoment(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, at := filepath.Join(dir, "data", "n.db"), time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	named(t, path, "first")
	var backups []string
	for n := range 8 {
		backups = append(backups, filepath.Join(dir, fmt.Sprint("of", n)))
		named(t, backups[n], fmt.Sprint("family", n))
	}
	errs, kept := make([]error, 8), make([]string, 8)
	var all sync.WaitGroup
	for n := range backups {
		all.Go(func() { kept[n], errs[n] = store.Restore(backups[n], path, at) })
	}
	all.Wait()
	done := map[string]bool{}
	for n, err := range errs {
		var said *care.Error
		switch {
		case err == nil:
			done[kept[n]] = true
		case !errors.As(err, &said) || said.Kind != care.Unavailable || !strings.Contains(said.Text, "restore is at work"):
			t.Errorf("restore %d: %v; want done, or that another is at work", n, err)
		}
	}
	old, err := filepath.Glob(path + ".before-*")
	if err != nil || len(done) == 0 || len(old) != len(done) {
		t.Errorf("%d restores done keep %v, %v", len(done), old, err)
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("what stands there is not sound: %v, %v", faults, err)
	}
	held, err := durable.LockFolder(filepath.Dir(path), true)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	if db, err := store.Open(path, time.Now); err == nil || !strings.Contains(err.Error(), "restore is at work") {
		t.Errorf("opened beside a restore: %v, %v", db, err)
	}
}
