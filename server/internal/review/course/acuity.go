package course

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"strconv"
)

var (
	snellenForm = regexp.MustCompile(`^(\d{1,3}(?:\.\d{1,2})?)/(\d{1,4}(?:\.\d{1,2})?)(?:([+-])([1-9]?))?$`)
	decimalForm = regexp.MustCompile(`^(\d{1,2}(?:\.\d{1,3})?) decimal$`)
)

// letter is one of a line of five, 0.1 logMAR each: the layout of Bailey and Lovie
// 1976, from memory.
const letter = 0.02

// AcuityAs reads an acuity in the notation it was typed in, a Snellen fraction with
// letters more or less ("6/6-2") or a decimal ("0.8 decimal"), and returns logMAR with
// two decimals; false for anything else.
func AcuityAs(as string) (logMAR float64, ok bool) {
	value := 0.0
	if m := snellenForm.FindStringSubmatch(as); m != nil {
		value = math.Log10(number(m[2]) / number(m[1]))
		if m[3] != "" {
			value -= letter * number(m[3]+cmp.Or(m[4], "1"))
		}
	} else if m := decimalForm.FindStringSubmatch(as); m != nil {
		value = -math.Log10(number(m[1]))
	} else {
		return 0, false
	}
	value = math.Round(value*100) / 100
	return value, !math.IsInf(value, 0) && !math.IsNaN(value)
}

// SayAcuity is an acuity as it was typed with logMAR behind, or logMAR alone; empty
// for nil.
func SayAcuity(logMAR *float64, as string) string {
	if logMAR == nil {
		return ""
	}
	said := Minus(fmt.Sprintf("%.2f", *logMAR))
	if as == "" {
		return said
	}
	return Minus(as) + " (" + said + ")"
}

// number is what the two forms let through, which always is one.
func number(s string) float64 {
	n, _ := strconv.ParseFloat(s, 64)
	return n
}
