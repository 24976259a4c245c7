package schedule

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// Input is everything that decides what is due for one wearer. It is only
// read.
type Input struct {
	Plan Plan
	// Loc is the zone the wearer is in now; nil means UTC. A wearer who travels
	// is reminded by the clock of the place.
	Loc *time.Location
	Now time.Time
	Log Log
	// Fired lists the reminders already sent, at least those of the last 30
	// days: they are not sent again, and unanswered ones make the rule quieter.
	Fired   []Firing
	Snoozes []Snooze
	// Unsent is when the oldest entry that exists only on this phone was
	// written; zero: none, and always on the server, which cannot know.
	Unsent time.Time
}

// Log is what the log says, as far as the schedule needs it.
type Log struct {
	Nights      []Night      `json:"nights"`       // at least the last 30 nights about which anything was written
	LastDeposit civil.Date   `json:"last_deposit"` // night of the last deposit removal; zero: none yet
	LastAcuity  civil.Date   `json:"last_acuity"`  // night of the last sight measurement; zero: none yet
	Supplies    []Supply     `json:"supplies"`     // everything in use; what was discarded is left out
	LensStarts  []civil.Date `json:"lens_starts"`  // every date on which a new lens was started, either eye
	Visits      []Visit      `json:"visits"`
	// Pauses are those the family set. They hold back reminders of the nightly
	// routine and nothing else: what a night should have been is the plan's.
	Pauses []Pause `json:"pauses"`
	// Holds are the eyes whose lens is held back, for whatever reason.
	Holds []Hold `json:"holds"`
	// Ended says that the practice has ended the treatment: nothing is asked for
	// any more but a visit that is booked and that a lens which is in comes out.
	Ended bool `json:"ended"`
}

// Night is what was logged about one night. False means "nothing logged",
// never "not done".
type Night struct {
	Night        civil.Date `json:"night"`
	Inserted     bool       `json:"inserted"`
	Removed      bool       `json:"removed"`
	RemovedAt    time.Time  `json:"removed_at,omitzero"` // zero: not known
	NotWorn      bool       `json:"not_worn"`            // said so, with a reason, for both eyes
	Care         bool       `json:"care"`                // any care item
	EveningSight bool       `json:"evening_sight"`
}

// Supply is a thing that is in use until a date.
type Supply struct {
	ID      string     `json:"id"`   // the entry that started it
	Item    string     `json:"item"` // case, solution, lens, holder or drops
	Started civil.Date `json:"started"`
	// DiscardAfterDays is what is printed on this bottle (solution, drops); 0:
	// not known, and then nothing is due for it.
	DiscardAfterDays int    `json:"discard_after_days"`
	Eye              string `json:"eye"` // of a lens: right, left or both
	Label            string `json:"label"`
}

// Firing says that a reminder was sent. Key and Date are its identity: with
// the wearer they make a reminder unique for ever.
type Firing struct {
	Key  string     `json:"key"`  // rule id, with "~" and the step when there is one
	Date civil.Date `json:"date"` // night of a nightly rule, else calendar date
}

// Snooze puts reminders of a date off. It has effect at most [MaxSnoozes] times.
type Snooze struct {
	Rule  string     `json:"rule"` // empty: every reminder of the date
	Date  civil.Date `json:"date"`
	Until time.Time  `json:"until"`
	Count int        `json:"count"` // 1 for the first time
}

// Item is one thing that is due.
type Item struct {
	Rule string     `json:"rule"`
	Date civil.Date `json:"date"` // night of a nightly rule, else the date on which it is due or said again
	// Step is empty for the first reminder, "parent" when it goes on to the
	// parents, "snooze-N" after the N-th time it was put off.
	Step        string    `json:"step,omitempty"`
	To          string    `json:"to"` // teen, parent or all: whom to remind
	At          time.Time `json:"at"`
	UsefulUntil time.Time `json:"useful_until"` // from here on it is not sent any more
	// Due is the date a supply or a visit was due, Overdue the days since; zero
	// for the nightly routine.
	Due     civil.Date `json:"due,omitzero"`
	Overdue int        `json:"overdue"`
	Subject string     `json:"subject,omitempty"` // id of the supply, or kind of the visit
	Label   string     `json:"label,omitempty"`
	Key     string     `json:"key"`           // of the text shown
	Eye     string     `json:"eye,omitempty"` // of an insertion, or of care while the other lens is kept for the practice: the only eye whose lens is meant
	Group   string     `json:"group"`         // items of one group and instant make one message: evening or morning
}

