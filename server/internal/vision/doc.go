// Package vision holds the arithmetic of the eye that a practitioner's
// decisions lean on: prescriptions, suitability ranges, optotype sizes, the
// adaptive acuity estimate, blur in dioptres, the course of the treatment
// effect, and axial growth.
//
// It is pure: numbers in, numbers out, today and birth are arguments, and
// nothing is random. It refuses to judge: it gives ranges, limits and
// published figures beside each other, never a verdict on an eye, and it says
// "not enough data" rather than a number it cannot stand behind.
//
// Invariant: every estimate carries its uncertainty, and an input outside the
// stated range is a [RangeError], never a silently clipped value.
package vision

import "fmt"

// RangeError reports an input outside what a computation accepts. Field is the
// input's name, Text says what was wrong and what is accepted.
type RangeError struct{ Field, Text string }

// Error returns the field and the text.
func (e *RangeError) Error() string { return e.Field + ": " + e.Text }

func refuse(field, format string, args ...any) error {
	return &RangeError{field, fmt.Sprintf(format, args...)}
}

// within returns a [RangeError] unless low <= v <= high; not-a-number fails.
func within(field string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	return refuse(field, "%v is outside the accepted %v to %v", v, low, high)
}
