package schedule_test

import (
	"slices"
	"testing"

	"nightkeep/schedule"
)

// Whatever bytes stand in a rule table, reading it gives an error or a whole
// table: each reminder the program knows, once. Seeds are in testdata/fuzz.
func FuzzReadRules(f *testing.F) {
	want := []string{}
	for _, r := range schedule.Rules() {
		want = append(want, r.ID)
	}
	slices.Sort(want)
	f.Fuzz(func(t *testing.T, raw []byte) {
		rules, err := schedule.ReadRules(raw)
		if err != nil {
			return
		}
		got := []string{}
		for _, r := range rules {
			got = append(got, r.ID)
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("a table with %v was accepted; want each of %v", got, want)
		}
	})
}
