package course_test

import (
	"testing"

	"nightkeep/server/internal/review/course"
)

// By hand: 6/9 is log10(1.5) = 0.176, 20/20 less a letter 0.02 (a line of five letters
// is 0.1), 0.8 decimal is -log10(0.8) = 0.097.
func TestAcuityAs(t *testing.T) {
	t.Parallel()
	for as, want := range map[string]float64{"6/9": 0.18, "20/20-1": 0.02, "6/6-2": 0.04, "6/7.5+": 0.08, "0.8 decimal": 0.1} {
		if got, ok := course.AcuityAs(as); !ok || got-want > 1e-9 || want-got > 1e-9 {
			t.Errorf("%s: %v %v, want %v", as, got, ok, want)
		}
	}
	for _, as := range []string{"", "6/0", "0/6", "0 decimal", "6/6-0", "0.8", "6/9 (0.18 logMAR)", "<b>", "0/0"} {
		if got, ok := course.AcuityAs(as); ok {
			t.Errorf("%q is read as %v", as, got)
		}
	}
	n := 0.04
	if got := course.SayAcuity(&n, "6/6-2"); got != "6/6−2 (0.04)" {
		t.Errorf("said %q", got)
	}
}
