package schedule

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
)

// CareSystem is how the lenses are disinfected.
type CareSystem string

// The care systems. Other stands for anything that is neither: the practitioner
// sets its soak.
const (
	Multipurpose CareSystem = "multipurpose"
	Peroxide     CareSystem = "peroxide"
	OtherSystem  CareSystem = "other"
)

// Limits of a plan.
const (
	// PeroxideSoakMinutes is the shortest soak with the neutraliser: 6 hours
	// (FDA consumer notice on hydrogen peroxide lens care, 2016). A plan may ask
	// for more, never for less.
	PeroxideSoakMinutes = 360
	// MaxCaseMonths is the longest a lens case is kept: at least every three
	// months it is replaced (CDC, care of contact lens cases).
	MaxCaseMonths = 3
	// MaxSnoozes is how often one reminder can be put off on one date; our own
	// limit, so that putting off stays different from ignoring.
	MaxSnoozes = 3
	// SyncAfter is how long an entry may wait on a phone before the family is
	// told: our own limit. A phone in flight mode for the night waits ten hours
	// from insertion to removal and is no reason to nag; after twelve the entry
	// was passed over by an evening or a morning in which it could have gone.
	SyncAfter = 12 * time.Hour
)

// Plan is one version of a wearer's care plan: what the practitioner
// prescribed, and when the family wants to be reminded. A version is never
// edited; a change is a new version.
type Plan struct {
	Version int        `json:"version"` // 1 or more
	From    civil.Date `json:"from"`    // first night this version applies to; zero: from the first night on
	Zone    string     `json:"zone"`    // IANA zone at home, used when the log names no other
	// FirstNight is the wearer's first night in lenses. Zero means wear has not
	// been agreed yet, and nothing is due.
	FirstNight civil.Date `json:"first_night"`
	// Stopped is the first night without lenses by agreement; zero while wear
	// goes on.
	Stopped civil.Date `json:"stopped"`
	Eyes    string     `json:"eyes"` // both, right or left

	WearFrom civil.Clock `json:"wear_from"` // earliest insertion that is asked for
	WearTo   civil.Clock `json:"wear_to"`   // latest removal that is asked for
	MinHours float64     `json:"min_hours"` // fewest hours in lenses that make a full night, 4 to 12

	CareSystem CareSystem `json:"care_system"`
	// SoakMinutes is the disinfection time before the lenses may go in: for
	// peroxide at least [PeroxideSoakMinutes], for others as the label says
	// (commonly 4 to 6 h, common practice), 30 to 1440.
	SoakMinutes        int `json:"soak_minutes"`
	DepositRemovalDays int `json:"deposit_removal_days"` // between deposit removals, as prescribed, weekly to monthly by common practice; 0: not prescribed
	CaseMonths         int `json:"case_months"`          // between lens cases, 1 to [MaxCaseMonths]
	LensMonths         int `json:"lens_months"`          // life of a pair of lenses, usually 12 (common practice); 0: not set
	HolderMonths       int `json:"holder_months"`        // between suction holders, 1 to 12; 0: not asked for
	AcuityEveryDays    int `json:"acuity_every_days"`    // between sight measurements at home; 0: none

	Recalls []RecallStep `json:"recalls"`
	// RecallsFrom is the date the series of visits counts from; zero: the first
	// night. A practitioner who wants the whole series again sets it.
	RecallsFrom civil.Date `json:"recalls_from"`
	// TakenOver is the date from which this practice follows a wearer who wore
	// lenses before; zero: from the first night. Visits due before it were somebody
	// else's to ask for, and are shown only when there is one.
	TakenOver civil.Date `json:"taken_over,omitzero"`

	InsertionAt    civil.Clock `json:"insertion_at"` // when to be reminded of each
	RemovalAt      civil.Clock `json:"removal_at"`
	EveningSightAt civil.Clock `json:"evening_sight_at"`
	QuietFrom      civil.Clock `json:"quiet_from"` // no reminder from here
	QuietTo        civil.Clock `json:"quiet_to"`   // to here; equal clocks: no quiet hours
	// RemindFirst is who is reminded: teen or parent. A teen's unanswered
	// reminder of a night goes to the parents after ParentAfterMinutes, 0: never.
	RemindFirst        string `json:"remind_first"`
	ParentAfterMinutes int    `json:"parent_after_minutes"`
	// LockScreenWords is what a locked phone may show: neutral names no
	// condition and no eye, plain says what is due. The family chooses.
	LockScreenWords string   `json:"lock_screen_words"`
	Off             []string `json:"off"` // ids of the reminders the family has turned off
	Pauses          []Pause  `json:"pauses"`
	// Own are the times the family has chosen instead of these; nil in the plan
	// as the practitioner made it.
	Own *Own `json:"own,omitempty"`
}

