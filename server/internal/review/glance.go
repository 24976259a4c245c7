package review

import (
	"fmt"
	"slices"
	"strings"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/review/stats"
)

// Glance is what a practitioner with one minute reads: the first screen and the
// first sheet. Everything in it is made from the same rows as the rest of the
// [Summary].
type Glance struct {
	// Period says where the range came from: since-visit, since-start, usual
	// (90 nights, no visit kept yet) or chosen.
	Period string `json:"period"`
	// Stand is where each eye stands tonight, right first.
	Stand []Stand `json:"stand"`
	// LensesIn are the lenses that are in eyes which may have none, right first.
	LensesIn []care.LensIn `json:"lenses_in"`
	// Claims are decisions that only phones of the family hold, the newest first.
	Claims []care.Claim `json:"claims"`
	Doubt  Doubt        `json:"doubt"`
	// Last and Before compare the last 14 nights of the range with the 14 before
	// them, also of nights before the range.
	Last   Stretch `json:"last"`
	Before Stretch `json:"before"`
	// Danger is the gravest thing done to a lens or a case; nil when none was
	// logged, which does not say that there was none.
	Danger *Danger `json:"danger"`
	// Water are the answers of eye checks to the question about water, oldest first, of
	// as many days as the practice watches after it. A later "no" takes no "yes" back.
	Water    []WaterSaid `json:"water"`
	Raise    []Raise     `json:"raise"` // at most [mostRaised], dangers first
	More     int         `json:"more"`  // topics left to the points below
	Findings []Finding   `json:"findings"`
	// LastAlert is the newest alert that is more than a note, from before the period, when
	// the period has none; nil when there never was one.
	LastAlert *AlertFact `json:"last_alert"`
}

// Stand is one eye's wear state tonight. State none is no stop, never "fine".
type Stand struct {
	Eye   string     `json:"eye"`
	State string     `json:"state"` // none, rest or stop
	Since civil.Date `json:"since"` // date of the earliest cause that holds, see reportedOn; zero when none does
	Until civil.Date `json:"until"` // first night without a cause by what is known; zero when none is
	By    string     `json:"by"`    // who wrote that cause
	Why   string     `json:"why"`   // what kind of entry it is, in words
	// ReviewBy is by when the practice looks at its stop again; zero where none of its holds,
	// or a release is to come.
	ReviewBy civil.Date `json:"review_by"`
	// Lifted is the last release of this eye in the period or after it, where nothing holds
	// a lens back; nil where there is none.
	Lifted *Lift `json:"lifted"`
}

// Lift is a release of an eye, and what it lifted.
type Lift struct {
	From civil.Date `json:"from"` // first night with a lens again
	By   string     `json:"by"`   // who wrote it
	Of   []Lifted   `json:"of"`   // what held the lens back, the earliest first
}

// Lifted is what a release lifted.
type Lifted struct {
	On  civil.Date `json:"on"`  // see reportedOn
	Why string     `json:"why"` // what kind of entry it is, in words
}

// Doubt is how far to trust the log, in words that stand before any percentage.
type Doubt struct {
	Level  string `json:"level"`  // none, some or much
	Words  string `json:"words"`  // the headline
	Detail string `json:"detail"` // the counts behind it
	Memory int    `json:"memory"` // nights written from memory
}

// Stretch is a run of nights.
type Stretch struct {
	Nights int         `json:"nights"`
	Wear   stats.Share `json:"wear"`
	Hours  float64     `json:"hours"` // middle; 0 when not known
}

// Danger is one care question answered the wrong way.
type Danger struct {
	Item   string     `json:"item"`
	Title  string     `json:"title"`
	Nights int        `json:"nights"`
	Of     int        `json:"of"` // nights on which it was answered
	Last   civil.Date `json:"last"`
	When   string     `json:"when"` // a pattern of weekdays in words, or empty
}

// Raise is one topic for the talk, merged from the points of its rules.
type Raise struct {
	Title  string   `json:"title"`
	Text   string   `json:"text"` // plain counts
	Rules  []string `json:"rules"`
	Danger bool     `json:"danger"`
}

