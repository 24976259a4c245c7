package schedule

import (
	"errors"
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
)

// Own are the times at which a family wants to be reminded, instead of the
// plan's and within it. The zero value changes nothing.
type Own struct {
	Every Clocks `json:"every"`
	// Free are the clocks of free nights, those before a day without school: an
	// evening and the morning after it.
	Free Clocks `json:"free"`
	// FreeNights are the weekdays of free nights, 0 Sunday to 6 Saturday: where
	// the weekend is Saturday and Sunday they are 5 and 6.
	FreeNights []int `json:"free_nights"`
	// Holidays are the school holidays: every night of them is free.
	Holidays []Nights `json:"holidays"`
	// Quiet are the family's own quiet hours; nil: the plan's.
	Quiet *QuietHours `json:"quiet,omitempty"`
}

// Clocks are the reminders of a night that a family may move; nil: not moved.
type Clocks struct {
	InsertionAt    *civil.Clock `json:"insertion_at,omitempty"`
	RemovalAt      *civil.Clock `json:"removal_at,omitempty"`
	EveningSightAt *civil.Clock `json:"evening_sight_at,omitempty"`
}

// Nights is a stretch of nights, first and last included.
type Nights struct {
	From civil.Date `json:"from"`
	To   civil.Date `json:"to"`
}

// QuietHours is a stretch of the day, From included and To not; equal clocks are none.
type QuietHours struct {
	From civil.Clock `json:"from"`
	To   civil.Clock `json:"to"`
}

// Limits of what a family may set (our own): the longest school holidays last
// about three months.
const (
	MaxHolidays      = 20
	MaxHolidayNights = 120
)

// of returns one of the clocks by its field name.
func (c *Clocks) of(field string) *civil.Clock {
	switch field {
	case "insertion_at":
		return c.InsertionAt
	case "removal_at":
		return c.RemovalAt
	}
	return c.EveningSightAt
}

// free reports whether a night is before a day without school.
func (o *Own) free(night civil.Date) bool {
	return slices.Contains(o.FreeNights, int(night.Weekday())) ||
		slices.ContainsFunc(o.Holidays, func(h Nights) bool { return !night.Before(h.From) && !night.After(h.To) })
}

// over returns the plan with the family's own times.
func (o *Own) over(p Plan) Plan {
	p.Own = o
	if o.Quiet != nil {
		p.QuietFrom, p.QuietTo = o.Quiet.From, o.Quiet.To
	}
	return p
}

// clockOn returns the clock of a reminder on a night, by its field name: the
// family's own where it has one.
func (p *Plan) clockOn(field string, night civil.Date) civil.Clock {
	if o := p.Own; o != nil {
		if c := o.Free.of(field); c != nil && o.free(night) {
			return *c
		}
		if c := o.Every.of(field); c != nil {
			return *c
		}
	}
	return p.clock(field)
}

// Check returns every fault of the times under a plan, each naming its field and
// what is accepted. A lens goes in not before the plan's wear begins and early
// enough for the fewest hours; it comes out after those, and not after the wear
// ends; sight is asked before it goes in; and no time lies in the quiet hours.
func (o *Own) Check(p Plan) error {
	var faults []error
	for _, d := range o.FreeNights {
		if d < 0 || d > 6 {
			faults = append(faults, errors.New("own.free_nights: want weekdays from 0 Sunday to 6 Saturday"))
		}
	}
	if len(o.Holidays) > MaxHolidays {
		faults = append(faults, fmt.Errorf("own.holidays: want at most %d", MaxHolidays))
	}
	for i, h := range o.Holidays {
		if n := h.To.DaysSince(h.From) + 1; h.From.IsZero() || h.To.IsZero() || n < 1 || n > MaxHolidayNights {
			faults = append(faults, fmt.Errorf("own.holidays[%d]: want a first and a last night, in this order, at most %d nights", i, MaxHolidayNights))
		}
	}
	every := o.over(p)
	every.Own = nil
	every.take(&o.Every)
	free := every
	free.take(&o.Free)
	faults = append(faults, every.checkOwn("every", o.Quiet != nil || o.Every != Clocks{})...)
	return errors.Join(append(faults, free.checkOwn("free", o.Free != Clocks{})...)...)
}

func (p *Plan) take(c *Clocks) {
	for from, to := range map[*civil.Clock]*civil.Clock{c.InsertionAt: &p.InsertionAt, c.RemovalAt: &p.RemovalAt, c.EveningSightAt: &p.EveningSightAt} {
		if from != nil {
			*to = *from
		}
	}
}

// checkOwn checks a plan that has the times of a family in it.
func (p *Plan) checkOwn(which string, chosen bool) (faults []error) {
	if !chosen {
		return nil
	}
	want := func(ok bool, field, accepts string) {
		if !ok {
			faults = append(faults, fmt.Errorf("own.%s.%s: want %s", which, field, accepts))
		}
	}
	need := int(p.MinHours * 60)
	late := civil.Clock((int(p.WearTo) - need + 2*1440) % 1440)
	early := civil.Clock((int(p.InsertionAt) + need) % 1440)
	begins := int(p.InsertionAt-p.WearFrom+1440) % 1440
	want(begins+need <= span(p.WearFrom, p.WearTo), "insertion_at", fmt.Sprintf("a time from %s to %s", p.WearFrom, late))
	in := span(p.InsertionAt, p.RemovalAt)
	want(in >= need && in <= span(p.InsertionAt, p.WearTo), "removal_at", fmt.Sprintf("a time from %s to %s", early, p.WearTo))
	noon := civil.NightStarts
	sight, lens := int(p.EveningSightAt-noon), int(p.InsertionAt-noon+1440)%1440
	want(sight >= 0 && sight <= lens, "evening_sight_at", fmt.Sprintf("a time from %s to %s", noon, p.InsertionAt))
	for field, at := range map[string]civil.Clock{"insertion_at": p.InsertionAt, "removal_at": p.RemovalAt, "evening_sight_at": p.EveningSightAt} {
		want(!p.quiet(at), field, fmt.Sprintf("a time outside the quiet hours %s to %s", p.QuietFrom, p.QuietTo))
	}
	slices.SortFunc(faults, func(a, b error) int {
		if a.Error() < b.Error() {
			return -1
		}
		return 1
	})
	return faults
}