// Pause is a stretch of nights without reminders of the nightly routine.
// Recalls and supplies stay due.
type Pause struct {
	From   civil.Date `json:"from"`   // first night
	To     civil.Date `json:"to"`     // last night, included
	Reason string     `json:"reason"` // ill, away, told-to-stop or other
}

// Holds reports whether a night lies in the pause.
func (z Pause) Holds(night civil.Date) bool { return !night.Before(z.From) && !night.After(z.To) }

// Words a plan accepts.
var (
	eyeWords   = []string{"both", "right", "left"}
	firstWords = []string{"teen", "parent"}
	lockWords  = []string{"neutral", "plain"}
	pauseWords = []string{"ill", "away", "told-to-stop", "other"}
)

// DefaultPlan returns a plan with the usual values, for the practitioner to
// change: wear from 20:00 to 08:00, at least 6 h (the lower end of what
// long-term wearers do, Santolaria-Sanz 2013), a monthly case, lenses for a
// year, three-monthly recalls, neutral words. Multipurpose care with a 6 h
// soak: the longest of the common label times.
func DefaultPlan(firstNight civil.Date, zone string) Plan {
	return Plan{
		Version: 1, Zone: zone, FirstNight: firstNight, Eyes: "both",
		WearFrom: civil.MustClock("20:00"), WearTo: civil.MustClock("08:00"), MinHours: 6,
		CareSystem: Multipurpose, SoakMinutes: 360, CaseMonths: 1, LensMonths: 12,
		Recalls:     DefaultRecalls(3),
		InsertionAt: civil.MustClock("21:00"), RemovalAt: civil.MustClock("07:00"), EveningSightAt: civil.MustClock("18:30"),
		QuietFrom: civil.MustClock("22:30"), QuietTo: civil.MustClock("06:30"),
		RemindFirst: "parent", LockScreenWords: "neutral",
	}
}

// Check returns every fault of the plan at once, each naming its field and
// what is accepted; nil when there is none.
func (p *Plan) Check() error {
	var faults []error
	want := func(ok bool, field, accepts string) {
		if !ok {
			faults = append(faults, fmt.Errorf("%s: want %s", field, accepts))
		}
	}
	within := func(field string, n, lo, hi int, unit string) {
		want(n >= lo && n <= hi, field, fmt.Sprintf("%d to %d %s", lo, hi, unit))
	}
	orNone := func(field string, n, lo, hi int, unit string) {
		want(n == 0 || n >= lo && n <= hi, field, fmt.Sprintf("0 for none, or %d to %d %s", lo, hi, unit))
	}
	want(p.Version >= 1, "version", "1 or more")
	_, err := civil.LoadZone(p.Zone)
	want(err == nil && p.Zone != "" && p.Zone != "Local", "zone", "an IANA zone name such as Europe/Lisbon")
	want(p.Stopped.IsZero() || !p.FirstNight.IsZero() && p.Stopped.After(p.FirstNight), "stopped", "a date after first_night")
	want(slices.Contains(eyeWords, p.Eyes), "eyes", "both, right or left")
	want(p.MinHours >= 4 && p.MinHours <= 12, "min_hours", "4 to 12 hours")
	want(p.MinHours*60 <= float64(span(p.WearFrom, p.WearTo)), "wear_to", "a wear window from wear_from to wear_to that holds min_hours")
	want(slices.Contains(CareSystems(), p.CareSystem), "care_system", fmt.Sprint("one of ", CareSystems()))
	want(p.MinHours*60 <= float64(span(p.InsertionAt, p.WearTo)), "insertion_at", "a time that leaves min_hours before wear_to")
	shortest := 30
	if p.CareSystem == Peroxide {
		shortest = PeroxideSoakMinutes
	}
	within("soak_minutes", p.SoakMinutes, shortest, 1440, "minutes for this care system")
	within("case_months", p.CaseMonths, 1, MaxCaseMonths, "months; no case is kept longer than three")
	orNone("deposit_removal_days", p.DepositRemovalDays, 1, 60, "days")
	orNone("lens_months", p.LensMonths, 1, 36, "months")
	orNone("holder_months", p.HolderMonths, 1, 12, "months")
	orNone("acuity_every_days", p.AcuityEveryDays, 1, 90, "days")
	within("parent_after_minutes", p.ParentAfterMinutes, 0, 240, "minutes")
	want(slices.Contains(firstWords, p.RemindFirst), "remind_first", "teen or parent")
	want(slices.Contains(lockWords, p.LockScreenWords), "lock_screen_words", "neutral or plain")
	want(p.Own == nil, "own", "nothing: the family chooses its own times")
	return errors.Join(append(faults, append(p.checkClocks(), p.checkLists()...)...)...)
}

