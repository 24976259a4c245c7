package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every test and file that the page of threats names is there.
func TestSecurityNamesWhatThereIs(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("SECURITY.md")
	if err != nil {
		t.Fatal(err)
	}
	var sources strings.Builder
	files := map[string]bool{}
	err = filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" {
			return err
		}
		files[filepath.ToSlash(path)] = true
		if !strings.HasSuffix(path, "_test.go") {
			return nil
		}
		raw, err := os.ReadFile(path)
		sources.Write(raw)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	tests := regexp.MustCompile("`((?:Test|Fuzz|Benchmark)[A-Z][A-Za-z0-9]*)`").FindAllStringSubmatch(string(page), -1)
	if len(tests) < 50 {
		t.Fatalf("the page names %d tests; is it read rightly?", len(tests))
	}
	for _, m := range tests {
		if !strings.Contains(sources.String(), "func "+m[1]+"(") {
			t.Errorf("the page names %s, which is no test", m[1])
		}
	}
	folder := "" // `a/b.go`, `c.go`: the second is in the folder of the first
	for _, m := range regexp.MustCompile("`([a-z_/]+\\.go)`").FindAllStringSubmatch(string(page), -1) {
		if strings.Contains(m[1], "/") {
			folder = filepath.Dir(m[1]) + "/"
		} else {
			m[1] = folder + m[1]
		}
		if !files["internal/"+m[1]] {
			t.Errorf("the page names internal/%s, which is not there", m[1])
		}
	}
}
