package record

import (
	"math"
	"strings"
	"testing"

	"nightkeep/server/internal/vision"
)

// The table and the arithmetic accept the same sizes.
func TestQuantitiesAgreeWithTheArithmetic(t *testing.T) {
	t.Parallel()
	for name, want := range map[string][2]float64{
		"sphere": {-vision.MaxSphere, vision.MaxSphere}, "cylinder": {-vision.MaxCylinder, vision.MaxCylinder}, "axial_mm": {vision.MinLength, vision.MaxLength},
	} {
		if q := quantities.Quantities[name]; q.Min != want[0] || q.Max != want[1] {
			t.Errorf("%s: %v to %v, the arithmetic takes %v", name, q.Min, q.Max, want)
		}
	}
}

// Every number of every field of a visit and a plan: the ends are taken, one
// step past them is refused in words that name the field and the range.
func TestEveryNumberHasItsLimits(t *testing.T) {
	t.Parallel()
	try := func(path string, n float64, fields map[string]string) string {
		doc := any(n)
		parts := strings.Split(path, ".")
		for i := len(parts) - 1; i >= 0; i-- {
			doc = map[string]any{parts[i]: doc}
		}
		if err := CheckNumbers(doc, fields, "right.", "right eye"); err != nil {
			return err.Error()
		}
		return ""
	}
	for _, fields := range []map[string]string{quantities.Visit, quantities.Plan} {
		for path, name := range fields {
			q, known := quantities.Quantities[name]
			if !known {
				t.Fatalf("%s is a %q, which the table does not have", path, name)
			}
			for _, n := range []float64{q.Min, q.Max, q.Usual[0], q.Usual[1]} {
				if got := try(path, n, fields); got != "" {
					t.Errorf("%s %v is refused: %s", path, n, got)
				}
			}
			if off := math.Mod(q.Usual[0]/q.Step, 1); q.Step <= 0 || !q.Whole && min(math.Abs(off), 1-math.Abs(off)) > 1e-9 {
				t.Errorf("%s: its usual range begins at %v, between steps of %v", name, q.Usual[0], q.Step)
			}
			for _, n := range []float64{q.Min - 1.5, q.Max + 1} {
				if got := try(path, n, fields); !strings.Contains(got, "not possible") || !strings.Contains(got, plainNumber(q.Max)) {
					t.Errorf("%s %v: %q, want a refusal with the range", path, n, got)
				}
			}
			if q.Whole && !strings.Contains(try(path, q.Min+0.5, fields), "whole number") {
				t.Errorf("%s takes a half", path)
			}
			if q.Halves && (try(path, q.Min+0.5, fields) != "" || !strings.Contains(try(path, q.Min+0.4, fields), "a whole or a half")) {
				t.Errorf("%s wants wholes and halves", path)
			}
		}
	}
	if got := try("axial_mm", 239, quantities.Visit); got != "not-possible: right eye, axial length: 239 mm is not possible; want 14 to 40 mm" {
		t.Errorf("%q", got)
	}
}
