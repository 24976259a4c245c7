package review

import (
	"fmt"

	"nightkeep/server/internal/review/stats"
)

// Limits from which a change is worth a line (common practice).
const (
	shareStep = 0.10 // of a share
	hoursStep = 0.5  // hours
	sightStep = 0.5  // grades of 5
	leastSeen = 7    // nights answered, or evenings, on either side
)

// changes compares the range with the stretch of as many nights before it.
// Only differences worth a line are given.
func changes(sum *Summary, s *state) []Change {
	out := []Change{}
	n := s.to.DaysSince(s.from) + 1
	if n <= 0 {
		return out
	}
	before := s.between(s.from.AddDays(-n), s.from.AddDays(-1))
	if first := s.plan.FirstNight; !first.IsZero() {
		for len(before) > 0 && before[0].row.Night.Before(first) {
			before = before[1:]
		}
	}
	rows := rowsOf(before)
	add := func(what, was, is, text string) { out = append(out, Change{what, was, is, text}) }
	compare := func(what string, was, is stats.Share) {
		if was.Answered() < leastSeen || is.Answered() < leastSeen || was.Share-is.Share < shareStep && is.Share-was.Share < shareStep {
			return
		}
		add(what, was.Words(), is.Words(), fmt.Sprintf("%s %s from %d %% to %d %%", what, direction(was.Share, is.Share), was.Percent(), is.Percent()))
	}
	compare("Nights with lenses", wearShare(rows), sum.Wear)
	care, all := careFigures(before, s.plan.careItems())
	for i := range care {
		compare(care[i].Title, care[i].Share, sum.Care[i].Share)
	}
	compare("Nights with every care item done", all, sum.AllCare)
	if was, is := hoursSpread(rows), sum.Hours; was.N >= leastSeen && is.N >= leastSeen && (was.Median-is.Median >= hoursStep || is.Median-was.Median >= hoursStep) {
		add("Hours in lenses", fmt.Sprintf("%.1f h", was.Median), fmt.Sprintf("%.1f h", is.Median),
			fmt.Sprintf("Hours in lenses %s from %.1f to %.1f", direction(was.Median, is.Median), was.Median, is.Median))
	}
	var sight []SightRow
	for _, n := range before {
		if n.log != nil {
			if r, ok := sightRow(n.log); ok {
				sight = append(sight, r)
			}
		}
	}
	if was, is := middle(sight), middle(sum.Sight); len(sight) >= leastSeen && len(sum.Sight) >= leastSeen && (was-is >= sightStep || is-was >= sightStep) {
		add("Evening sight", fmt.Sprintf("%.1f of 5", was), fmt.Sprintf("%.1f of 5", is),
			fmt.Sprintf("Evening sight %s from %.1f to %.1f of 5", direction(was, is), was, is))
	}
	return out
}

func direction(was, is float64) string {
	if is < was {
		return "fell"
	}
	return "rose"
}
