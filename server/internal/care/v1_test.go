package care_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
)

type v1File struct {
	NumberOfTests int `json:"numberOfTests"`
	Tests         []struct {
		Comment string          `json:"comment"`
		Entry   json.RawMessage `json:"entry"`
		Items   map[string]any  `json:"items"`
	} `json:"tests"`
}

// Every entry that an app of version 1 could have written is still accepted,
// and means what it meant: testdata/care/v1.json, worked out by hand.
func TestVersion1IsStillRead(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/v1.json")
	if err != nil {
		t.Fatal(err)
	}
	var f v1File
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
	for _, k := range care.Kinds() {
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
		t.Errorf("version 1 means something else now (-want +got):\n%s", d)
	}
}
