package review

import (
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/episode"
)

// CallInput is what [NeedsCall] and [Standing] look at for one wearer. Nights
// need to reach back 35 days, and while a wearer gets used to the lenses to the
// first night.
type CallInput struct {
	Wearer care.Wearer
	Plan   PlanFacts
	Nights []care.Night
	// Wear is what the wear state reads, of all times: a night under a stop is
	// no missed one.
	Wear []care.WearFact
	// Tonight is the night that runs, by the clock of the practice; zero: that of
	// today's evening. The rules look back from it.
	Tonight civil.Date
	// NightSigns are what the rules may look at, in order, [care.RecordNights] back.
	NightSigns []care.NightSigns
	// LastNight is the last night up to Tonight that an entry about this wearer
	// tells of; zero when none does.
	LastNight civil.Date
	// Due is what has a date by the plan, as [schedule.Supplies] gives it.
	Due []schedule.Item
	// LastHeard is the practice's calendar date on which the last entry about
	// this wearer arrived; zero when none ever did.
	LastHeard civil.Date
	Enrolled  civil.Date            // date on which the practice made the family; zero when not known
	Joined    civil.Date            // date the family's first device joined; zero when none did
	Events    []course.AdverseEvent // what the practice wrote down of an eye, of all times
	// Closed are the alerts closed with an outcome that is an adverse event, of all times.
	Closed   []AlertFact
	Visits   []course.Visit // kept and missed ones of the last 13 months, and all with an axial length
	Recalls  []schedule.Recall
	Supplies []SupplyDue
	Claims   []care.Claim          // decisions that only phones hold, the newest first
	LensesIn []care.LensIn         // lenses that are in by the last word of the log
	Lost     []care.LostLens       // lenses that were lost, with none in their place
	Done     []FollowUp            // what was already done about a reason
	Wrote    []episode.FamilyWords // notes and answers of the last nights
	Before   *AlertFact            // a red flag closed before decisions about wear were kept, which no clinician has confirmed since
	// Limits are the practice's settings of the rules; absent ones have the usual
	// value. A list goes by the same as the rules do.
	Limits map[string]int
	// PausedUntil is the last night of a pause of reminders that the family set
	// and that holds today, with PauseReason; zero when there is none. It is
	// said beside a silence and excuses none.
	PausedUntil civil.Date
	PauseReason string // away or ill
	// Courses are all stretches of wear; nil: the one of Plan.
	Courses []course.Course
}

// SupplyDue is something that has to be replaced by a date.
type SupplyDue struct {
	Item string     `json:"item"`
	Eye  string     `json:"eye,omitempty"`
	Due  civil.Date `json:"due"`
}

// FollowUp records that somebody dealt with a reason to call.
type FollowUp struct {
	Wearer  care.WearerID `json:"wearer"`
	Rule    string        `json:"rule"`
	On      civil.Date    `json:"on"`
	At      time.Time     `json:"-"`  // the instant, server clock
	By      string        `json:"by"` // name of the member of staff
	Outcome string        `json:"outcome"`
	Note    string        `json:"note,omitempty"`
	Until   civil.Date    `json:"until"` // the reason stays off the list before this date
}

// Call is one wearer whose family needs a call, with every reason.
type Call struct {
	Wearer  care.WearerID `json:"wearer"`
	Name    string        `json:"name"`
	Code    string        `json:"code"`
	Rank    int           `json:"rank"` // of the most pressing reason; 1 is first
	Reasons []Reason      `json:"reasons"`
	Done    []FollowUp    `json:"done"` // past follow-ups, newest first
}

// Reason is why a wearer is on the list.
type Reason struct {
	Rule     string     `json:"rule"`
	Title    string     `json:"title"`
	Text     string     `json:"text"`     // fit to say to a parent
	Evidence string     `json:"evidence"` // counts and dates
	Basis    string     `json:"basis"`
	Rank     int        `json:"rank"`
	Since    civil.Date `json:"since"` // when it became true; zero when not known
	// Fresh is the newest day of what makes it true, for a follow-up to settle only what
	// came before it; zero: Since.
	Fresh civil.Date `json:"-"`
	// Words are what the family wrote, of the reason that it did, newest first.
	Words []episode.FamilyWords `json:"words,omitempty"`
}

// CallList is the list with the order explained.
type CallList struct {
	Calls []Call     `json:"calls"`
	Order []OrderRow `json:"order"`
}

// OrderRow explains one rank of the list.
type OrderRow struct {
	Rank     int    `json:"rank"`
	Rule     string `json:"rule"`
	Title    string `json:"title"`
	Why      string `json:"why"`
	Families int    `json:"families"` // how many rows of the list have this reason
}

// Courses reads the courses from the versions of a plan, the oldest first. A
// version whose first night is on or after the stop of the one before begins a new
// course; any other corrects the course that there is.
func Courses(plans []PlanFacts) []course.Course {
	out := []course.Course{}
	for _, p := range plans {
		if p.FirstNight.IsZero() {
			continue
		}
		c := course.Course{First: p.FirstNight, Stopped: p.Stopped, BaselineRight: p.BaselineRight, BaselineLeft: p.BaselineLeft}
		last := len(out) - 1
		if last < 0 || !out[last].Stopped.IsZero() && !p.FirstNight.Before(out[last].Stopped) {
			out = append(out, c)
		} else {
			out[last] = c
		}
	}
	return out
}

// courses are those of the wearer, or else what the plan in force says of them.
func (in *CallInput) courses() []course.Course {
	if in.Courses != nil {
		return in.Courses
	}
	return Courses([]PlanFacts{in.Plan})
}
