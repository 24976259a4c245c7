package app_test

import (
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// A demo opens its data to anybody: it takes no folder of a practice and leaves
// it untouched, serve takes none of the demo's, and a second run of the demo
// finds the people of the first.
func TestTheDemoHasFoldersOfItsOwn(t *testing.T) {
	t.Parallel()
	quiet := slog.New(slog.NewTextHandler(io.Discard, nil))
	real := t.TempDir()
	db, err := store.Open(filepath.Join(real, "nightkeep.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	before, err := os.ReadFile(filepath.Join(real, "nightkeep.db"))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: real, Log: quiet, Dev: true}, evening); err == nil || !strings.Contains(err.Error(), "not made by a demo") {
		t.Errorf("a demo on a practice's folder: %v", err)
	}
	if after, err := os.ReadFile(filepath.Join(real, "nightkeep.db")); err != nil || string(after) != string(before) {
		t.Errorf("the practice's file was touched, or is gone: %v", err)
	}
	dir := t.TempDir()
	var people [2]int
	var seats [2]transport.Demo
	for i := range people {
		a, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Log: quiet, Dev: true}, evening)
		if err != nil {
			t.Fatal(err)
		}
		_ = a.DB.View(func(tx *store.Tx) error {
			all, err := tx.Register().Families()
			people[i] = len(all)
			return err
		})
		seats[i] = *a.Server.Demo
		if err := a.Stop(); err != nil {
			t.Fatal(err)
		}
	}
	if people[0] == 0 || people[0] != people[1] || seats[0]["parent"] != seats[1]["parent"] {
		t.Errorf("%d families at first and %d the second time; want the same, and the same links", people[0], people[1])
	}
	// A practice's file put into a demo's folder is opened to nobody.
	db, err = store.Open(filepath.Join(real, "nightkeep.db"), time.Now)
	if err == nil {
		err = errors.Join(db.Update(func(tx *store.Tx) error {
			return tx.Register().AddPerson(care.Person{ID: "c1", Name: "C", Role: care.Clinician})
		}), db.Close())
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(real, "nightkeep.demo"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: real, Log: quiet, Dev: true}, evening); err == nil || !strings.Contains(err.Error(), "the data of a practice") {
		t.Errorf("a demo on a practice's file in a demo's folder: %v", err)
	}
	// Nor does a restore put one there; the demo's file stays as it is.
	backup := filepath.Join(t.TempDir(), "b.db")
	command(t, "backup", "-data", real, "-to", backup)
	demos, err := os.ReadFile(filepath.Join(dir, "nightkeep.db"))
	if err != nil {
		t.Fatal(err)
	}
	for _, flags := range [][]string{{}, {"-rehearsal"}} {
		args := append([]string{"restore", "-from", backup, "-data", dir}, flags...)
		if _, err := run(args...); err == nil || !strings.Contains(err.Error(), "is a demo's") {
			t.Errorf("%v: %v, want it refused", args, err)
		}
	}
	if after, err := os.ReadFile(filepath.Join(dir, "nightkeep.db")); err != nil || string(after) != string(demos) {
		t.Errorf("the demo's file was touched: %v", err)
	}
	// Also the file alone, copied elsewhere.
	copied := t.TempDir()
	raw, err := os.ReadFile(filepath.Join(dir, "nightkeep.db"))
	if err == nil {
		err = os.WriteFile(filepath.Join(copied, "nightkeep.db"), raw, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []string{dir, copied} {
		a, err := app.New(app.Options{Addr: "127.0.0.1:0", DataDir: d, Log: quiet, Dev: true})
		if err == nil {
			_ = a.Stop()
		}
		if err == nil || !strings.Contains(err.Error(), "data of a demo") {
			t.Errorf("serve on a demo's file: %v", err)
		}
	}
	restoredToNoPractice(t, filepath.Join(copied, "nightkeep.db"), real, "demo")
	// In a rehearsal, which nothing leaves, a backup of it may be looked at.
	looked := t.TempDir()
	command(t, "restore", "-rehearsal", "-from", filepath.Join(copied, "nightkeep.db"), "-data", looked)
	a, err := app.New(app.Options{Addr: "127.0.0.1:0", DataDir: looked, Log: quiet, Dev: true, Rehearsal: true})
	if err != nil {
		t.Fatalf("a rehearsal of a demo's file: %v", err)
	}
	if err := a.Stop(); err != nil {
		t.Fatal(err)
	}
	restoredToNoPractice(t, filepath.Join(looked, "nightkeep.db"), real, "demo")
}

// restoredToNoPractice fails when a backup is put into a practice's folder, or a new one.
func restoredToNoPractice(t *testing.T, backup, practice, of string) {
	t.Helper()
	mine := t.TempDir()
	raw, err := os.ReadFile(filepath.Join(practice, "nightkeep.db"))
	if err == nil {
		err = os.WriteFile(filepath.Join(mine, "nightkeep.db"), raw, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	fresh := filepath.Join(t.TempDir(), "new")
	for _, dir := range []string{mine, fresh} {
		var usage app.UsageError // for which the program exits 2
		if _, err := run("restore", "-from", backup, "-data", dir); !errors.As(err, &usage) || !strings.Contains(err.Error(), "of a "+of) {
			t.Errorf("restore into %s: %v, want it refused as one of a %s", dir, err, of)
		}
	}
	held, err := os.ReadDir(mine)
	after, errRead := os.ReadFile(filepath.Join(mine, "nightkeep.db"))
	if err := errors.Join(err, errRead); err != nil || len(held) != 1 || string(after) != string(raw) {
		t.Errorf("the practice's folder was touched: %v, %v", held, err)
	}
	if _, err := os.Stat(fresh); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a refused restore made a folder: %v", err)
	}
}
