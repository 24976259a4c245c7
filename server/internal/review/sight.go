package review

import "slices"

// The evening-blur rule: the middle of the last 3 evenings is at least one
// grade below the wearer's own earlier middle, on each of the last 3 evenings
// (common practice; no published limit of evening blur was found, so a wearer
// is compared with their own last 14 evenings only).
const (
	sightRecent = 3
	sightOwn    = 14
	sightDrop   = 1
)

// fading says whether the evening-blur rule holds at the end of the rows, with
// the two middles.
func fading(rows []SightRow) (was, is float64, holds bool) {
	if len(rows) < 2*sightRecent+1 {
		return 0, 0, false
	}
	for back := sightRecent - 1; back >= 0; back-- {
		upto := rows[:len(rows)-back]
		recent := upto[len(upto)-sightRecent:]
		own := rows[max(0, len(rows)-sightOwn-sightRecent) : len(rows)-sightRecent]
		if back > 0 {
			recent = recent[len(recent)-1:] // that evening alone
		}
		was, is = middle(own), middle(recent)
		if was-is < sightDrop {
			return was, is, false
		}
	}
	return was, is, true
}

func middle(rows []SightRow) float64 {
	var x []float64
	for _, r := range rows {
		x = append(x, float64(r.Rating))
	}
	return median(slices.Clone(x))
}
