package app_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// A file in which a family's record was altered is read into a new one, which says what is
// missing and can be restored; the damaged one stays as it is.
func TestRepairCommand(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	raw = bytes.ReplaceAll(raw, []byte("quincely-family name"), []byte("quincely-fAmily name"))
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	fixed := filepath.Join(dir, "fixed.db")
	var said bytes.Buffer
	run := func(args ...string) error {
		return app.Run(context.Background(), args, app.IO{Out: &said, Err: &said})
	}
	if err := run("repair", "-file", path, "-to", fixed); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(said.String(), "families: ") || !strings.Contains(said.String(), "does not fit its checksum") {
		t.Errorf("said %q, want the record that could not be read", said.String())
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, raw) {
		t.Errorf("the damaged file was touched: %v", err)
	}
	if err := run("restore", "-from", fixed, "-data", filepath.Join(dir, "data")); err != nil {
		t.Error(err)
	}
	db := scene.OpenAt(t, filepath.Join(dir, "data", "nightkeep.db"))
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		if last, _, err := tx.Log().Head("marrowby-family"); err != nil || last == 0 {
			t.Errorf("a log that was whole ends at %d, %v", last, err)
		}
		return nil
	})
	var usage app.UsageError
	if err := run("repair", "-file", path); !errors.As(err, &usage) {
		t.Errorf("repair without -to: %v, want what is accepted", err)
	}
}
