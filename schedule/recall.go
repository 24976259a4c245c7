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
// optometric orthokeratology body, Hong Kong). A longer interval begins with a
// visit at three months and comes after it (International Myopia Institute
// clinical guidelines, 2019: three months, then six-monthly), so that no gap of
// six months follows the first month. everyMonths is 3 to 6.
func DefaultRecalls(everyMonths int) []RecallStep {
	steps := []RecallStep{
		{Kind: "first-morning", Days: 1}, {Kind: "one-week", Days: 7}, {Kind: "two-week", Days: 14},
		{Kind: "one-month", Months: 1},
	}
	if everyMonths > 3 {
		steps = append(steps, RecallStep{Kind: "recall", Months: 3})
	}
	return append(steps, RecallStep{Kind: "recall", EveryMonths: everyMonths})
}

// MostMonths is the longest time between visits of a series (the second of the two
// sources of [DefaultRecalls]); before the visit at three months it is less.
const MostMonths = 6

// FarApart says what of a series of visits leaves too long without one: the months
// between two of them, and how many months after the first night that begins. A series
// that ends is 0 months and where. False when it leaves no such gap.
func FarApart(steps []RecallStep) (months, after int, far bool) {
	at := 0
	for _, s := range steps {
		next := at + s.EveryMonths
		if s.EveryMonths == 0 {
			next = s.Months + s.Days/30
		}
		if gap := next - at; gap > MostMonths || gap == MostMonths && at < 3 {
			return gap, at, true
		}
		if at = next; s.EveryMonths > 0 {
			return 0, 0, false
		}
	}
	return 0, at, true
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

// grace is how many days either side of its date a visit counts as on time
// (common practice; a first morning is that morning and no other), and reach
// how far off a visit without a due date may be and still be taken for it.
var grace = map[string]struct{ days, reach int }{
	"first-morning": {0, 2}, "one-week": {2, 3}, "two-week": {3, 4}, "one-month": {7, 14}, "recall": {14, 45},
}

// FirstMorningHours is how soon after waking the first-morning visit is:
// within 2 hours (recall schedule of an optometric orthokeratology body, Hong
// Kong).
const FirstMorningHours = 2

// maxRecalls ends the series of a plan that was never stopped: 50 years of
// monthly visits.
const maxRecalls = 600

// Recalls returns the visits of the plan in order of their dates: all of the
// past, and of a repeating step the first that is still to come.
//
// Months are calendar months: a first night of 1 March asks for the one-month
// visit on 1 April, one of 31 January for 28 or 29 February. A repeating step
// counts from the date of the step before it. lensStarts are the dates on which a new
// lens was first worn; each asks for a first-morning visit of its own and
// restarts nothing else. A moved visit moves no other unless it says so, and a
// missed one keeps its date.
//
// A wearer who was taken over in mid-course has the steps that are due from that
// date on, and those before it for which there is a visit.
//
// A visit belongs to the step whose kind and due date it carries; one without
// a due date to the nearest step of its kind. Visits booked or missed beyond
// the plan are listed too, and so are those after the one that settled their step:
// a wearer who was seen early and then did not come was not seen since.
func Recalls(p Plan, visits []Visit, lensStarts []civil.Date, today civil.Date) []Recall {
	if p.FirstNight.IsZero() {
		return nil
	}
	m := matcher{visits: visits, used: make([]bool, len(visits)), today: today}
	out := m.series(p)
	for _, l := range lensStarts {
		due := l.AddDays(1)
		again := slices.ContainsFunc(out, func(r Recall) bool { return r.Kind == "first-morning" && r.Due == due })
		if l.After(p.FirstNight) && !again && !due.Before(p.TakenOver) && (p.Stopped.IsZero() || l.Before(p.Stopped)) {
			r, _ := m.recall("first-morning", due)
			out = append(out, r)
		}
	}
	out = append(out, m.rest()...)
	for i := range out {
		out[i].Passed = slices.ContainsFunc(out, func(r Recall) bool {
			return r.State == "kept" && r.Due.After(out[i].Due) && !r.Date.Before(out[i].Date)
		})
	}
	slices.SortStableFunc(out, func(a, b Recall) int { return a.Due.Compare(b.Due) })
	return out
}

// matcher hands each visit to at most one step.
type matcher struct {
	visits []Visit
	used   []bool
	again  []Visit // booked or missed after their step was settled
	today  civil.Date
}

func (m *matcher) series(p Plan) []Recall {
	from := p.FirstNight
	if !p.RecallsFrom.IsZero() {
		from = p.RecallsFrom
	}
	var out []Recall
	before, shift := from, 0
	for _, s := range p.Recalls {
		for n := 1; n <= maxRecalls; n++ {
			nominal := from.AddMonths(s.Months).AddDays(s.Days)
			if s.EveryMonths > 0 {
				nominal = before.AddMonths(n * s.EveryMonths)
			}
			due := nominal.AddDays(shift)
			if !p.Stopped.IsZero() && !due.Before(p.Stopped) {
				return out
			}
			r, moved := m.recall(s.Kind, due)
			if shift += moved; r.Visit != "" || !due.Before(p.TakenOver) {
				out = append(out, r)
			}
			if s.EveryMonths == 0 {
				before = nominal
				break
			}
			if due.After(m.today) && !r.settled() {
				break
			}
		}
	}
	return out
}

// recall returns the step of a kind that is due on a date, with what became of
// it, and the days by which it moves the later ones.
func (m *matcher) recall(kind string, due civil.Date) (Recall, int) {
	g := grace[kind]
	r := Recall{Kind: kind, Due: due, From: due.AddDays(-g.days), To: due.AddDays(g.days), State: "due"}
	r.WithinHours = withinHours(kind)
	moved, best := 0, 0
	var own []Visit
	for i, v := range m.visits {
		if m.used[i] || v.Kind != kind || !v.belongs(due, g.reach) {
			continue
		}
		m.used[i] = true
		own = append(own, v)
		if w := m.weight(v); w > best {
			best, r.Visit, r.Date, r.State = w, v.ID, v.Date, m.state(v)
			moved = 0
			if v.ShiftLater {
				moved = v.Date.DaysSince(due)
			}
		}
	}
	m.judge(&r)
	for _, v := range own {
		if r.settled() && v.Date.After(r.Date) {
			v.Due = civil.Date{}
			m.again = append(m.again, v)
		}
	}
	return r, moved
}

func withinHours(kind string) int {
	if kind == "first-morning" {
		return FirstMorningHours
	}
	return 0
}

func (r Recall) settled() bool { return r.State == "kept" || r.State == "waived" }

func (v Visit) belongs(due civil.Date, reach int) bool {
	if !v.Due.IsZero() {
		return v.Due == due
	}
	off := v.Date.DaysSince(due)
	return off >= -reach && off <= reach
}

// weight orders visits by how much they settle: 0 settles nothing.
func (m *matcher) weight(v Visit) int {
	return 1 + slices.Index([]string{"overdue", "missed", "booked", "waived", "kept"}, m.state(v))
}

// state is the visit's own, but an appointment whose date went by without a
// record is overdue, and a cancelled one leaves the step as it was.
func (m *matcher) state(v Visit) string {
	if v.State == "booked" && v.Date.Before(m.today) {
		return "overdue"
	}
	return v.State
}

// judge counts the days a visit that is still to be kept is late.
func (m *matcher) judge(r *Recall) {
	if r.settled() {
		return
	}
	r.Overdue = max(0, m.today.DaysSince(r.Due))
	if r.State == "due" && r.Overdue > 0 {
		r.State = "overdue"
	}
}

// rest returns the visits booked or missed that no step of the plan asks for.
func (m *matcher) rest() []Recall {
	var out []Recall
	left := slices.Clone(m.again)
	for i, v := range m.visits {
		if !m.used[i] {
			left = append(left, v)
		}
	}
	for _, v := range left {
		if v.State != "booked" && v.State != "missed" {
			continue
		}
		due := v.Due
		if due.IsZero() {
			due = v.Date
		}
		r := Recall{Kind: v.Kind, Due: due, From: due, To: due, WithinHours: withinHours(v.Kind),
			State: m.state(v), Visit: v.ID, Date: v.Date}
		m.judge(&r)
		out = append(out, r)
	}
	return out
}
