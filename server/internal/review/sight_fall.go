package review

import (
	"fmt"
	"math"
	"slices"

	"nightkeep/schedule/civil"
)

// How a fall between runs of the sight test at home is told from its spread.
const (
	// fallLeast is a fall worth a call, logMAR: two lines of a letter chart (common
	// practice); measured twice, children's best-corrected sight differs by up to
	// ±0.15 (Manny 2003, 86 children, with the limit from memory).
	fallLeast = 0.2
	// fallBefore is how many earlier runs of the eye are its usual.
	fallBefore = 5
)

// sightFall is an eye whose newest reliable run at home is worse than its usual.
type sightFall struct {
	eye     string
	was, is float64 // logMAR
	before  int     // runs that was is the middle of
	on      civil.Date
}

// sightFalls compares the newest reliable run of each eye with the middle of up to
// five reliable ones before it, from the same distance within half a metre. A fall
// counts from two lines on, and when it is more than the spread of both explains.
func sightFalls(rows []AcuityRow) (out []sightFall) {
	for _, eye := range []string{"right", "left"} {
		mine := slices.DeleteFunc(slices.Clone(rows), func(r AcuityRow) bool { return r.Eye != eye || !r.Reliable })
		slices.SortStableFunc(mine, func(a, b AcuityRow) int { return a.Night.Compare(b.Night) })
		if len(mine) < 2 {
			continue
		}
		last := mine[len(mine)-1]
		var was, spread []float64
		for _, r := range slices.Backward(mine[:len(mine)-1]) {
			if len(was) < fallBefore && math.Abs(r.DistanceM-last.DistanceM) <= 0.5 && r.Night.Before(last.Night) {
				was, spread = append(was, *r.LogMAR), append(spread, *r.SD)
			}
		}
		if len(was) == 0 {
			continue
		}
		n := len(was)
		slices.Sort(was)
		slices.Sort(spread)
		f := sightFall{eye, median(was), *last.LogMAR, n, last.Night}
		if fall := f.is - f.was; fall >= fallLeast-1e-9 && fall > z95*math.Hypot(*last.SD, median(spread)) {
			out = append(out, f)
		}
	}
	return out
}

// sightFell holds when a run of the last four weeks fell.
func sightFell(c *callState) *Reason {
	var found []string
	var since civil.Date
	for _, f := range sightFalls(c.s.acuity()) {
		found = append(found, fmt.Sprintf("%s eye %s logMAR on %s, %s before (%s)", f.eye, minus(fmt.Sprintf("%.2f", f.is)), f.on, minus(fmt.Sprintf("%.2f", f.was)), plural(f.before, "run", "runs")))
		if since.IsZero() || f.on.Before(since) {
			since = f.on
		}
	}
	if len(found) == 0 {
		return nil
	}
	return &Reason{Text: "The sight test at home came out worse than it used to. Is either eye red or sore, and is sight blurred by day? We would like to look at it.",
		Evidence: list(found), Since: since}
}
