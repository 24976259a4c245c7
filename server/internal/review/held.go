package review

import (
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Held is the wear state that kept the lenses out of a night; empty for a night
// on which they were worn, or on which nothing held them back.
type Held string

// Of the two, a stop leaves every share, and a rest stands apart in its bounds.
const (
	HeldStop Held = "stop" // no planned eye was allowed a lens
	HeldRest Held = "rest" // what was left out is an eye at rest
)

func (r *NightRow) worn() bool { return r.Counted == Worn || r.Counted == Short }

func (c *Counts) held(h Held) {
	if h == HeldStop {
		c.Stopped++
	} else {
		c.Rest++
	}
}

// heldWords says how many nights the wear state held back, for a list of counts.
func (c *Counts) heldWords() string {
	var text string
	if c.Stopped > 0 {
		text += fmt.Sprintf(", %d stopped", c.Stopped)
	}
	if c.Rest > 0 {
		text += fmt.Sprintf(", %d at rest", c.Rest)
	}
	return text
}

// wearOf returns the facts of the wear state, nil when none of them can hold a
// lens back: then no night need be asked about.
func wearOf(in Input) []care.WearFact {
	facts := in.Wear
	if facts == nil {
		for _, e := range in.Entries {
			if e.Wearer == in.Wearer.ID && e.OfWear() {
				facts = append(facts, e.WearFact())
			}
		}
	}
	holds := slices.ContainsFunc(facts, func(f care.WearFact) bool {
		return f.Kind == care.Cease || f.Kind == care.WearStart || max(f.Told.Worst(), f.Judged.Worst()) >= care.Rest
	})
	if !holds {
		return nil
	}
	return facts
}

// readNight reads one night with what the wear state says of it, by the
// definition of the family's own progress: a night with lenses counts as it is;
// one without is no missed night while every planned eye was stopped. Of two
// eyes with one stopped, the other alone decides. A night that only an eye at
// rest makes a missed one is a rest.
func (s *state) readNight(d civil.Date, plan PlanFacts) NightRow {
	n := s.all[d]
	row := nightRow(d, n, plan, s.zones)
	if s.wear == nil || row.worn() {
		return row
	}
	wear := care.WearOf(s.wear, d, true, nil)
	free := plan.eyesBelow(care.Stop, &wear)
	if len(free) == 0 {
		row.Held = HeldStop
		return row
	}
	plan = plan.only(free)
	if row = nightRow(d, n, plan, s.zones); row.worn() {
		return row
	}
	awake := plan.eyesBelow(care.Rest, &wear)
	if len(awake) == len(free) {
		return row
	}
	rest := len(awake) == 0
	if !rest {
		other := nightRow(d, n, plan.only(awake), s.zones)
		rest = other.worn()
	}
	if rest {
		row.Held = HeldRest
	}
	return row
}

// eyesBelow are the planned eyes whose wear state is less careful than a mark.
func (p PlanFacts) eyesBelow(mark care.Mark, wear *care.Wear) []string {
	return slices.DeleteFunc(p.eyes(), func(eye string) bool { return wear.Eye(eye).State >= mark })
}

// only returns the plan for some of its eyes.
func (p PlanFacts) only(eyes []string) PlanFacts {
	if len(eyes) == 1 {
		p.Eyes = eyes[0]
	}
	return p
}
