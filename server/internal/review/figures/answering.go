package figures

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/stats"
)

// Wait is how long something took, in minutes.
type Wait struct {
	Median *float64 `json:"median"` // nil below five
	P90    *float64 `json:"p90"`
	// Each are the minutes one by one when there are fewer than five: how soon it
	// answers is the practice's own, and names no family.
	Each []float64 `json:"each"`
}

// waitOf sums up minutes.
func waitOf(minutes []float64) Wait {
	slices.Sort(minutes)
	if len(minutes) < 5 {
		return Wait{Each: minutes}
	}
	mid, p90 := stats.Median(minutes), stats.Quantile(minutes, 0.9)
	return Wait{Median: &mid, P90: &p90}
}

// RungRow is how often one person was rung in the night.
type RungRow struct {
	Name   string `json:"name"`
	Nights int    `json:"nights"` // with at least one message
	Rings  int    `json:"rings"`  // messages; those of one minute count once
}

// The hours in which people sleep, for [rungAtNight] (our choice).
const (
	sleepFrom = 22
	sleepTo   = 7
)

// rungAtNight counts for each person the messages between 22:00 and 07:00, most
// nights first: who is rung too often mutes the telephone.
func rungAtNight(alerts []review.AlertFact, from, to civil.Date) []RungRow {
	type minute struct {
		name string
		at   time.Time
	}
	rings, nights := map[minute]bool{}, map[string]map[civil.Date]int{}
	for _, a := range alerts {
		for _, r := range a.Rung {
			night := civil.DateOf(r.At.Add(-12 * time.Hour)) // its evening's
			m := minute{r.Name, r.At.Truncate(time.Minute)}
			if h := r.At.Hour(); h < sleepFrom && h >= sleepTo || night.Before(from) || night.After(to) || rings[m] {
				continue
			}
			rings[m] = true
			if nights[r.Name] == nil {
				nights[r.Name] = map[civil.Date]int{}
			}
			nights[r.Name][night]++
		}
	}
	out := []RungRow{}
	for name, of := range nights {
		row := RungRow{Name: name, Nights: len(of)}
		for _, n := range of {
			row.Rings += n
		}
		out = append(out, row)
	}
	slices.SortFunc(out, func(a, b RungRow) int { return cmp.Or(b.Nights-a.Nights, cmp.Compare(a.Name, b.Name)) })
	return out
}
