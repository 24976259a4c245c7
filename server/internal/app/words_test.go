package app_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/store/scene"
)

// Whatever is wrong with a file, each command says it in words: none of the language
// the program is written in, of the system's or of its engine's.
func TestDamagedFilesAreNamedInWords(t *testing.T) {
	t.Parallel()
	whole, err := os.ReadFile(scene.TwoFamilies(t))
	if err != nil {
		t.Fatal(err)
	}
	headless := bytes.Clone(whole)
	clear(headless[:2*os.Getpagesize()])
	holes := bytes.Clone(whole)
	for at := 4 * os.Getpagesize(); at < len(holes); at += 3 * os.Getpagesize() {
		clear(holes[at:min(at+os.Getpagesize(), len(holes))])
	}
	foreign := regexp.MustCompile(`kv:|store:|bolt|runtime|nil pointer|descriptor|invalid|assertion|json:|errno|panic|goroutine|0x`)
	for name, raw := range map[string][]byte{
		"empty": {}, "short": []byte("short"), "of another program": bytes.Repeat([]byte("text\n"), 20_000), "without its head": headless,
		"cut": whole[:6*os.Getpagesize()], "cut in a page": whole[:5*os.Getpagesize()+77], "with holes": holes,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			file := filepath.Join(dir, "nightkeep.db")
			if err := os.WriteFile(file, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			to := filepath.Join(t.TempDir(), "to")
			for _, args := range [][]string{
				{"check", "-file", file}, {"check", "-data", dir}, {"restore", "-from", file, "-data", t.TempDir()}, {"restore", "-rehearsal", "-from", file, "-data", t.TempDir()},
				{"backup", "-data", dir, "-to", to}, {"staff", "list", "-data", dir}, {"export", "-data", dir, "-family", "f1", "-to", to}, {"repair", "-file", file, "-to", to},
			} {
				_, err := run(args...)
				if err == nil {
					continue // what it needs is there
				}
				if text := app.Plain(err); foreign.MatchString(text) || len(text) < 20 {
					t.Errorf("server %s says %q", strings.Join(args, " "), text)
				}
			}
			if _, err := run("check", "-file", file); err == nil {
				t.Error("a check finds nothing wrong")
			}
		})
	}
}
