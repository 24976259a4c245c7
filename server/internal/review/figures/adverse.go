package figures

import (
	"slices"

	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// AdverseRow is one kind of event in a range, per 10,000 wearer-years with exact
// Poisson 95 % limits. Counts below five are hidden as elsewhere; then only the
// upper limit for four is given.
type AdverseRow struct {
	Kind     string   `json:"kind"`
	Title    string   `json:"title"`
	Events   Few      `json:"events"`
	Serious  Few      `json:"serious"`
	Per10000 *float64 `json:"per_10000"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
}

// adverseRows counts the events, all of them first, then those written down by kind,
// and last those that an alert was closed as and nobody wrote down, of which nobody
// said how serious they were; kinds of which there is none are left out.
func (in *Input) adverseRows(events []course.AdverseFact, closed int, years float64) []AdverseRow {
	out := []AdverseRow{in.adverseRow("all", "All events", len(events)+closed, serious(events), years)}
	for _, k := range course.AdverseKinds() {
		mine := slices.DeleteFunc(slices.Clone(events), func(e course.AdverseFact) bool { return e.Kind != k.Key })
		if len(mine) > 0 {
			out = append(out, in.adverseRow(k.Key, k.Title, len(mine), serious(mine), years))
		}
	}
	if closed > 0 {
		row := in.adverseRow("closed", "Alerts closed as an event, not written down", closed, 0, years)
		row.Serious = Few{Text: "not said"}
		out = append(out, row)
	}
	return out
}

func serious(events []course.AdverseFact) (n int) {
	for _, e := range events {
		if e.Serious {
			n++
		}
	}
	return n
}

func (in *Input) adverseRow(kind, title string, n, serious int, years float64) AdverseRow {
	row := AdverseRow{Kind: kind, Title: title, Events: in.few(n), Serious: in.few(serious)}
	if row.Events.Small {
		n = 4
	}
	rate, low, high, err := stats.PoissonRate(n, years)
	if err != nil {
		return row // no wearer-years
	}
	row.High = &high
	if !row.Events.Small {
		row.Per10000, row.Low = &rate, &low
	}
	return row
}
