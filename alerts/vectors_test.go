package alerts_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"nightkeep/alerts"
)

const vectorDir = "../testdata/alerts"

type vector struct {
	ID      int          `json:"id"`
	Comment string       `json:"comment"`
	Flags   []string     `json:"flags"`
	Eye     string       `json:"eye"`
	Input   alerts.Input `json:"input"`
	Want    alerts.State `json:"want"`
}

type vectorFile struct {
	Rule          string   `json:"rule"`
	About         string   `json:"about"`
	NumberOfTests int      `json:"numberOfTests"`
	Tests         []vector `json:"tests"`
}

func readVectors(t *testing.T) []vectorFile {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(vectorDir, "*.json"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no vectors in %s: %v", vectorDir, err)
	}
	var files []vectorFile
	for _, name := range names {
		if filepath.Base(name) == "situations.json" {
			continue // of many rules; see situations_test.go
		}
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var f vectorFile
		if err := json.Unmarshal(b, &f); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if f.NumberOfTests != len(f.Tests) || f.Rule+".json" != filepath.Base(name) {
			t.Fatalf("%s: says rule %s and %d tests, holds %d", name, f.Rule, f.NumberOfTests, len(f.Tests))
		}
		files = append(files, f)
	}
	return files
}

// stateOf returns the state of the rule for the vector's eye.
func stateOf(tb *alerts.Table, rule string, v vector) (alerts.State, bool) {
	for _, f := range tb.Evaluate(v.Input) {
		if f.Rule == rule && f.Eye == v.Eye {
			return f.State, true
		}
	}
	return 0, false
}

func TestVectors(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	count := 0
	for _, f := range readVectors(t) {
		for _, v := range f.Tests {
			got, ok := stateOf(tb, f.Rule, v)
			if !ok || got != v.Want {
				t.Errorf("%s %d (%s): got %v (found %t), want %v", f.Rule, v.ID, v.Comment, got, ok, v.Want)
			}
			count++
		}
	}
	t.Logf("%d vectors", count)
}

func TestEveryRuleHasFiredClearAndUnknownVectors(t *testing.T) {
	t.Parallel()
	seen := map[string][]alerts.State{}
	for _, f := range readVectors(t) {
		for _, v := range f.Tests {
			seen[f.Rule] = append(seen[f.Rule], v.Want)
		}
	}
	for _, r := range alerts.Default().Rules {
		for _, s := range []alerts.State{alerts.Fired, alerts.Clear, alerts.Unknown} {
			if !slices.Contains(seen[r.ID], s) {
				t.Errorf("rule %s: no vector where it is %v", r.ID, s)
			}
		}
	}
}

// TestALensThatCameOff: a later word that a stuck lens is out changes what is done, never
// how pressing it is; the JavaScript twin reads the same file in pwa/test/stuck.test.js.
func TestALensThatCameOff(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../testdata/care/came_off.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name             string
			Report           alerts.Report
			Out              []string
			Level            string
			Told, Has, Lacks []string
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil || len(file.Cases) < 8 {
		t.Fatal(len(file.Cases), err)
	}
	for _, c := range file.Cases {
		before := alerts.Default().Triage(c.Report)
		got := alerts.Default().CameOff(before, c.Out...)
		if got.Level.String() != c.Level || got.Level != before.Level || !slices.Equal(got.Headline(), c.Told) {
			t.Errorf("%s: %s %q, want %s %q", c.Name, got.Level, got.Headline(), c.Level, c.Told)
		}
		for _, a := range c.Has {
			if !slices.Contains(got.Actions, a) {
				t.Errorf("%s: %q lacks %s", c.Name, got.Actions, a)
			}
		}
		for _, a := range c.Lacks {
			if slices.Contains(got.Actions, a) {
				t.Errorf("%s: %q has %s", c.Name, got.Actions, a)
			}
		}
	}
}
