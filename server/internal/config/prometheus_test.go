package config_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The rules for Prometheus in the operator's guide name figures the server has,
// and Prometheus' own tool takes them where it is installed.
func TestPrometheusRules(t *testing.T) {
	t.Parallel()
	guide, err := os.ReadFile("../../OPERATING.md")
	if err != nil {
		t.Fatal(err)
	}
	code, err := os.ReadFile("../web/transport/metrics.go")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile("(?s)```yaml\n(groups:.*?)```").FindSubmatch(guide)
	if found == nil {
		t.Fatal("the guide has no rules")
	}
	figures := regexp.MustCompile(`nightkeep_[a-z_]+`).FindAllString(string(found[1]), -1)
	for _, name := range figures {
		if !strings.Contains(string(code), `"`+name+`"`) {
			t.Errorf("the server has no figure %s", name)
		}
	}
	if len(figures) < 5 {
		t.Errorf("only %v are named", figures)
	}
	tool, err := exec.LookPath("promtool")
	if err != nil {
		t.Log("promtool is not installed: the rules' syntax was not checked")
		return
	}
	file := filepath.Join(t.TempDir(), "rules.yml")
	if err := os.WriteFile(file, found[1], 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(tool, "check", "rules", file).CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