// Firing returns the identity under which the reminder is recorded.
func (it Item) Firing() Firing {
	key := it.Rule
	if it.Subject != "" {
		key += "." + it.Subject
	}
	if it.Step != "" {
		key += "~" + it.Step
	}
	return Firing{key, it.Date}
}

func byTime(a, b Item) int {
	return cmp.Or(a.At.Compare(b.At), strings.Compare(a.Rule, b.Rule), strings.Compare(a.Subject, b.Subject))
}

// day is the context in which one date is looked at.
type day struct {
	*Input
	loc            *time.Location
	tonight, today civil.Date
	targets        []target // everything with a due date, but for the rules left out
}

func (in *Input) day(without []string) day {
	d := day{Input: in, loc: in.Loc}
	if d.loc == nil {
		d.loc = time.UTC
	}
	d.tonight, d.today = civil.NightOf(in.Now, d.loc), civil.DateOf(in.Now.In(d.loc))
	if in.Plan.FirstNight.IsZero() {
		return d
	}
	for _, t := range d.supplyTargets() {
		if !slices.Contains(without, t.rule.ID) {
			d.targets = append(d.targets, t)
		}
	}
	if !slices.Contains(without, "recall") {
		d.targets = append(d.targets, d.visitTargets()...)
	}
	return d
}

// night returns what was logged about a night: the last row about it, or
// nothing.
func (d day) night(date civil.Date) Night {
	for i := len(d.Log.Nights) - 1; i >= 0; i-- {
		if d.Log.Nights[i].Night == date {
			return d.Log.Nights[i]
		}
	}
	return Night{Night: date}
}

// Due returns everything that is due at in.Now and not done, earliest first,
// whether or not a reminder went out. Something with a due date is due from
// the start of that date and stays so until it is done, and entries that wait
// on the phone from [SyncAfter] on until they are sent, in a pause too.
func Due(in Input) []Item {
	d := in.day(nil)
	var out []Item
	for _, night := range []civil.Date{d.tonight.AddDays(-1), d.tonight} {
		for _, it := range d.nightly(night, nil) {
			if !it.At.After(in.Now) && it.UsefulUntil.After(in.Now) {
				out = append(out, it)
			}
		}
	}
	for _, t := range d.targets {
		date := d.today
		if t.rule.Each == "night" {
			date = d.tonight
		}
		if !t.due.After(date) && d.open(t, date) {
			out = append(out, d.dated(t, t.due, date))
		}
	}
	if !in.Unsent.IsZero() && in.Now.Sub(in.Unsent) >= SyncAfter {
		out = append(out, d.item(d.rule("sync"), d.today))
	}
	slices.SortFunc(out, byTime)
	return out
}

// Supplies returns everything with a due date but the visits, also what is
// not due yet, by date.
func Supplies(in Input) []Item {
	d := in.day(nil)
	var out []Item
	for _, t := range d.targets {
		if t.rule.ID != "recall" {
			out = append(out, d.dated(t, t.due, d.today))
		}
	}
	slices.SortFunc(out, byTime)
	return out
}

// Remind returns the reminders to send at in.Now: due, not done, not sent
// before, not put off, still of use, outside the quiet hours, and not silenced
// because the last ones went unanswered.
func Remind(in Input) []Item { return in.day(in.Plan.Off).remind() }

// Next returns the first instant after in.Now at which a reminder may fall
// due, taking nothing more to be logged than is; zero when nothing ever will.
// The log may make it void, but not earlier: whoever writes to the log asks
// again.
func Next(in Input) time.Time { return in.day(in.Plan.Off).next() }

// Decide returns what [Remind] does, and [Next] once that is sent, at the cost
// of one.
func Decide(in Input) (send []Item, next time.Time) {
	d := in.day(in.Plan.Off)
	send = d.remind()
	d.Fired = slices.Clone(d.Fired)
	for _, it := range send {
		d.Fired = append(d.Fired, it.Firing())
	}
	return send, d.next()
}
