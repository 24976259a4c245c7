package schedule

import (
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
)

// RecallStep is one visit the recall plan asks for.
type RecallStep struct {
	Kind   string `json:"kind"`   // first-morning, one-week, two-week, one-month or recall
	Days   int    `json:"days"`   // after the date the series counts from
	Months int    `json:"months"` // calendar months after it; a day that month lacks becomes its last
	// EveryMonths makes the step repeat for ever, counted from the step before
	// it, 1 to 24; 0: once. Days and Months are then 0.
	EveryMonths int `json:"every_months"`
}

// recallKinds are the kinds of visit a plan can ask for.
var recallKinds = []string{"first-morning", "one-week", "two-week", "one-month", "recall"}

// DefaultRecalls returns the usual series: the first morning, one week, two
// weeks, one calendar month, then every three months (recall schedule of an
// optometric orthokeratology body, Hong Kong) or every six once established
// (International Myopia Institute clinical guidelines, 2019).
func DefaultRecalls(everyMonths int) []RecallStep {
	return []RecallStep{
		{Kind: "first-morning", Days: 1}, {Kind: "one-week", Days: 7}, {Kind: "two-week", Days: 14},
		{Kind: "one-month", Months: 1}, {Kind: "recall", EveryMonths: everyMonths},
	}
}

func (s RecallStep) check() error {
	repeats := s.EveryMonths != 0
	switch {
	case !slices.Contains(recallKinds, s.Kind):
		return fmt.Errorf("kind: want one of %v", recallKinds)
	case repeats && (s.EveryMonths < 1 || s.EveryMonths > 24 || s.Days != 0 || s.Months != 0):
		return fmt.Errorf("every_months: want 1 to 24, without days and months")
	case !repeats && (s.Days < 0 || s.Months < 0 || s.Days+s.Months == 0 || s.Days > 366 || s.Months > 24):
		return fmt.Errorf("days: want 1 to 366 days or 1 to 24 months after the first night")
	}
	return nil
}

// Visit is an appointment, as far as the schedule needs it.
type Visit struct {
	ID    string     `json:"id"`
	Kind  string     `json:"kind"`
	Date  civil.Date `json:"date"`  // of the appointment, at the practice
	Due   civil.Date `json:"due"`   // date the plan asked for, as [Recall.Due] gave it; zero when not known
	State string     `json:"state"` // booked, kept, missed, cancelled, or waived: the practitioner does without it
	// ShiftLater moves the later visits of the series by as many days as Date
	// differs from Due. Without it a moved visit moves nothing else.
	ShiftLater bool `json:"shift_later"`
}

// Recall is one visit of the plan and what became of it.
type Recall struct {
	Kind string     `json:"kind"`
	Due  civil.Date `json:"due"`
	// From and To bound the dates on which the visit still counts as on time,
	// both included.
	From civil.Date `json:"from"`
	To   civil.Date `json:"to"`
	// WithinHours is how soon after waking the wearer must be seen; 0: any time.
	WithinHours int `json:"within_hours"`
	// State is due (not booked, its date not past), booked, kept, waived,
	// missed (an appointment was not kept) or overdue (its date is past and
	// nothing is booked). Missed and overdue stay until the visit is kept,
	// booked again or waived.
	State   string     `json:"state"`
	Overdue int        `json:"overdue"` // days past Due, for any state but kept and waived
	Visit   string     `json:"visit"`   // id of the visit that decided the state
	Date    civil.Date `json:"date"`    // its date; zero when there is none
	// Passed is set when a later visit of the same series was kept: still
	// missed, but there is nothing left to chase.
	Passed bool `json:"passed"`
}
