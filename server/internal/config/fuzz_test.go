package config_test

import (
	"io"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/config"
)

// Whatever an operator types, there is an error or settings a server can run
// with, and a secret is never printed. One line is one argument; the
// environment gives the same text to the password. Seeds are in testdata/fuzz.
func FuzzConfig(f *testing.F) {
	f.Fuzz(func(t *testing.T, lines, secret string) {
		env := func(name string) string {
			if name == "NIGHTKEEP_SMTP_PASSWORD" {
				return secret
			}
			return ""
		}
		c, err := config.Load(strings.Split(lines, "\n"), env, io.Discard)
		if err != nil {
			return
		}
		if c.Data == "" || !strings.Contains(c.Addr, ":") || c.BackupKeep < 1 || c.BackupDir != "" && c.BackupEvery < time.Hour {
			t.Errorf("accepted settings nothing can run with: %+v", c)
		}
		var b strings.Builder
		c.Print(&b)
		if c.SMTPPass != "" && !strings.Contains(b.String(), "NIGHTKEEP_SMTP_PASSWORD=(set)") {
			t.Errorf("the password is not hidden:\n%s", b.String())
		}
	})
}
