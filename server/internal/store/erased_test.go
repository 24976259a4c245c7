package store_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// A family erased after a backup stays erased when that backup is restored, and
// nothing of it stands in a freed page of the file either, before any start: whoever
// takes the disk could read it there.
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
	raw, err := os.ReadFile(path)
	if err != nil || bytes.Contains(bytes.ToLower(raw), []byte("quincely")) || !bytes.Contains(bytes.ToLower(raw), []byte("marrowby")) {
		t.Errorf("the file names the erased family %d times, the other %d times: %v", bytes.Count(bytes.ToLower(raw), []byte("quincely")), bytes.Count(bytes.ToLower(raw), []byte("marrowby")), err)
	}
	if scene.Found(t, path, "marrowby")["families"] != 1 {
		t.Error("the other family did not come back")
	}
}