// Finding is the newest value of one kind, per eye, with its date.
type Finding struct {
	Name    string     `json:"name"`
	Right   string     `json:"right"`
	Left    string     `json:"left"`
	RightOn civil.Date `json:"right_on"`
	LeftOn  civil.Date `json:"left_on"`
}

const (
	mostRaised = 5
	fortnight  = 14
)

func (s *state) glance(sum *Summary) Glance {
	g := Glance{Period: s.period(), Stand: s.stand(), LensesIn: []care.LensIn{}, Claims: []care.Claim{}, Doubt: doubtOf(sum), Danger: dangerOf(sum), Water: s.water(), Findings: s.findings()}
	g.Last, g.Before = s.stretch(s.to.AddDays(1-fortnight), s.to), s.stretch(s.to.AddDays(1-2*fortnight), s.to.AddDays(-fortnight))
	g.LastAlert = s.lastAlert(sum)
	if s.in.Call != nil {
		g.LensesIn, g.Claims = care.LensesHeld(s.in.Call.LensesIn), append(g.Claims, s.in.Call.Claims...)
	}
	topics := raised(sum)
	g.More = max(0, len(topics)-mostRaised)
	g.Raise = topics[:min(len(topics), mostRaised)]
	return g
}

// WaterSaid is what one eye check answered about water on a lens or the case.
type WaterSaid struct {
	On     civil.Date `json:"on"` // date on which it was written
	Answer string     `json:"answer" enum:"yes,no"`
}

func (s *state) water() []WaterSaid {
	out := []WaterSaid{}
	var limits map[string]int
	if s.in.Call != nil {
		limits = s.in.Call.Limits
	}
	first := s.in.Today.AddDays(-alerts.Default().Limit("water_watch_days", limits))
	for _, e := range s.in.Entries {
		if e.Kind != care.Symptoms || e.Wearer != s.in.Wearer.ID {
			continue
		}
		answer, on := e.Report().Water, civil.DateOf(episode.WrittenAt(e))
		if (answer == "yes" || answer == "no") && !on.Before(first) {
			out = append(out, WaterSaid{on, answer})
		}
	}
	slices.SortStableFunc(out, func(a, b WaterSaid) int { return a.On.Compare(b.On) })
	return out
}

func (s *state) lastAlert(sum *Summary) (last *AlertFact) {
	grave := func(a AlertFact) bool { return a.Level != alerts.Note.String() }
	if slices.ContainsFunc(sum.Alerts, grave) {
		return nil
	}
	for i, a := range s.in.Alerts {
		if grave(a) && civil.DateOf(a.Opened).Before(s.from) && (last == nil || a.Opened.After(last.Opened)) {
			last = &s.in.Alerts[i]
		}
	}
	return clone(last)
}

func (s *state) period() string {
	switch {
	case !s.in.From.IsZero() || !s.in.To.IsZero():
		return "chosen"
	case s.hasPlan && s.from == s.plan.FirstNight:
		return "since-start"
	case lastKept(s.in.Visits, s.in.Today) != nil:
		return "since-visit"
	}
	return "usual"
}

func (s *state) stand() []Stand {
	out := []Stand{}
	wear := care.WearOf(s.wear, s.in.Today, false, nil)
	for _, eye := range s.plan.eyes() {
		w := wear.Eye(eye)
		row := Stand{Eye: eye, State: w.State.String(), Until: w.Until, ReviewBy: care.ReviewOf(w.Causes, s.byID)}
		if !w.Until.IsZero() {
			row.ReviewBy = civil.Date{} // it has been given back, from then on
		}
		if w.State < care.Rest {
			row.State, row.Lifted = "none", s.liftOf(eye)
		}
		for _, c := range w.Causes {
			on := s.reportedOn(c)
			if row.Since.IsZero() || on.Before(row.Since) {
				row.Since, row.Why = on, causeWords(c.Kind)
				if e := s.byID[c.ID]; e != nil {
					row.By = s.in.People[e.Author]
				}
			}
		}
		if s.shares(w.Causes, eye) {
			row.Why = "after a report about the other eye, with which it shares the case kept for the clinic"
		}
		out = append(out, row)
	}
	return out
}

