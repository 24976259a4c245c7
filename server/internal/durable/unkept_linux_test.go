package durable_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/durable"
)

// Until a file is kept, whatever ends the process leaves nothing of it to be read:
// it has no name. Kept, it has the one it was made for, and overwrites none.
func TestUnkeptFilesHaveNoName(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	to := filepath.Join(dir, "copy.db")
	f, err := durable.NewUnkept(to)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteString("of a family"); err != nil {
		t.Fatal(err)
	}
	if names, err := os.ReadDir(dir); err != nil || len(names) > 0 {
		t.Errorf("while it is written the folder holds %v, %v; want nothing", names, err)
	}
	if raw, err := os.ReadFile(f.Path()); err != nil || string(raw) != "of a family" {
		t.Errorf("by its path it reads %q, %v", raw, err)
	}
	if err := f.Keep(); err != nil {
		t.Fatal(err)
	}
	if raw, err := os.ReadFile(to); err != nil || string(raw) != "of a family" {
		t.Errorf("kept it reads %q, %v", raw, err)
	}
	again, err := durable.NewUnkept(to)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if err := again.Keep(); !errors.Is(err, fs.ErrExist) {
		t.Errorf("kept over another: %v, want that it exists", err)
	}
}
