// Package review turns what a family logged into what a practitioner needs
// before a recall, and what a practice needs to run its day: the summary of
// one wearer, and the list of who needs a call. Its rooms: course holds what the
// practice wrote of a course of wear, episode the reports behind one alert,
// figures a whole practice, stats the arithmetic.
//
// It is pure: nights, entries, visits and plan facts come in, today is an
// argument, nothing reads a clock or a store. It refuses to judge an eye:
// every point it raises is produced by a named rule and carries its evidence
// and its basis, for the practitioner to decide.
//
// Invariant: a night nobody wrote about is unknown. It is never counted as
// worn, as missed, or as a care item left out, and every share is given with
// its denominator.
package review

import (
	"nightkeep/alerts"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/review/stats"
)

// Input is what [Summarise] looks at: one wearer over a range of nights.
// Slices may come in any order and may reach beyond the range; they are only
// read.
type Input struct {
	Wearer care.Wearer
	// From and To bound the range, both included. A zero From means the night
	// of the last visit kept before Today, or 90 nights back when there is
	// none. A zero To means the last complete night before Today.
	From, To civil.Date
	// Today is the calendar date at the practice. The night of Today has not
	// ended, so it is never reported as not logged.
	Today   civil.Date
	Nights  []care.Night          // folded, of this wearer
	Entries []*care.Entry         // the log behind those nights, with what the server added
	Plans   []PlanFacts           // every version of the plan
	Visits  []course.Visit        // every visit, kept or missed
	Alerts  []AlertFact           // every alert of this wearer
	Events  []course.AdverseEvent // what happened to an eye, as the practice wrote it down, of all times
	Endings []course.Ending       // why wear was ended
	Wear    []care.WearFact       // what the wear state reads, of all times; nil takes it from Entries
	People  map[care.PersonID]string
	Lenses  map[string]string // the lens in use by eye, in words; may be nil
	// Call is what Today goes by: what it says of this wearer the review says too.
	// Nil leaves that out.
	Call *CallInput
}

// PlanFacts is one version of a care plan as the review needs it: the plan
// the schedule runs on, and what only the practitioner looks at.
type PlanFacts struct {
	schedule.Plan
	// CareItems are the care questions that belong to every removal under this
	// plan, as field names of a care entry; empty means
	// all of careItems.
	CareItems []string `json:"care_items,omitempty"`
	// BaselineRight and BaselineLeft are the spherical equivalents before
	// treatment, in dioptres at the spectacle plane; 0 when not set.
	BaselineRight float64 `json:"baseline_right"`
	BaselineLeft  float64 `json:"baseline_left"`
}

// DefaultMinHours is used when a plan names no minimum: 6 hours (common
// practice; practices set their own, and one published group wore lenses for
// 6 to 8 hours a night in 73 %, Santolaria-Sanz 2013).
const DefaultMinHours = 6

// AlertFact is what the review needs to know of an alert.
type AlertFact struct {
	ID       care.AlertID  `json:"id"`
	Wearer   care.WearerID `json:"wearer"`
	Rule     string        `json:"rule"`
	Title    string        `json:"title"`
	Eye      string        `json:"eye,omitempty"` // right, left or both, as its card names it
	Level    string        `json:"level"`         // emergency, urgent, routine or note
	State    string        `json:"state"`         // open, acknowledged or closed
	Began    time.Time     `json:"began,omitzero"`
	Opened   time.Time     `json:"opened"`
	AckAt    time.Time     `json:"ack_at,omitzero"`
	CalledAt time.Time     `json:"-"` // the first call that reached the family
	Rung     []Ring        `json:"-"` // whom its messages reached, and when
	ClosedAt time.Time     `json:"closed_at,omitzero"`
	Outcome  string        `json:"outcome"`         // one of [episode.Outcomes], empty while not closed
	Found    []string      `json:"found,omitempty"` // what was reported in it, in words with the eye
	// Closings are all there were, oldest first, also before it was opened again.
	Closings []Closing `json:"closings,omitempty"`
}

// Closing is one closing of an alert as the review shows it.
type Closing struct {
	At       time.Time `json:"at"`
	By       string    `json:"by"`      // name
	Outcome  string    `json:"outcome"` // one of [episode.Outcomes]
	Note     string    `json:"note,omitempty"`
	Decision string    `json:"decision,omitempty"` // about wear
	Where    string    `json:"where,omitempty"`    // the wearer was sent on
	Minutes  *float64  `json:"minutes"`            // from its opening until somebody took it; nil when not known
	Lenses   []EyeSaid `json:"lenses,omitempty"`   // right first; an eye of which nothing was said is left out
}

