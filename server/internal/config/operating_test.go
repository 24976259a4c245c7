package config_test

import (
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"nightkeep/server/internal/config"
)

// The settings the operator's guide gives for a service are ones a server runs
// with, and the guide names no setting that does not exist.
func TestOperatingSettings(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../OPERATING.md")
	if err != nil {
		t.Fatal(err)
	}
	given := map[string]string{}
	for _, m := range regexp.MustCompile(`(?m)^(NIGHTKEEP_[A-Z_]+)=(.*)$`).FindAllStringSubmatch(string(raw), -1) {
		if strings.HasSuffix(m[1], "_FILE") { // a secret's file, which stands on the practice's machine
			file := filepath.Join(t.TempDir(), "secret")
			if err := os.WriteFile(file, []byte("secret\n"), 0o600); err != nil {
				t.Fatal(err)
			}
			m[2] = file
		}
		given[m[1]] = m[2]
	}
	c, err := config.Load(nil, env(given), io.Discard)
	if err != nil || len(given) < 5 {
		t.Fatalf("%d settings: %v", len(given), err)
	}
	var known strings.Builder
	c.Print(&known)
	for name, value := range given {
		if name, secret := strings.CutSuffix(name, "_FILE"); secret {
			if !strings.Contains(known.String(), name+"=(set)\n") {
				t.Errorf("%s_FILE has no effect", name)
			}
			continue
		}
		if !strings.Contains(known.String(), name+"="+value+"\n") {
			t.Errorf("%s=%s has no effect", name, value)
		}
	}
	ofCommands := " data noout checkend connect servername to from file identity recipient new-key family yes name role mail id base-url print-config rehearsal setup "
	for _, m := range regexp.MustCompile("(?:`| )-([a-z][a-z-]+)").FindAllSubmatch(raw, -1) {
		name := string(m[1])
		if !strings.Contains(known.String(), config.Env(name)+"=") && !strings.Contains(ofCommands, " "+name+" ") {
			t.Errorf("there is no setting or flag -%s", name)
		}
	}
}
