package figures

import (
	"slices"

	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// AdverseRow is one kind of event in a range, per 1,000 wearer-years with exact
// Poisson 95 % limits. Counts below five are hidden as elsewhere; then only the
// upper limit for four is given.
type AdverseRow struct {
	Kind    string   `json:"kind"`
	Title   string   `json:"title"`
	Events  Few      `json:"events"`
	Serious Few      `json:"serious"`
	Per1000 *float64 `json:"per_1000"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

// adverseRows counts the events that were written down, all of them first, then by
// kind; kinds of which there is none are left out.
func adverseRows(events []course.AdverseFact, years float64) []AdverseRow {
	out := []AdverseRow{adverseRow("all", "All events", events, years)}
	for _, k := range course.AdverseKinds() {
		mine := slices.DeleteFunc(slices.Clone(events), func(e course.AdverseFact) bool { return e.Kind != k.Key })
		if len(mine) > 0 {
			out = append(out, adverseRow(k.Key, k.Title, mine, years))
		}
	}
	return out
}

func adverseRow(kind, title string, events []course.AdverseFact, years float64) AdverseRow {
	serious := 0
	for _, e := range events {
		if e.Serious {
			serious++
		}
	}
	row := AdverseRow{Kind: kind, Title: title, Events: few(len(events)), Serious: few(serious)}
	shown := len(events)
	if row.Events.Small {
		shown = 4
	}
	rate, low, high, err := stats.PoissonRate(shown, years)
	if err != nil {
		return row // no wearer-years
	}
	rate, low, high = rate/10, low/10, high/10 // of 10,000 to of 1,000
	row.High = &high
	if !row.Events.Small {
		row.Per1000, row.Low = &rate, &low
	}
	return row
}