// EyeSaid is what a closing said to the family of the lens of one eye.
type EyeSaid struct {
	Eye      string     `json:"eye" enum:"right,left"`
	Again    bool       `json:"again"`              // a lens again, from a night on; else none
	From     civil.Date `json:"from,omitzero"`      // of again; of none, the first night without: zero at once
	Check    bool       `json:"check,omitempty"`    // of again: after an eye check that day
	ReviewBy civil.Date `json:"review_by,omitzero"` // of none
}

// AlertRate is how many alerts of a level were opened in the range, per 1,000
// nights of it, worn or not, with exact Poisson 95 % limits: how often this
// wearer's rules cry, for rules that cry often are no longer heard.
type AlertRate struct {
	Level   string  `json:"level"`
	Opened  int     `json:"opened"`
	Nights  int     `json:"nights"`
	Per1000 float64 `json:"per_1000"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
}

// Summary is one wearer before a recall. Times are UTC instants, dates are
// calendar dates of the evening.
type Summary struct {
	// ConsentWithdrawn says that nobody of the family consents any more, so that
	// nothing they log is taken but reports of a sore eye.
	ConsentWithdrawn bool `json:"consent_withdrawn,omitempty"`
	// Phones are the numbers of the family while a lens is in an eye that may have none.
	Phones []Phone `json:"phones,omitempty"`
	// Mark changes with everything else of the summary; whoever answers it fills it in.
	Mark string `json:"mark"`

	Wearer     care.Wearer       `json:"wearer"`
	Today      civil.Date        `json:"today"`
	From       civil.Date        `json:"from"`
	To         civil.Date        `json:"to"`
	Age        float64           `json:"age"`        // years on Today, one decimal; 0 when the birth date is not known
	Plan       *PlanFacts        `json:"plan"`       // the version in force on To; nil when there is none
	Ends       *course.EndOfWear `json:"ends"`       // the end of wear that holds or lies ahead; nil while none does
	Course     int               `json:"course"`     // which stretch of wear has begun by Today, 1 the first; 0 when none has
	LastVisit  *course.Visit     `json:"last_visit"` // the last one kept of this course, up to and with Today; a period since it begins at the one before Today
	Overdue    civil.Date        `json:"overdue"`    // date of the visit that is longest overdue; zero when none is
	NextVisit  *course.Visit     `json:"next_visit"`
	Nights     []NightRow        `json:"nights"` // every night of the range, in order
	Counts     Counts            `json:"counts"`
	Wear       stats.Share       `json:"wear"` // nights worn, short ones too, among nights answered
	Hours      Spread            `json:"hours"`
	Bedtime    Bedtime           `json:"bedtime"`
	Weekdays   []WeekdayRow      `json:"weekdays"` // Monday first
	Care       []CareRow         `json:"care"`     // the plan's items, in the plan's order
	AllCare    stats.Share       `json:"all_care"` // nights with every item done; never a mean of the items
	Sight      []SightRow        `json:"sight"`
	Acuity     []AcuityRow       `json:"acuity"`
	Effect     []EffectRow       `json:"effect"` // right, then left; empty without a baseline
	Mornings   []MorningRow      `json:"mornings"`
	Symptoms   []SymptomRow      `json:"symptoms"`
	Supplies   []SupplyRow       `json:"supplies"`
	Alerts     []AlertFact       `json:"alerts"`
	AlertRates []AlertRate       `json:"alert_rates"` // of the range by level, most pressing first; empty without a night
	Notes      []NoteRow         `json:"notes"`
	// Words are what the family wrote lately, or that nobody of the practice has read,
	// whatever the range, newest first.
	Words      []episode.FamilyWords `json:"words"`
	Pauses     []PauseRow            `json:"pauses"`   // of the range, any that holds today, and those to come
	Timeline   []Event               `json:"timeline"` // symptoms, alerts, supplies, pauses, visits and plans on one axis up to today; pauses also to come
	Growth     []GrowthRow           `json:"growth"`   // right, then left; empty without two readings
	Trust      Trust                 `json:"trust"`
	Points     []Point               `json:"points"`      // to raise, most pressing first
	Rules      []RuleRow             `json:"rules"`       // about the log, that hold as of tonight, most pressing first
	Changes    []Change              `json:"changes"`     // since the last visit
	Glance     Glance                `json:"glance"`      // the first screen and the first sheet
	CannotTell []string              `json:"cannot_tell"` // what the data did not allow, in words
}

// Status says what the log tells of one night.
type Status string

// The statuses. Differ means two entries disagree in a way that matters; until
// a person settles it, counts use the worse reading, named in Counted.
const (
	Worn      Status = "worn"
	Short     Status = "short"
	Missed    Status = "missed"
	NotLogged Status = "not-logged"
	Differ    Status = "differ"
)

// NightRow is one night of the range.
type NightRow struct {
	Night   civil.Date `json:"night"`
	Status  Status     `json:"status" enum:"worn,short,missed,not-logged,differ"`
	Counted Status     `json:"counted" enum:"worn,short,missed,not-logged,differ"` // equals Status unless that is Differ
	Reason  string     `json:"reason,omitempty"`                                   // of a missed night, as logged
	Eye     string     `json:"eye,omitempty"`                                      // the one eye concerned, when the other differs
	// Hours is the time in lenses, of the eye with fewer; nil when insertion or
	// removal is not logged or the two make no sense together.
	Hours        *float64 `json:"hours"`
	SleptMinutes *int     `json:"slept_minutes"` // as reported, nil when not
	In           string   `json:"in,omitempty"`  // HH:MM in the zone at insertion
	Out          string   `json:"out,omitempty"` // HH:MM in the zone at removal
	Zone         string   `json:"zone,omitempty"`
	LeftIn       bool     `json:"left_in"`    // some entry has the lenses out only after the night had ended, at noon
	Differs      bool     `json:"differs"`    // two entries of the night disagree on anything
	LateHours    *float64 `json:"late_hours"` // from the end of the night to receipt of its first entry, 0 when before; nil when nothing was logged
	MinHours     float64  `json:"min_hours"`
	Memory       bool     `json:"memory"`            // written from memory: in one sitting with two or more other past nights
	Planned      bool     `json:"planned,omitempty"` // a time of it is the plan's, shown beforehand and left as it stood
	Stopped      []string `json:"stopped,omitempty"` // eyes for which a stop held
	// Held says that the lenses stayed out because the wear state held them back,
	// see [state.hold]: such a night is no missed one and none not logged.
	Held     Held `json:"held,omitempty" enum:"stop,rest"`
	Symptoms bool `json:"symptoms"` // a symptom report belongs to this night
}

// Counts are the nights of the range by [Status] and [Held]. They add up to Nights.
type Counts struct {
	Nights    int `json:"nights"`
	Worn      int `json:"worn"`
	Short     int `json:"short"`
	Missed    int `json:"missed"`
	NotLogged int `json:"not_logged"`
	Differ    int `json:"differ"`
	Stopped   int `json:"stopped"`  // no lens allowed and none worn; in no share
	Rest      int `json:"rest"`     // at rest and not worn; in the bounds of the share only
	NoHours   int `json:"no_hours"` // worn by the log, but the hours are not known; also counted in Worn
	// Reasons counts missed nights by reason.
	Reasons map[string]int `json:"reasons"`
	// LongestMissed is the longest run of nights missed in a row.
	LongestMissed int `json:"longest_missed"`
}

// Spread describes hours in lenses over the nights where they are known.
type Spread struct {
	N      int     `json:"n"`
	Median float64 `json:"median"`
	Low    float64 `json:"low"`  // lower quartile
	High   float64 `json:"high"` // upper quartile
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
}

// Bedtime describes the clock time of insertion on a 24-hour circle.
type Bedtime struct {
	N         int     `json:"n"`
	Mean      string  `json:"mean"`       // HH:MM; empty when there is none
	SDMinutes float64 `json:"sd_minutes"` // circular standard deviation
	Resultant float64 `json:"resultant"`  // 0 (all over the clock) to 1 (always the same minute)
}

// WeekdayRow is one weekday of evenings.
type WeekdayRow struct {
	Day  string      `json:"day"` // monday to sunday
	Wear stats.Share `json:"wear"`
}

// CareRow is one care item over the nights that called for care.
type CareRow struct {
	Item  string `json:"item"` // field name of a care entry
	Title string `json:"title"`
	// Good tells which answer counts as done: for tap water, contact with
	// water and topping off it is "no".
	Good  string      `json:"good"`
	Share stats.Share `json:"share"`
	// Marks has one letter for each of [Summary].Nights: d done, n not done,
	// u unknown, - a night that asks for no care.
	Marks string `json:"marks"`
	// Nights are the nights on which it was answered as not done.
	Nights []civil.Date `json:"nights"`
}

// SightRow is one evening's sight as reported by the wearer.
type SightRow struct {
	Night      civil.Date `json:"night"`
	Rating     int        `json:"rating"` // 1 to 5, 5 as clear as in the morning
	Hours      *float64   `json:"hours"`  // since removal
	Halos      string     `json:"halos,omitempty"`
	Spectacles *bool      `json:"spectacles"`
	Differs    bool       `json:"differs"` // two entries disagree; the worse is given
}

// AcuityRow is one acuity run, scored again from its raw trials.
type AcuityRow struct {
	Entry     care.EntryID `json:"entry"`
	Night     civil.Date   `json:"night"`
	At        time.Time    `json:"at"`
	Eye       string       `json:"eye"`
	DistanceM float64      `json:"distance_m"`
	LogMAR    *float64     `json:"logmar"` // nil when it could not be scored
	SD        *float64     `json:"sd"`
	Reliable  bool         `json:"reliable"`
	Trials    int          `json:"trials"`
	Note      string       `json:"note,omitempty"` // why it is not reliable, or a practice run
}

// EffectRow is what the effect model says of one eye.
type EffectRow struct {
	Eye        string      `json:"eye"`
	BaselineD  float64     `json:"baseline_d"` // spherical equivalent before treatment
	Status     string      `json:"status"`     // "on course", "behind" or "not enough data", as [vision.Status]
	Why        string      `json:"why"`
	ClearHours *float64    `json:"clear_hours"` // expected after the last night, with 90 % limits
	ClearLow   *float64    `json:"clear_low"`
	ClearHigh  *float64    `json:"clear_high"`
	Residual   []EffectDay `json:"residual"`
}

// EffectDay is the modelled rest of short-sightedness on the evening that
// begins Night, 12 hours after removal, with 90 % limits. A model of a mean course, not a measurement.
type EffectDay struct {
	Night civil.Date `json:"night"`
	D     float64    `json:"d"` // dioptres, 0 or negative
	Low   float64    `json:"low"`
	High  float64    `json:"high"`
}

// MorningRow is one morning check.
type MorningRow struct {
	Night   civil.Date `json:"night"`
	Moved   string     `json:"moved,omitempty"` // freely, stuck-came-off or stuck
	Drops   *bool      `json:"drops"`
	Comfort *int       `json:"comfort"` // 0 to 4, 4 best
	Redness *int       `json:"redness"` // 0 to 3
}

// SymptomRow is one symptom report, as written.
type SymptomRow struct {
	Entry care.EntryID      `json:"entry"`
	Night civil.Date        `json:"night"`
	On    civil.Date        `json:"-"`              // date on which it was written, where that was in its own night
	At    time.Time         `json:"at"`             // written
	Began time.Time         `json:"began,omitzero"` // as reported
	Right map[string]string `json:"right,omitempty"`
	Left  map[string]string `json:"left,omitempty"`
	Ill   string            `json:"ill,omitempty"`
	Note  string            `json:"note,omitempty"`
	Words string            `json:"words"` // the signs other than harmless ones, in words
	// Follows: whoever wrote the one before said only how bad it is, or left the check,
	// and says the rest here: one report in two entries.
	Follows bool `json:"follows,omitempty"`
	// Level is how pressing what it said is by the table of rules.
	Level alerts.Level `json:"-"`
}

// SupplyRow is one supply started or discarded.
type SupplyRow struct {
	Entry        care.EntryID `json:"entry"`
	On           civil.Date   `json:"on"`
	Item         string       `json:"item"`
	Action       string       `json:"action"`
	Eye          string       `json:"eye,omitempty"`
	DiscardAfter int          `json:"discard_after_days,omitempty"`
	Label        string       `json:"label,omitempty"`
	Due          civil.Date   `json:"due"` // discard or replace by; zero when nothing says so
}

// NoteRow is one note a family wrote.
type NoteRow struct {
	Entry care.EntryID `json:"entry"`
	Night civil.Date   `json:"night"`
	By    string       `json:"by"`
	Text  string       `json:"text"`
}

// Event is one mark on the common time axis.
type Event struct {
	Date  civil.Date `json:"date"`
	Lane  string     `json:"lane"` // symptom, alert, supply, lens, pause, visit or plan
	Text  string     `json:"text"`
	Level string     `json:"level,omitempty"`
	Ref   string     `json:"ref,omitempty"` // id of the entry, alert or visit
}

// GrowthRow is the axial growth of one eye.
type GrowthRow struct {
	Eye      string          `json:"eye"`
	Readings []GrowthReading `json:"readings"`
	// MMPerYear is nil when no rate may be given; Why says why.
	MMPerYear *float64 `json:"mm_per_year"`
	Low       *float64 `json:"low"`
	High      *float64 `json:"high"`
	Class     string   `json:"class,omitempty"` // as [vision.GrowthClass]
	Why       string   `json:"why,omitempty"`
	// Period is the time the rate is of, before, on or after lenses; Earlier are the
	// rates of those before it. They are never pooled.
	Period  string         `json:"period,omitempty"`
	Earlier []GrowthPeriod `json:"earlier"`
	Beside  []Beside       `json:"beside"` // published rates for the age
	// Percentile of the last length, with its population and approximation;
	// nil when the age is outside the published one.
	Percentile   *float64 `json:"percentile"`
	PercentileOf string   `json:"percentile_of,omitempty"`
}

// GrowthPeriod is the rate of an earlier period, mm per year with 95 % limits.
type GrowthPeriod struct {
	Period    string  `json:"period"`
	MMPerYear float64 `json:"mm_per_year"`
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
}

// GrowthReading is one axial length.
type GrowthReading struct {
	Date       civil.Date `json:"date"`
	MM         float64    `json:"mm"`
	Instrument string     `json:"instrument"`
	Note       string     `json:"note,omitempty"`
}

// Beside is a published figure to be read next to one of ours.
type Beside struct {
	Name       string  `json:"name"` // the group: untreated myopes, treated myopes, emmetropes
	Relation   string  `json:"relation"`
	MMPerYear  float64 `json:"mm_per_year"`
	Population string  `json:"population"`
	Source     string  `json:"source"`
}

// Trust tells how far the log can be relied on.
type Trust struct {
	Entries  int         `json:"entries"`
	Unlogged stats.Share `json:"unlogged"` // done means the night has an entry
	// LateMedianHours is the middle delay from the end of the night to the
	// receipt of the night's first entry; LateNights counts those over 24 h.
	// A phone without a connection makes these late without any fault, so
	// LateWritten counts the nights first written, by the phone's own clock,
	// more than 24 h after the night ended.
	LateMedianHours float64 `json:"late_median_hours"`
	LateNights      int     `json:"late_nights"`
	LateWritten     int     `json:"late_written"`
	// Batches are the days on which three or more past nights were written at
	// once, which reads as recall from memory.
	Batches     []Batch     `json:"batches"`
	ClockNotes  []ClockNote `json:"clock_notes"`
	Differ      int         `json:"differ"`      // nights on which two entries disagree
	Corrections int         `json:"corrections"` // entries that correct an earlier one
	Retractions int         `json:"retractions"`
	// HandedIn are entries that another phone than the one that wrote them sent
	// after a restore from a backup, see [care.Entry].
	HandedIn int      `json:"handed_in"`
	Words    []string `json:"words"` // the same, in sentences
}

// Batch is one sitting in which several past nights were written.
type Batch struct {
	On     civil.Date `json:"on"`
	Nights int        `json:"nights"`
}

// ClockNote is a device whose clock was off by more than [care.SkewLimit].
type ClockNote struct {
	Device  care.DeviceID `json:"device"`
	Entries int           `json:"entries"`
	MaxSkew int64         `json:"max_skew_ms"` // signed, of the largest size; device minus server
}

// Point is one thing to raise with the family.
type Point struct {
	Rule     string `json:"rule"`     // stable name
	Text     string `json:"text"`     // fit to say to a parent
	Evidence string `json:"evidence"` // counts and dates
	Basis    string `json:"basis"`    // published source, or "common practice"
}

// RuleRow is a rule of the table that holds.
type RuleRow struct {
	Rule  string `json:"rule"`
	Level string `json:"level"` // emergency, urgent, routine or note
	Title string `json:"title"`
}

// Change compares the range with the stretch of the same length before it.
type Change struct {
	What   string `json:"what"`
	Before string `json:"before"`
	Now    string `json:"now"`
	Text   string `json:"text"`
}

// Ring is a message of an alert that reached somebody's device or mail.
type Ring struct {
	Name string    // of the person
	At   time.Time // on the practice's clock
}

// Decided is when the alert was first closed; zero while it was not.
func (a *AlertFact) Decided() time.Time {
	if len(a.Closings) > 0 {
		return a.Closings[0].At
	}
	return a.ClosedAt
}

// Phone is a telephone number and whose it is.
type Phone struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
}
