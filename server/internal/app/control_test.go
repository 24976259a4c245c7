package app_test

import (
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/store"
)

// A practice adds staff and makes a backup without stopping its server; what
// changes more than that still needs it stopped, and says so.
func TestCommandsBesideARunningServer(t *testing.T) {
	t.Parallel()
	dir, safe := practiceFile(t, "Quincely"), t.TempDir()
	a, err := app.New(app.Options{DataDir: dir, BaseURL: "https://lenses.example.org", Dev: true, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Stop()
	a.Control(t.Context())
	socket, err := os.Stat(filepath.Join(dir, "control.sock"))
	if err != nil || socket.Mode().Perm() != 0o600 {
		t.Fatalf("the socket is %v, %v; want it open to its owner only", socket, err)
	}

	if out := command(t, "staff", "add", "-data", dir, "-name", "Dr Ambrose", "-role", "clinician"); !strings.Contains(out, "https://lenses.example.org/staff#") {
		t.Errorf("staff add printed %q, want a sign-in link", out)
	}
	list := command(t, "staff", "list", "-data", dir)
	if !strings.Contains(list, "clinician     Dr Ambrose") {
		t.Errorf("staff list printed %q", list)
	}
	if out := command(t, "staff", "link", "-data", dir, "-id", strings.Fields(list)[0]); !strings.Contains(out, "/staff#") {
		t.Errorf("staff link printed %q", out)
	}
	command(t, "staff", "role", "-data", dir, "-id", strings.Fields(list)[0], "-role", "administrator")
	if list := command(t, "staff", "list", "-data", dir); !strings.Contains(list, "administrator Dr Ambrose") {
		t.Errorf("after another role staff list printed %q", list)
	}
	_ = a.DB.View(func(tx *store.Tx) error {
		all, err := tx.Register().StaffChanges()
		if len(all) == 0 || all[len(all)-1].Kind != "role" || all[len(all)-1].Waits(tx.Now) {
			t.Errorf("nobody is told of the role: %+v, %v", all, err)
		}
		return err
	})
	fails(t, "want -role clinician, desk or administrator", "staff", "role", "-data", dir, "-id", strings.Fields(list)[0], "-role", "owner")
	fails(t, "want -id of a member of staff", "staff", "role", "-data", dir, "-id", "nobody", "-role", "desk")
	if _, err := run("staff", "link", "-data", dir, "-id", "nobody"); err == nil || err.Error() != "staff link: want -id of a member of staff; `"+filepath.Base(os.Args[0])+" staff list` shows them" {
		t.Errorf("a link for nobody: %v", err)
	}

	key, plain, sealed := filepath.Join(safe, "key.txt"), filepath.Join(safe, "copy.db"), filepath.Join(safe, "copy.age")
	public, _, _ := strings.Cut(command(t, "backup", "-new-key", key), "\n")
	command(t, "backup", "-data", dir, "-to", plain)
	fails(t, "already", "backup", "-data", dir, "-to", plain)
	command(t, "backup", "-data", dir, "-to", sealed, "-recipient", public)
	command(t, "check", "-data", t.TempDir(), "-file", plain)
	command(t, "check", "-data", t.TempDir(), "-file", sealed, "-identity", key)
	fails(t, "another process", "erase", "-data", dir, "-family", "f1", "-yes")

	next := t.TempDir()
	command(t, "restore", "-data", next, "-from", plain)
	if got := familyName(t, next); got != "Quincely" {
		t.Errorf("the copy holds %s, want Quincely", got)
	}
}
