package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The scan of dependencies fails on what is found and on nothing else: a list
// that does not answer is one line. Exit codes and formats as the tools document
// them: govulncheck ends with 3 on a finding, `npm audit --json` (report version
// 2) counts findings in metadata.vulnerabilities and ends with 1 for any trouble.
func TestScan(t *testing.T) {
	t.Parallel()
	const (
		clean    = `{"auditReportVersion":2,"vulnerabilities":{},"metadata":{"vulnerabilities":{"info":0,"low":0,"moderate":0,"high":0,"critical":0,"total":0}}}`
		lesser   = `{"auditReportVersion":2,"vulnerabilities":{"knot":{"name":"knot","severity":"low","range":"<2"}},"metadata":{"vulnerabilities":{"info":0,"low":1,"moderate":0,"high":0,"critical":0,"total":1}}}`
		grave    = `{"auditReportVersion":2,"vulnerabilities":{"knot":{"name":"knot","severity":"high","range":"<2"}},"metadata":{"vulnerabilities":{"info":0,"low":0,"moderate":0,"high":1,"critical":0,"total":1}}}`
		unheard  = `{"message":"request failed","error":{"summary":"","detail":""}}`
		goClean  = "Go: no known vulnerability is reached\n"
		npmClean = "npm: no grave vulnerability in the development tools, 0 lesser ones\n"
		npmDeaf  = "npm: NOT SCANNED, the registry did not answer\n"
	)
	for _, tc := range []struct {
		name           string
		goSays         string
		goEnds         string
		npmSays        string
		npmEnds        string
		fails          bool
		says, complain string // all that is printed; a part of what goes to standard error
	}{
		{"clean", "No vulnerabilities found.", "0", clean, "0", false, goClean + npmClean, ""},
		{"found in Go", "Vulnerability #1: GO-2026-0001", "3", clean, "0", true, "Vulnerability #1: GO-2026-0001\n" + npmClean, "Go: a known vulnerability is reached"},
		{"grave in the tools", "", "0", grave, "1", true, goClean + "npm: high: knot <2\n", "npm: 1 grave"},
		{"lesser in the tools", "", "0", lesser, "1", false, goClean + "npm: low: knot <2\nnpm: no grave vulnerability in the development tools, 1 lesser ones\n", ""},
		{"no answer", "loading\nno such host", "1", unheard, "1", false, "Go: NOT SCANNED, the list could not be read: no such host\n" + npmDeaf, ""},
		{"silence", "", "124", "", "124", false, "Go: NOT SCANNED, no answer within 30 s\n" + npmDeaf, ""},
		{"not JSON", "", "0", "<html>", "1", false, goClean + npmDeaf, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			bin := t.TempDir()
			for name, script := range map[string]string{
				"go":      `[ "$2" = -n ] && exit 0; [ "$*" = "tool govulncheck ./..." ] || exit 9; printf '%s\n' "$GO_SAYS"; exit "$GO_ENDS"`,
				"npm":     `[ "$1" = audit ] || exit 9; printf '%s\n' "$NPM_SAYS"; exit "$NPM_ENDS"`,
				"timeout": `[ "$1" = 30 ] || { echo "waits $1 s" >&2; exit 9; }; shift; exec "$@"`,
			} {
				if err := os.WriteFile(filepath.Join(bin, name), []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
					t.Fatal(err)
				}
			}
			cmd := exec.Command("bash", "../.ci/scan")
			cmd.Env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"),
				"GO_SAYS="+tc.goSays, "GO_ENDS="+tc.goEnds, "NPM_SAYS="+tc.npmSays, "NPM_ENDS="+tc.npmEnds)
			var said, complained strings.Builder
			cmd.Stdout, cmd.Stderr = &said, &complained
			err := cmd.Run()
			var ended *exec.ExitError
			if err != nil && !errors.As(err, &ended) {
				t.Fatal(err)
			}
			if (err != nil) != tc.fails {
				t.Errorf("ended with %v; want a failure: %v", err, tc.fails)
			}
			if said.String() != tc.says {
				t.Errorf("said %q, want %q", said.String(), tc.says)
			}
			if (tc.complain == "") != (complained.String() == "") || !strings.Contains(complained.String(), tc.complain) {
				t.Errorf("complained %q, want %q", complained.String(), tc.complain)
			}
		})
	}
}
