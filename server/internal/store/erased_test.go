package store_test

import (
	"path/filepath"
	"testing"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// A family erased after a backup stays erased when that backup is restored.
func TestRestoreKeepsTheErasure(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := scene.OpenAt(t, path)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", ""); return err })
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := store.Restore(backup, path, scene.Now); err != nil {
		t.Fatal(err)
	}
	for bucket, n := range scene.Found(t, path, "quincely") {
		if n > 0 {
			t.Errorf("%s: %d pairs came back with the backup", bucket, n)
		}
	}
	if scene.Found(t, path, "marrowby")["families"] != 1 {
		t.Error("the other family did not come back")
	}
}