// checkClocks refuses a reminder that its own quiet hours would hold back.
func (p *Plan) checkClocks() []error {
	var faults []error
	for _, c := range []struct {
		field string
		at    civil.Clock
	}{
		{"wear_from", p.WearFrom}, {"wear_to", p.WearTo}, {"quiet_from", p.QuietFrom}, {"quiet_to", p.QuietTo},
		{"insertion_at", p.InsertionAt}, {"removal_at", p.RemovalAt}, {"evening_sight_at", p.EveningSightAt},
	} {
		if c.at < 0 || c.at > 1439 {
			faults = append(faults, fmt.Errorf("%s: want HH:MM between 00:00 and 23:59", c.field))
		}
		if len(c.field) > 3 && c.field[len(c.field)-3:] == "_at" && p.quiet(c.at) {
			faults = append(faults, fmt.Errorf("%s: %s lies in the quiet hours %s to %s; want a time outside them", c.field, c.at, p.QuietFrom, p.QuietTo))
		}
	}
	if p.EveningSightAt < civil.NightStarts {
		faults = append(faults, fmt.Errorf("evening_sight_at: want a time from 12:00 on"))
	}
	return faults
}

func (p *Plan) checkLists() []error {
	var faults []error
	for i, s := range p.Recalls {
		if err := s.check(); err != nil {
			faults = append(faults, fmt.Errorf("recalls[%d].%w", i, err))
		}
	}
	for i, z := range p.Pauses {
		if z.From.IsZero() || z.To.Before(z.From) {
			faults = append(faults, fmt.Errorf("pauses[%d]: want a first and a last night, in this order", i))
		}
		if !slices.Contains(pauseWords, z.Reason) {
			faults = append(faults, fmt.Errorf("pauses[%d].reason: want ill, away, told-to-stop or other", i))
		}
	}
	for i, id := range p.Off {
		if !slices.Contains(ruleIDs, id) {
			faults = append(faults, fmt.Errorf("off[%d]: there is no reminder %q; want one of %v", i, id, ruleIDs))
		}
	}
	return faults
}

// clock returns one of the plan's reminder clocks by its field name.
func (p *Plan) clock(field string) civil.Clock {
	switch field {
	case "insertion_at":
		return p.InsertionAt
	case "removal_at":
		return p.RemovalAt
	}
	return p.EveningSightAt
}

// span returns the minutes from one wall-clock time to the next occurrence of
// another, 1 to 1440.
func span(from, to civil.Clock) int {
	if d := int(to-from+1440) % 1440; d > 0 {
		return d
	}
	return 1440
}

// quiet reports whether a wall-clock time lies in the quiet hours: from
// QuietFrom up to, not including, QuietTo.
func (p *Plan) quiet(c civil.Clock) bool {
	if p.QuietFrom == p.QuietTo {
		return false
	}
	return int(c-p.QuietFrom+1440)%1440 < span(p.QuietFrom, p.QuietTo)
}

// Wearing reports whether the plan asks for lenses on a night: from the first
// night on, not after wear was stopped, not in a pause.
func (p *Plan) Wearing(night civil.Date) bool {
	return p.active(night) && !paused(p.Pauses, night)
}

func paused(list []Pause, night civil.Date) bool {
	return slices.ContainsFunc(list, func(z Pause) bool { return z.Holds(night) })
}

// active is Wearing without the pauses.
func (p *Plan) active(d civil.Date) bool {
	return !p.FirstNight.IsZero() && !d.Before(p.FirstNight) && (p.Stopped.IsZero() || d.Before(p.Stopped))
}
