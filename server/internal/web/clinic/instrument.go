package clinic

import (
	"fmt"
	"slices"
	"strings"

	"nightkeep/server/internal/review/course"
)

// otherInstrument asks about an axial length that was measured with another
// instrument than the last one: lengths of two instruments are not compared, and one
// that is spelled in two ways is two.
func otherInstrument(v *course.Visit, mine []course.Visit) string {
	if !measured(v) {
		return ""
	}
	list := slices.DeleteFunc(slices.Clone(mine), func(x course.Visit) bool {
		return x.ID == v.ID || x.State != "kept" || !x.Date.Before(v.Date) || !measured(&x)
	})
	if len(list) == 0 {
		return ""
	}
	last := slices.MaxFunc(list, func(a, b course.Visit) int { return a.Date.Compare(b.Date) })
	if sameWords(last.Instrument, v.Instrument) {
		return ""
	}
	name := func(s string) string {
		if strings.TrimSpace(s) == "" {
			return "nothing that was named"
		}
		return "“" + s + "”"
	}
	return fmt.Sprintf("The axial length was measured with %s, and with %s on %s: lengths of two instruments are not compared.", name(v.Instrument), name(last.Instrument), last.Date)
}

func measured(v *course.Visit) bool { return v.Right.AxialMM != nil || v.Left.AxialMM != nil }

// sameWords compares what people typed, letter case and spaces aside.
func sameWords(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
