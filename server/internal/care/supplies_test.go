package care_test

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
)

// What is in use by the log: testdata/care/supplies.json, worked out by hand; the
// phone runs the same.
func TestWhatIsInUse(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/supplies.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name    string
			Entries []map[string]any
			Use     [][]any
			Lost    []care.LostLens // lenses lost with none in their place
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil || len(file.Cases) == 0 {
		t.Fatalf("%d cases, %v", len(file.Cases), err)
	}
	id := func(n int) string { return fmt.Sprintf("01900000-0000-7000-8000-%012d", n) }
	for _, c := range file.Cases {
		var entries []*care.Entry
		for i, body := range c.Entries {
			if of, ok := body["of"].(float64); ok {
				body["of"] = id(int(of))
			}
			raw, err := json.Marshal(map[string]any{
				"id": id(i + 1), "wearer": "w1", "device": "d1", "dseq": i + 1, "author": "p1", "kind": "supply", "night": "2026-03-20", "wall": "2026-03-20T20:00:00",
				"zone": "Europe/London", "offset": 0, "hlc": fmt.Sprintf("1774000000%03d-0000", i), "v": 1, "body": body,
			})
			if err != nil {
				t.Fatal(err)
			}
			e, err := care.DecodeEntry(raw)
			if err != nil {
				t.Fatalf("%s: %v", c.Name, err)
			}
			entries = append(entries, &e)
		}
		if d := cmp.Diff(c.Lost, care.LostLenses(care.Fold(entries))); d != "" {
			t.Errorf("%s: lost (-want +got):\n%s", c.Name, d)
		}
		got := [][]any{}
		for _, s := range care.ScheduleLog(care.Fold(entries), nil).Supplies {
			var n float64
			fmt.Sscanf(s.ID[len(s.ID)-12:], "%f", &n)
			got = append(got, []any{s.Item, s.Eye, s.Started.String(), n})
		}
		if d := cmp.Diff(c.Use, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.Name, d)
		}
	}
}