// liftOf returns the last release of an eye that frees it in the period or after it.
func (s *state) liftOf(eye string) *Lift {
	var last *care.WearFact
	for i := range s.wear {
		f := &s.wear[i]
		taken := slices.ContainsFunc(s.wear, func(o care.WearFact) bool { return slices.Contains(o.Takes, f.ID) })
		if f.Kind != care.Resume || taken || !slices.Contains(f.Eyes, eye) || f.From.Before(s.from) || last != nil && !f.From.After(last.From) {
			continue
		}
		last = f
	}
	if last == nil {
		return nil
	}
	out := &Lift{From: last.From, Of: []Lifted{}}
	if e := s.byID[last.ID]; e != nil {
		out.By = s.in.People[e.Author]
	}
	for _, f := range s.wear {
		if !slices.Contains(last.Answers, f.ID) || f.Kind == care.WearStart || f.Kind == care.Cease && !slices.Contains(f.Eyes, eye) {
			continue
		}
		l := Lifted{s.reportedOn(care.Cause{ID: f.ID, Kind: f.Kind, Night: f.Night}), causeWords(f.Kind)}
		if !slices.Contains(out.Of, l) {
			out.Of = append(out.Of, l)
		}
	}
	slices.SortFunc(out.Of, func(a, b Lifted) int { return a.On.DaysSince(b.On) })
	return out
}

// shares reports whether all that holds a lens back in an eye are reports about the other
// one: the phones say then that it shares the case kept for the clinic (wear.js).
func (s *state) shares(causes []care.Cause, eye string) bool {
	return len(causes) > 0 && !slices.ContainsFunc(causes, func(c care.Cause) bool {
		e := s.byID[c.ID]
		if e == nil || c.Kind != care.Symptoms {
			return true
		}
		r := e.Report()
		return r.Eye() == "" || r.Eye() == "both" || r.Eye() == eye
	})
}

// reportedOn is the calendar date on which a report was written when that was in its own
// night, whose morning is the next date; that on which the practice decided, unless the
// stop begins later; of any other cause the date of its night.
func (s *state) reportedOn(c care.Cause) civil.Date {
	if e := s.byID[c.ID]; e != nil && c.Kind == care.Cease {
		if on := civil.DateOf(episode.WrittenAt(e)); on.After(c.Night) {
			return on
		}
	}
	if e := s.byID[c.ID]; e != nil && c.Kind == care.Symptoms {
		if at := episode.WrittenAt(e); civil.NightOf(at, at.Location()) == c.Night {
			return civil.DateOf(at)
		}
	}
	return c.Night
}

func causeWords(k care.EntryKind) string {
	switch k {
	case care.Cease:
		return "by the practice"
	case care.Symptoms:
		return "after a report"
	case care.NotWorn:
		return "after a sore eye"
	}
	return "after an entry of the log"
}

// markNights says of each night whether it was written from memory, whether its times
// are the plan's, and whether a stop held.
func (s *state) markNights(first map[civil.Date]firstOf, batches map[civil.Date]int) {
	planned := plannedTimes(s.in.Entries, s.in.Wearer.ID)
	for i := range s.nights {
		row := &s.nights[i].row
		row.Planned = slices.ContainsFunc(planned[row.Night], func(t string) bool {
			return t == string(care.Insertion)+" "+row.In || t == string(care.Removal)+" "+row.Out
		})
		if f, ok := first[row.Night]; ok {
			loc := s.zones.get(s.zoneOf(row.Night))
			row.Memory = f.wall.Sub(endOf(row.Night, loc)) > lateAfter && batches[civil.DateOf(f.wall.In(loc))] >= batchNights
		}
		if s.wear == nil {
			continue
		}
		wear := care.WearOf(s.wear, row.Night, true, nil)
		for _, eye := range s.plan.eyes() {
			if wear.Eye(eye).State == care.Stop {
				row.Stopped = append(row.Stopped, eye)
			}
		}
	}
}

