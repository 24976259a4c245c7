package alerts_test

import (
	"testing"

	"nightkeep/alerts"
)

// Plain words, written by hand from the rule, its signs and the limits a
// practice may move: every answer that counts is named, worst included, with
// the meaning the table gives it.
func TestRulesInPlainWords(t *testing.T) {
	t.Parallel()
	want := map[string]string{
		"chemical":      "Injury: chemical (peroxide, cleaner or any other chemical in the eye)",
		"light":         "Sensitivity to light",
		"pain-persists": "Pain: persists (goes on with the lens out), beyond (far more than the look of the eye explains) or severe (very bad)",
		"missed-often":  "On at least 4 (the practice may set 2 to 7) of the last 14 nights lenses worn: no",
		"stuck-twice":   "On at least 2 of the last 7 nights lens stuck on waking: came off or stuck",
		"tap-water":     "On at least one of the last 2 nights tap water on lens or case",
		"case-overdue":  "Lens case past its replacement date: 1 day or more",
	}
	for _, r := range alerts.Default().Rows(nil) {
		if w, ok := want[r.ID]; ok && r.Plain != w {
			t.Errorf("%s: %q, want %q", r.ID, r.Plain, w)
		}
		delete(want, r.ID)
	}
	for id := range want {
		t.Errorf("there is no rule %s", id)
	}
}

// A limit of the practice stands in the words, beside the usual one and its
// bounds; one out of bounds counts as the nearer bound, as it does for the rule.
func TestRulesInThePracticesLimits(t *testing.T) {
	t.Parallel()
	for limit, want := range map[int]string{
		4:  "On at least 4 (the practice may set 2 to 7) of the last 14 nights lenses worn: no",
		5:  "On at least 5 (set by the practice; usually 4, may be 2 to 7) of the last 14 nights lenses worn: no",
		99: "On at least 7 (set by the practice; usually 4, may be 2 to 7) of the last 14 nights lenses worn: no",
	} {
		for _, r := range alerts.Default().Rows(map[string]int{"missed_nights": limit}) {
			if r.ID == "missed-often" && r.Plain != want {
				t.Errorf("%d: %q, want %q", limit, r.Plain, want)
			}
		}
	}
}
