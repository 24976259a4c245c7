package care_test

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
)

type foldVectors struct {
	NumberOfTests int               `json:"numberOfTests"`
	IDs           map[string]string `json:"ids"`
	Defaults      map[string]any    `json:"defaults"`
	Tests         []struct {
		ID      int                         `json:"id"`
		Comment string                      `json:"comment"`
		Entries []map[string]any            `json:"entries"`
		Want    map[string]map[string][]any `json:"want"`
	} `json:"tests"`
}

func loadFold(t *testing.T) foldVectors {
	t.Helper()
	raw, err := os.ReadFile("../../../testdata/care/fold.json")
	if err != nil {
		t.Fatal(err)
	}
	var v foldVectors
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	for short, id := range v.IDs {
		raw = []byte(strings.ReplaceAll(string(raw), `"`+short+`"`, `"`+id+`"`))
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Tests) != v.NumberOfTests || v.NumberOfTests == 0 {
		t.Fatalf("file has %d tests, says %d", len(v.Tests), v.NumberOfTests)
	}
	return v
}

func (v foldVectors) entries(t *testing.T, list []map[string]any) []*care.Entry {
	t.Helper()
	var out []*care.Entry
	for _, over := range list {
		m := maps.Clone(v.Defaults)
		maps.Copy(m, over)
		raw, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		e, err := care.DecodeEntry(raw)
		if err != nil && !care.Held(err) {
			t.Fatalf("%s: %v", raw, err)
		}
		out = append(out, &e)
	}
	return out
}

// shape turns nights into the form of the vectors.
func shape(t *testing.T, nights []care.Night) map[string]map[string][]any {
	t.Helper()
	out := map[string]map[string][]any{}
	for _, n := range nights {
		items := map[string][]any{}
		for _, it := range n.Items {
			var values []any
			for _, f := range it.Facts {
				var v any
				if err := json.Unmarshal(f.Value, &v); err != nil {
					t.Fatal(err)
				}
				values = append(values, v)
			}
			items[it.Key] = []any{it.Differ, values}
		}
		out[string(n.Wearer)+"/"+n.Date.String()] = items
	}
	return out
}

func TestFold(t *testing.T) {
	t.Parallel()
	v := loadFold(t)
	for _, tc := range v.Tests {
		t.Run(tc.Comment, func(t *testing.T) {
			t.Parallel()
			got := shape(t, care.Fold(v.entries(t, tc.Entries)))
			if d := cmp.Diff(tc.Want, got); d != "" {
				t.Errorf("vector %d (-want +got):\n%s", tc.ID, d)
			}
		})
	}
}

// Devices receive entries in any order and more than once; all must see the
// same nights (definition of a commutative, idempotent fold).
func TestFoldIgnoresOrderAndRepetition(t *testing.T) {
	t.Parallel()
	v := loadFold(t)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, tc := range v.Tests {
		entries := v.entries(t, tc.Entries)
		want := care.Fold(entries)
		for range 50 {
			mixed := append(append([]*care.Entry{}, entries...), entries...)
			rng.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			if d := cmp.Diff(want, care.Fold(mixed)); d != "" {
				t.Fatalf("vector %d depends on order (-want +got):\n%s", tc.ID, d)
			}
		}
	}
}
