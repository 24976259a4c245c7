package config_test

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/config"
)

func env(m map[string]string) func(string) string { return func(k string) string { return m[k] } }

// An operator who made three mistakes is told all three at once.
func TestEveryFaultIsReportedAtOnce(t *testing.T) {
	t.Parallel()
	_, err := config.Load([]string{"-addr", "8080", "-base-url", "lenses.example.org"}, env(map[string]string{"NIGHTKEEP_BACKUP_EVERY": "daily"}), io.Discard)
	if err == nil {
		t.Fatal("accepted")
	}
	for _, want := range []string{"addr:", "base-url:", "backup-every:"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not in: %v", want, err)
		}
	}
}

// A flag wins over the environment; a secret can come from a file and is never
// printed.
func TestSecretFromFileIsNotPrinted(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "pw")
	if err := os.WriteFile(path, []byte("hunter-2\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := config.Load([]string{"-data", "/srv/a"}, env(map[string]string{"NIGHTKEEP_DATA": "/srv/b", "NIGHTKEEP_SMTP_PASSWORD_FILE": path}), io.Discard)
	if err != nil || c.SMTPPass != "hunter-2" || c.Data != "/srv/a" {
		t.Fatalf("got %+v, %v", c, err)
	}
	var b strings.Builder
	c.Print(&b)
	if strings.Contains(b.String(), "hunter-2") || !strings.Contains(b.String(), "NIGHTKEEP_SMTP_PASSWORD=(set)") {
		t.Errorf("printed:\n%s", b.String())
	}
}
