package app_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/seal"
	"nightkeep/server/internal/store"
)

// run runs a command and returns what it printed, and its error.
func run(args ...string) (string, error) {
	var out bytes.Buffer
	err := app.Run(context.Background(), args, app.IO{In: strings.NewReader(""), Out: &out, Err: io.Discard})
	return out.String(), err
}

// fails checks that a command refuses with a word.
func fails(t *testing.T, word string, args ...string) {
	t.Helper()
	if _, err := run(args...); err == nil || !strings.Contains(err.Error(), word) {
		t.Errorf("server %s: %v; want a refusal with %q", strings.Join(args, " "), err, word)
	}
}

// practiceFile makes a data file with one family and returns its folder.
func practiceFile(t *testing.T, name string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	db := openData(t, dir)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		return tx.Register().AddFamily(care.Family{ID: "f1", Name: name, Zone: "Europe/Lisbon", Created: tx.Now})
	})
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

func openData(t *testing.T, dir string) *store.DB {
	t.Helper()
	db, err := store.Open(filepath.Join(dir, "nightkeep.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func familyName(t *testing.T, dir string) string {
	t.Helper()
	db := openData(t, dir)
	defer db.Close()
	var f care.Family
	if err := db.View(func(tx *store.Tx) (err error) { f, err = tx.Register().Family("f1"); return err }); err != nil {
		t.Fatal(err)
	}
	return f.Name
}

func files(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	out := []string{}
	for _, f := range list {
		out = append(out, f.Name())
	}
	return out
}

// The drill: a practice makes a key, encrypts a backup, loses the machine and
// restores on another one. Without the key, with a wrong one, from a damaged
// file or onto a running server nothing changes, not even in part.
func TestEncryptedRestoreDrill(t *testing.T) {
	t.Parallel()
	dir, safe := practiceFile(t, "Quincely"), t.TempDir()
	key, other, copied := filepath.Join(safe, "key.txt"), filepath.Join(safe, "other.txt"), filepath.Join(safe, "copy.age")
	public, _, _ := strings.Cut(command(t, "backup", "-new-key", key), "\n")
	command(t, "backup", "-new-key", other)
	fails(t, "age1", "backup", "-data", dir, "-to", copied, "-recipient", "age1nobody")
	command(t, "backup", "-data", dir, "-to", copied, "-recipient", public)
	fails(t, "already", "backup", "-data", dir, "-to", copied, "-recipient", public)
	if raw, err := os.ReadFile(copied); err != nil || bytes.Contains(raw, []byte("Quincely")) {
		t.Errorf("the copy shows a name, %v", err)
	}
	if d := cmp.Diff([]string{"nightkeep.db"}, files(t, dir)); d != "" {
		t.Errorf("beside the data file (-want +got):\n%s", d)
	}
	command(t, "check", "-data", t.TempDir(), "-file", copied, "-identity", key)

	next := practiceFile(t, "Marrowby")
	damaged := filepath.Join(safe, "damaged.age")
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(damaged, raw[:len(raw)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	fails(t, "-identity", "restore", "-data", next, "-from", copied)
	fails(t, "another key", "restore", "-data", next, "-from", copied, "-identity", other)
	fails(t, "damaged", "restore", "-data", next, "-from", damaged, "-identity", key)
	fails(t, "another key", "check", "-data", next, "-file", copied, "-identity", other)
	running := openData(t, next)
	fails(t, "another process", "restore", "-data", next, "-from", copied, "-identity", key)
	running.Close()
	if d := cmp.Diff([]string{"nightkeep.db"}, files(t, next)); d != "" || familyName(t, next) != "Marrowby" {
		t.Errorf("after refusals the file is %s's, and beside it (-want +got):\n%s", familyName(t, next), d)
	}
	command(t, "restore", "-data", next, "-from", copied, "-identity", key)
	if got := familyName(t, next); got != "Quincely" {
		t.Errorf("restored %s, want Quincely", got)
	}
	if list := files(t, next); len(list) != 3 || !strings.Contains(list[1], ".before-") || list[2] != "nightkeep.db.mark" {
		t.Errorf("beside the restored file: %v; want only the one that was there, and the mark", list)
	}
	command(t, "check", "-data", next)
}

// A backup of a folder without a data file is refused, not made of nothing.
func TestBackupOfNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	fails(t, "there is no practice in", "backup", "-data", dir, "-to", filepath.Join(dir, "copy.db"))
	if list := files(t, dir); len(list) > 0 {
		t.Errorf("it left %v", list)
	}
}

// Scheduled backups are made beside one another, encrypted from when a key is
// set, and the oldest of both kinds go first; other files stay.
func TestScheduledBackups(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)
	a, err := app.New(app.Options{DataDir: t.TempDir(), Dev: true, Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	defer a.DB.Close()
	dir := t.TempDir()
	for _, name := range []string{"notes.txt", "nightkeep-20260327T220000Z.db.part"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	public, err := seal.NewKey(filepath.Join(t.TempDir(), "key.txt"))
	if err != nil {
		t.Fatal(err)
	}
	recipients, err := seal.Recipients(public)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 4 {
		cfg := config.Config{BackupDir: dir, BackupKeep: 3}
		if i >= 2 {
			cfg.BackupRecipients = recipients
		}
		if err := a.BackupOnce(cfg); err != nil {
			t.Fatal(err)
		}
		now = now.Add(24 * time.Hour)
	}
	want := []string{"nightkeep-20260329T220000Z.db", "nightkeep-20260330T220000Z.db.age", "nightkeep-20260331T220000Z.db.age", "notes.txt"}
	if d := cmp.Diff(want, files(t, dir)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

// A restart neither delays nor repeats a backup.
func TestUntilBackup(t *testing.T) {
	t.Parallel()
	now, day := time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC), 24*time.Hour
	for _, tc := range []struct {
		name   string
		newest time.Time
		want   time.Duration
	}{
		{"none yet", time.Time{}, 0},
		{"an hour ago", now.Add(-time.Hour), 23 * time.Hour},
		{"just due", now.Add(-day), 0},
		{"long overdue", now.Add(-40 * day), 0},
		{"from the future", now.Add(40 * day), day},
	} {
		if got := app.UntilBackup(tc.newest, now, day); got != tc.want {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}

// A backup in which one bit of the practice's record has turned is not put in place, for
// a rehearsal neither: the fault is named, and what was there stays. What repair makes of
// it is. A file that is damaged so is not called a full disk.
func TestADamagedBackupIsNotRestored(t *testing.T) {
	t.Parallel()
	dir, to := practiceFile(t, "Marrowby"), filepath.Join(t.TempDir(), "b.db")
	db := openData(t, practiceFile(t, "Quincely"))
	err := db.Update(func(tx *store.Tx) error {
		return tx.Register().PutPractice(care.Practice{Name: "Harbour Lane Lenses"})
	})
	if err := errors.Join(err, db.Backup(to), db.Close()); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(raw, []byte("Harbour Lane Lenses"))
	raw[at] ^= 1
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	empty := t.TempDir()
	fails(t, "meta: practice", "check", "-file", to)
	for _, want := range []string{"meta: practice", "nothing in " + dir + " was touched", "repair -file " + to + " -to "} {
		fails(t, want, "restore", "-data", dir, "-from", to)
	}
	fails(t, "meta: practice", "restore", "-rehearsal", "-data", empty, "-from", to)
	// A copy of a file with such a record is made and kept, and is not called sound.
	damaged := t.TempDir()
	if err := os.WriteFile(filepath.Join(damaged, "nightkeep.db"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	key := filepath.Join(t.TempDir(), "key.txt")
	public, _, _ := strings.Cut(command(t, "backup", "-new-key", key), "\n")
	for _, more := range [][]string{nil, {"-recipient", public}} {
		copied := filepath.Join(t.TempDir(), "copy.db")
		out, err := run(append([]string{"backup", "-data", damaged, "-to", copied}, more...)...)
		if err == nil || !strings.Contains(err.Error(), "meta: practice") || strings.Contains(out, "verified") || !strings.Contains(out, copied) {
			t.Errorf("a copy with a damaged record: %q, %v; want it made, named and an error", out, err)
		}
		if _, err := os.Stat(copied); err != nil {
			t.Errorf("the copy is not kept: %v", err)
		}
	}
	if d := cmp.Diff([]string{"nightkeep.db"}, files(t, dir)); d != "" || familyName(t, dir) != "Marrowby" || len(files(t, empty)) != 0 {
		t.Errorf("refused, and yet (-want +got):\n%s%v", d, files(t, empty))
	}
	if err := os.WriteFile(filepath.Join(empty, "nightkeep.db"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = run("serve", "-data", empty, "-addr", "127.0.0.1:0")
	if err == nil || strings.Contains(app.Plain(err), "disk") || !strings.Contains(app.Plain(err), "cannot be read: ") {
		t.Errorf("serve on the damaged file: %q, want that a record cannot be read", app.Plain(err))
	}
	mended := filepath.Join(t.TempDir(), "mended.db")
	command(t, "repair", "-file", to, "-to", mended)
	command(t, "restore", "-data", dir, "-from", mended)
	if got := familyName(t, dir); got != "Quincely" {
		t.Errorf("the repaired backup holds %s, want Quincely", got)
	}
}
