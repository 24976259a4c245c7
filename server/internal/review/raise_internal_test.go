package review

import "testing"

// What is said of a silence is the silence: not that two entries disagree, which
// on a silent log is never so.
func TestASilenceIsSaidAsOne(t *testing.T) {
	t.Parallel()
	const evidence = "last entry received 2026-11-21; 9 nights without an entry since"
	for _, rule := range []string{"silent", "silent-early", "silence"} {
		if got := short(Point{Rule: rule, Evidence: evidence}, &Summary{}); got != evidence {
			t.Errorf("%s: %q", rule, got)
		}
	}
}
