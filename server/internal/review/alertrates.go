package review

import (
	"nightkeep/alerts"
	"nightkeep/schedule/civil"
)

// alertRates counts the alerts opened in the range by the highest level each
// reached. A range without a night has no rate.
func (s *state) alertRates(nights int) []AlertRate {
	out := []AlertRate{}
	if nights == 0 {
		return out
	}
	for level := alerts.Emergency; level >= alerts.Routine; level-- {
		r := AlertRate{Level: level.String(), Nights: nights}
		for _, a := range s.in.Alerts {
			on := civil.DateOf(a.Opened)
			if a.Level == r.Level && !on.Before(s.from) && !on.After(s.to.AddDays(1)) { // the last night ends the day after
				r.Opened++
			}
		}
		const tenth = 10 // PoissonRate is of 10,000
		per, low, high, err := PoissonRate(r.Opened, float64(nights))
		if err != nil {
			return []AlertRate{}
		}
		r.Per1000, r.Low, r.High = per/tenth, low/tenth, high/tenth
		out = append(out, r)
	}
	return out
}
