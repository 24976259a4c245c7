package app_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/app"
)

// A practice's folder served as a rehearsal, and a rehearsal's as a practice, end with
// an error of usage, which is exit code 2: a service manager does not start them again.
// A link for a rehearsal never carries the practice's address of the environment, and
// a copy beside the data is refused.
func TestMistakesWithFoldersEndForGood(t *testing.T) {
	t.Setenv("NIGHTKEEP_BASE_URL", "https://lenses.example.org")
	d := newDesk(t)
	copied, tried := filepath.Join(t.TempDir(), "copy.db"), t.TempDir()
	if err := d.DB.Backup(copied); err != nil {
		t.Fatal(err)
	}
	own := t.TempDir()
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(own, "nightkeep.db"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	command(t, "restore", "-rehearsal", "-from", copied, "-data", tried)
	for want, args := range map[string][]string{
		"was not restored for a rehearsal": {"serve", "-rehearsal", "-data", own, "-addr", "127.0.0.1:0"},
		"was restored for a rehearsal":     {"serve", "-data", tried, "-addr", "127.0.0.1:0"},
		"want another folder":              {"backup", "-data", own, "-to", filepath.Join(own, "x.db")},
	} {
		_, err := run(args...)
		var usage app.UsageError
		if !errors.As(err, &usage) || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, want an error of usage that says %q", args, err, want)
		}
	}
	add := func(dir string) string { return command(t, "staff", "add", "-data", dir, "-name", "Ms B") }
	if out := add(tried); strings.Contains(out, "lenses.example.org") || !strings.Contains(out, "not known here") {
		t.Errorf("the link of a rehearsal: %s", out)
	}
	if out := add(own); !strings.Contains(out, "https://lenses.example.org/staff#") {
		t.Errorf("the link of the practice: %s", out)
	}
	t.Setenv("NIGHTKEEP_DATA", own)
	if out := command(t, "staff", "list"); !strings.Contains(out, "Ms B") {
		t.Errorf("staff list does not read NIGHTKEEP_DATA: %s", out)
	}
}
