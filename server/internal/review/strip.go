package review

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// StripOf writes the last nights before today as one letter each, the oldest
// first, and counts them by the definitions of the review: w worn, s short,
// x missed, d entries differ, . not logged, - no lens planned, or held back by the
// wear state. A capital letter
// means that tap water touched a lens or the case.
func StripOf(w care.WearerID, wearing []care.WearFact, nights []care.Night, plans []PlanFacts, today civil.Date, n int) (strip string, wear Share) {
	from, to := today.AddDays(-n), today.AddDays(-1)
	s := newState(Input{Wearer: care.Wearer{ID: w}, From: from, To: to, Today: today, Nights: nights, Plans: plans, Wear: wearing})
	letters := make([]byte, n)
	for i := range letters {
		letters[i] = '-'
	}
	water := careItem{field: "tap_water", bad: true}
	first := s.plan.FirstNight
	var rows []NightRow
	for _, row := range s.between(from, to) {
		if first.IsZero() && row.log == nil || row.row.Night.Before(first) {
			continue
		}
		rows = append(rows, row.row)
		c := map[Status]byte{Worn: 'w', Short: 's', Missed: 'x', NotLogged: '.', Differ: 'd'}[row.row.Status]
		if c != '.' && water.answerOf(row.log) == notDone {
			c -= 'a' - 'A'
		} else if row.row.Held != "" {
			c = '-'
		}
		letters[row.row.Night.DaysSince(from)] = c
	}
	return string(letters), wearShare(rows)
}