// doubtOf grades the log by the limits of the points about it, see [unloggedShare],
// [partlyShare] and [lateShare].
func doubtOf(sum *Summary) Doubt {
	t := sum.Trust
	d := Doubt{Level: "none"}
	logged, planned := t.Unlogged.NotDone, 0
	for _, r := range sum.Nights {
		if r.Planned {
			planned++
		}
		if r.Memory {
			d.Memory++
		}
	}
	d.fromMemory(sum)
	var parts []string
	if t.Unlogged.Answered() > 0 && t.Unlogged.Share >= unloggedShare {
		d.Level = "much"
		parts = append(parts, fmt.Sprintf("%d of %d nights have no entry.", t.Unlogged.Done, t.Unlogged.Answered()))
	}
	if planned > 0 {
		parts = append(parts, fmt.Sprintf("The plan's own times stand on %s.", plural(planned, "night", "nights")))
	}
	if t.Differ > 0 {
		parts = append(parts, fmt.Sprintf("Two entries disagree on %s.", plural(t.Differ, "night", "nights")))
	}
	if t.LateWritten > d.Memory {
		parts = append(parts, fmt.Sprintf("%s written more than a day late.", plural(t.LateWritten, "night was", "nights were")))
	}
	switch {
	case sum.To.Before(sum.From):
		d.Words = "No night of this period is over yet."
	case logged == 0:
		d.Level, d.Words = "much", "Nothing was logged in this period."
	case d.Words == "" && len(parts) > 0:
		d.Words, parts = parts[0], parts[1:]
		if d.Level == "none" {
			d.Level = "some"
		}
	case d.Words == "" && t.Unlogged.Share >= partlyShare:
		d.Level, d.Words = "some", fmt.Sprintf("Partly written: %d of %d nights have no entry.", t.Unlogged.Done, t.Unlogged.Answered())
	case d.Words == "":
		d.Words = fmt.Sprintf("Written night by night: %d of %d nights.", logged, t.Unlogged.Answered())
	}
	d.Detail = strings.Join(parts, " ")
	return d
}

// fromMemory says what reads as written from memory: several nights in one
// sitting, or the same clock every night.
func (d *Doubt) fromMemory(sum *Summary) {
	clock, logged := sameClock(sum.Nights), sum.Trust.Unlogged.NotDone
	if d.Memory == 0 {
		if clock != "" {
			d.Level, d.Words = "some", fmt.Sprintf("The same clock every night: in at %s.", clock)
		}
		return
	}
	most := 0
	for _, b := range sum.Trust.Batches {
		most = max(most, b.Nights)
	}
	d.Level = "some"
	if float64(d.Memory) >= lateShare*float64(logged) {
		d.Level = "much"
	}
	d.Words = fmt.Sprintf("Filled in from memory: %d of %d nights, up to %d at once", d.Memory, logged, most)
	if clock != "" {
		d.Words += ", the same clock every night"
	}
	d.Words += "."
}

// sameClock returns the one insertion time that at least 9 in 10 of 10 or more
// nights give (common practice: nobody goes to bed by the minute).
func sameClock(rows []NightRow) string {
	by, n := map[string]int{}, 0
	for _, r := range rows {
		if r.In != "" {
			by[r.In]++
			n++
		}
	}
	for clock, k := range by {
		if n >= 10 && 10*k >= 9*n {
			return clock
		}
	}
	return ""
}

func dangerOf(sum *Summary) *Danger {
	for _, item := range []string{"tap_water", "water_contact", "topping_off"} {
		for _, c := range sum.Care {
			if c.Item != item || len(c.Nights) == 0 {
				continue
			}
			d := &Danger{Item: item, Title: map[string]string{"tap_water": "Tap water", "water_contact": "Shower or swim with lenses in", "topping_off": "Old solution topped up"}[item],
				Nights: c.Share.NotDone, Of: c.Share.Answered(), Last: c.Nights[len(c.Nights)-1]}
			weekend := 0
			for _, n := range c.Nights {
				if w := n.Weekday(); w == 5 || w == 6 { // the evenings before a day off
					weekend++
				}
			}
			if d.Nights >= 5 && weekend == 0 {
				d.When = "none on Friday or Saturday evenings"
			} else if d.Nights >= 3 && weekend == d.Nights {
				d.When = "only on Friday and Saturday evenings"
			}
			return d
		}
	}
	return nil
}

func (s *state) stretch(from, to civil.Date) Stretch {
	rows := rowsOf(s.between(from, to))
	if first := s.plan.FirstNight; !first.IsZero() {
		rows = slices.DeleteFunc(rows, func(r NightRow) bool { return r.Night.Before(first) })
	}
	return Stretch{len(rows), wearShare(rows), hoursSpread(rows).Median}
}
