package care_test

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
)

type versionFile struct {
	NumberOfTests int `json:"numberOfTests"`
	Tests         []struct {
		Comment string          `json:"comment"`
		Entry   json.RawMessage `json:"entry"`
		Items   map[string]any  `json:"items"`
	} `json:"tests"`
}

// Every entry that an app of any version could have written is still accepted,
// and means what it meant: testdata/care/v1.json and v2.json, worked out by
// hand. Each holds the kinds its version brought.
func TestEveryVersionIsStillRead(t *testing.T) {
	t.Parallel()
	for v := 1; v <= care.Schema; v++ {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			t.Parallel()
			kinds := slices.DeleteFunc(care.Kinds(v), func(k care.EntryKind) bool { return slices.Contains(care.Kinds(v-1), k) })
			stillRead(t, fmt.Sprintf("../../../testdata/care/v%d.json", v), kinds)
		})
	}
}

func stillRead(t *testing.T, file string, kinds []care.EntryKind) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var f versionFile
	if err := json.Unmarshal(raw, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Tests) != f.NumberOfTests || f.NumberOfTests == 0 {
		t.Fatalf("file has %d tests, says %d", len(f.Tests), f.NumberOfTests)
	}
	seen := map[care.EntryKind]bool{}
	want := map[string]any{}
	var entries []*care.Entry
	for _, tc := range f.Tests {
		e, err := care.DecodeEntry(tc.Entry)
		if err != nil {
			t.Fatalf("%s is refused now: %v", tc.Comment, err)
		}
		seen[e.Kind] = true
		entries = append(entries, &e)
		for key, value := range tc.Items {
			want[e.Night.String()+" "+strings.ReplaceAll(key, "$", string(e.ID))] = []any{false, []any{value}}
		}
	}
	for _, k := range kinds {
		if !seen[k] {
			t.Errorf("no entry of kind %s is kept", k)
		}
	}
	got := map[string]any{}
	for place, items := range shape(t, care.Fold(entries)) {
		_, night, _ := strings.Cut(place, "/")
		for key, it := range items {
			got[night+" "+key] = it
		}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("the version means something else now (-want +got):\n%s", d)
	}
}
