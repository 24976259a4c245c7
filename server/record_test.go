package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
)

// The test command keeps a page of what ran, on what and with which result, also
// when something fails: then it names the step and says that the rest did not
// run.
func TestRecordOfARelease(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		run, want string
		fails     bool
	}{
		"green": {"step one; step two three; stories='- a, chromium: pass'; true", `(?s)- begun 20\d\d-\d\d-\d\d \d\d:\d\d UTC.*- of commit [0-9a-f]{40}.*- go: go version go1\..*` +
			`\| one \| passed \| \d+ s \|\n\| two three \| passed \| \d+ s \|\n\nStories by engine:\n\n- a, chromium: pass\n\n\*\*All passed\*\*, 20`, false},
		"red": {"step one; step 'two three'; false; step four", `\| one \| passed \| \d+ s \|\n\| two three \| FAILED \| \d+ s \|\n\n\*\*FAILED\*\* in: two three, 20.*did not run`, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			page := filepath.Join(t.TempDir(), "record.md")
			cmd := exec.Command("bash", "-euo", "pipefail", "-c", "cd ..; source .ci/record; trap 'end_of_record $?' EXIT; head_of_record; "+tc.run)
			cmd.Env = append(os.Environ(), "NIGHTKEEP_RECORD="+page)
			if out, err := cmd.CombinedOutput(); (err != nil) != tc.fails {
				t.Fatalf("%v: %s", err, out)
			}
			raw, err := os.ReadFile(page)
			if err != nil || !regexp.MustCompile(tc.want).Match(raw) {
				t.Errorf("%v, the record is\n%s\nwant %s", err, raw, tc.want)
			}
		})
	}
}
