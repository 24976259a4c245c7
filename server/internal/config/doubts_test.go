package config_test

import (
	"io"
	"strings"
	"testing"

	"nightkeep/server/internal/config"
)

// What an administrator may have meant otherwise is said, and nothing is said
// of what is right: ports by scheme are those of RFC 9110 section 4.2.
func TestDoubts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		args    []string
		environ []string
		want    []string // a word of each, in order
	}{
		{"only this machine", nil, nil, nil},
		{"open to others, no TLS", []string{"-addr", "0.0.0.0:8080"}, nil, []string{"OTHERS CAN READ"}},
		{"every address", []string{"-addr", ":8080"}, nil, []string{"OTHERS CAN READ"}},
		{"behind a proxy", []string{"-addr", ":8080", "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1"}, nil, nil},
		{"another port", []string{"-base-url", "http://127.0.0.1:9000"}, nil, []string{"leads to port 9000 and the server listens on 8080"}},
		{"https without a proxy", []string{"-base-url", "https://lenses.example.org"}, nil, []string{"leads to port 443"}},
		{"readable by others", []string{"-addr", "127.0.0.1:80", "-base-url", "http://lenses.example.org"}, nil, []string{"begins with http://"}},
		{"the same port", []string{"-base-url", "http://127.0.0.1:8080"}, nil, nil},
		{"mistyped", nil, []string{"NIGHTKEEP_ADRR=x", "HOME=/root", "NIGHTKEEP_SMTP_PASSWORD_FILE=x", "NIGHTKEEP_BACKUP_IDENTITY_FILE=x"}, []string{"NIGHTKEEP_ADRR, which is no setting"}},
	} {
		cfg, err := config.Load(c.args, env(nil), io.Discard)
		if err != nil {
			t.Fatal(c.name, err)
		}
		got := cfg.Doubts(c.environ)
		if len(got) != len(c.want) {
			t.Errorf("%s: %q", c.name, got)
			continue
		}
		for i, word := range c.want {
			if !strings.Contains(got[i], word) {
				t.Errorf("%s: %q, want it to say %q", c.name, got[i], word)
			}
		}
	}
}
