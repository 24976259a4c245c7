package app

import (
	"bytes"
	"context"
	"errors"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// `hazards` prints the log, and of the parts that others made the versions that
// are in this very program.
func TestHazardsCommand(t *testing.T) {
	t.Parallel()
	run := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := Run(context.Background(), append([]string{"hazards"}, args...), IO{Out: &out, Err: &out})
		return out.String(), err
	}
	for want, args := range map[string][]string{"\nH-001  ": nil, "<h3>H-001 ": {"-html"}, "R-01 ": {"-trace"}} {
		if out, err := run(args...); err != nil || !strings.Contains(out, want) {
			t.Errorf("hazards %v: no %q, %v", args, want, err)
		}
	}
	// Only a built program knows what it was built from.
	built, err := exec.Command("go", "run", "nightkeep/server", "hazards", "-parts").Output()
	parts := string(built)
	versions := regexp.MustCompile(`(?m)^\S+\.\S+/\S+ v\d+\.\d+`).FindAllString(parts, -1)
	named := regexp.MustCompile(`(?m)^\S+\.\S+/\S+ `).FindAllString(parts, -1)
	if err != nil || len(named) < 20 || len(versions) != len(named) {
		t.Errorf("%d of %d modules have a version: %v", len(versions), len(named), err)
	}
	var usage UsageError
	if _, err := run("-html", "-parts"); !errors.As(err, &usage) {
		t.Errorf("two views at once: %v, want what is accepted", err)
	}
}
