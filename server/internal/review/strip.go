package review

import (
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/stats"
)

// StripOf writes the last nights before today as one letter each, the oldest
// first, and counts them by the definitions of the review: w worn, m worn as
// written from memory, s short, x missed, t told not to wear (a stop or a rest), d
// entries differ, . not logged, - no lens planned. A capital letter means that water
// touched a lens or the case: of the tap, or of a shower or swim with the lenses in; N that
// it did in a night not logged otherwise. entries are those that tell when each night was
// first written about, see [InTime].
func StripOf(w care.WearerID, wearing []care.WearFact, nights []care.Night, entries []*care.Entry, plans []PlanFacts, today civil.Date, n int) (strip string, wear stats.Share) {
	from := today.AddDays(-n)
	s := newState(Input{Wearer: care.Wearer{ID: w}, From: from, Today: today, Nights: nights, Entries: entries, Plans: plans, Wear: noNil(wearing)})
	s.trustOf() // marks the nights that were written from memory
	letters := make([]byte, n)
	for i := range letters {
		letters[i] = '-'
	}
	first := s.plan.FirstNight
	var rows []NightRow
	for _, row := range s.nights {
		if first.IsZero() && row.log == nil || row.row.Night.Before(first) {
			continue
		}
		rows = append(rows, row.row)
		letters[row.row.Night.DaysSince(from)] = letterOf(&row)
	}
	return string(letters), wearShare(rows)
}

func letterOf(n *night) byte {
	c := map[Status]byte{Worn: 'w', Short: 's', Missed: 'x', NotLogged: '.', Differ: 'd'}[n.row.Status]
	switch {
	case n.row.Held != "":
		c = 't'
	case n.row.Memory && (c == 'w' || c == 's'):
		c = 'm'
	}
	if wetNight(n.log) {
		if c == '.' {
			return 'N'
		}
		c -= 'a' - 'A'
	}
	return c
}

// noNil keeps a state from looking for the facts of the wear state among entries
// that are not all of them.
func noNil(facts []care.WearFact) []care.WearFact {
	if facts == nil {
		return []care.WearFact{}
	}
	return facts
}

// InTime reports whether an entry shows by itself that its night was not written
// from memory, in whatever zone: then no other entry of the night need be read.
// Zones lie within 14 hours of UTC.
func InTime(e *care.Entry) bool {
	wall, err := e.Instant()
	return err == nil && aboutNight(e.Kind) && wall.Before(endOf(e.Night, time.UTC).Add(lateAfter-14*time.Hour))
}

// wetNight reports whether water touched a lens or the case, by what the family logged.
func wetNight(n *care.Night) bool {
	return n != nil && (tapWaterOf(n) == notDone || careItem{field: "water_contact", bad: true}.answerOf(n) == notDone)
}
