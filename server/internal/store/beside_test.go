package store_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/store"
)

// Whatever the store leaves in its folder is for the server's user alone, the copy of
// the settings with the keys too; and a backup is one file, which holds the settings.
func TestFilesBesideAreForTheServerAlone(t *testing.T) {
	t.Parallel()
	folder, kept := t.TempDir(), t.TempDir()
	now := func() time.Time { return time.Date(2026, 3, 29, 7, 0, 0, 0, time.UTC) }
	db, err := store.Open(filepath.Join(folder, "n.db"), now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	const key = "a key of an invented practice"
	if err := db.Update(func(tx *store.Tx) error { return tx.Register().SetSetting("vapid", key) }); err != nil {
		t.Fatal(err)
	}
	if err := db.Mark(); err != nil { // as each minute
		t.Fatal(err)
	}
	if err := db.Backup(filepath.Join(kept, "copy.db")); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{folder, kept} {
		list, err := os.ReadDir(path)
		if err != nil || len(list) == 0 {
			t.Fatal(list, err)
		}
		for _, f := range list {
			info, err := f.Info()
			if err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("%s: %v, %v; want it for its owner alone", f.Name(), info.Mode(), err)
			}
		}
	}
	if list, _ := os.ReadDir(kept); len(list) != 1 {
		t.Errorf("a backup left %d files, want one", len(list))
	}
	if raw, err := os.ReadFile(filepath.Join(folder, "n.db.settings")); err != nil || len(raw) == 0 {
		t.Errorf("no copy of the settings stands beside: %v", err)
	}
	raw, err := os.ReadFile(filepath.Join(kept, "copy.db"))
	if err != nil || !bytes.Contains(raw, []byte(key)) {
		t.Errorf("the backup lacks the key of the settings: %v", err)
	}
}
