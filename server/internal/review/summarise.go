package review

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// defaultNights is the range when there was no visit yet, and longestRange the
// most nights one summary takes.
const (
	defaultNights = 90
	longestRange  = 800
)

// state is what the parts of one summary share.
type state struct {
	in          Input
	from, to    civil.Date
	plan        PlanFacts // in force on the last night of the range
	hasPlan     bool
	nights      []night
	all         map[civil.Date]*care.Night
	byID        map[care.EntryID]*care.Entry
	zoneByNight map[civil.Date]string
	zones       locations
	wear        []care.WearFact // nil when nothing can hold a lens back
}

// Summarise reads one wearer's log over a range of nights. It never fails:
// what the data does not allow is left empty and said in CannotTell.
func Summarise(in Input) Summary {
	s := newState(in)
	sum := Summary{
		Wearer: in.Wearer, Today: in.Today, From: s.from, To: s.to, Age: ageOn(in.Wearer.Birth, in.Today),
		NextVisit:  nextVisit(in.Visits, in.Today),
		CannotTell: []string{},
	}
	var since civil.Date // a visit of an earlier course is none of this one
	sum.Course, since = courseOn(in.Plans, in.Today)
	sum.LastVisit = lastKept(slices.DeleteFunc(slices.Clone(in.Visits), func(v course.Visit) bool { return v.Date.Before(since) }), in.Today.AddDays(1))
	if in.Call != nil {
		if open := Overdue(in.Call.Recalls, course.ScheduleVisits(in.Visits), in.Today); len(open) > 0 {
			sum.Overdue = open[0].Due
		}
	}
	if s.hasPlan {
		p := s.plan
		sum.Plan = &p
	}
	sum.Trust = s.trustOf() // fills LateHours of the rows
	sum.Nights = rowsOf(s.nights)
	sum.Counts = count(sum.Nights)
	sum.Wear = wearShare(sum.Nights)
	sum.Hours = hoursSpread(sum.Nights)
	sum.Bedtime = bedtime(sum.Nights)
	sum.Weekdays = weekdays(sum.Nights)
	sum.Care, sum.AllCare = careFigures(s.nights, s.plan.careItems())
	s.careMarks(sum.Care)
	s.collect(&sum)
	sum.AlertRates = s.alertRates(sum.Counts.Nights)
	sum.Acuity = s.acuity()
	sum.Effect = s.effect()
	sum.Growth = growth(in.Visits, in.Wearer, Courses(in.Plans), in.Today)
	sum.Ends = course.EndOf(Courses(in.Plans), in.Endings, in.Today)
	sum.Pauses = s.pauses()
	sum.Timeline = s.timeline(&sum)
	s.cannotTell(&sum)
	sum.Rules = s.rules()
	sum.Points = points(&sum, s)
	sum.Changes = changes(&sum, s)
	sum.Glance = s.glance(&sum)
	return sum
}

func newState(in Input) *state {
	s := &state{in: in, zones: locations{}, all: map[civil.Date]*care.Night{}, byID: entriesByID(in.Entries),
		zoneByNight: map[civil.Date]string{}}
	for i := range in.Nights {
		if n := &in.Nights[i]; n.Wearer == in.Wearer.ID && !n.AboutReminders() {
			s.all[n.Date] = n
		}
	}
	s.wear = wearOf(in)
	for _, e := range in.Entries {
		s.zoneByNight[e.Night] = e.Zone
	}
	s.from, s.to = rangeOf(in)
	s.plan, s.hasPlan = planOf(in, s.to)
	s.nights = s.between(s.from, s.to)
	return s
}

// between returns the nights from a to b that belong to the wearing of lenses.
func (s *state) between(a, b civil.Date) []night {
	out := []night{}
	begun := s.firstLogged()
	for d := a; !d.After(b); d = d.AddDays(1) {
		plan, _ := planOn(s.in.Plans, d)
		if plan.FirstNight.IsZero() && (begun.IsZero() || d.Before(begun)) {
			continue // nobody has said yet that there is anything to log
		}
		if !plan.FirstNight.IsZero() && !plan.Wearing(d) && s.all[d] == nil {
			continue // before the start, after the end or in an agreed pause
		}
		row := s.readNight(d, plan)
		live(s.all[d], care.Symptoms, func(care.EntryID, json.RawMessage) { row.Symptoms = true })
		out = append(out, night{row, s.all[d], plan})
	}
	return out
}

// firstLogged is the first night that anything was written about; zero: none was.
func (s *state) firstLogged() (first civil.Date) {
	for d := range s.all {
		if first.IsZero() || d.Before(first) {
			first = d
		}
	}
	return first
}

// rangeOf settles the range: from the last visit kept, or 90 nights; never
// before the first night in lenses, never after last night.
func rangeOf(in Input) (from, to civil.Date) {
	lastNight := in.Today.AddDays(-1)
	to = in.To
	if to.IsZero() || to.After(lastNight) {
		to = lastNight
	}
	from = in.From
	if from.IsZero() {
		from = to.AddDays(1 - defaultNights)
		if v := lastKept(in.Visits, in.Today); v != nil {
			from = v.Date
		}
	}
	plan, _ := planOf(in, to)
	if first := plan.FirstNight; !first.IsZero() && from.Before(first) {
		from = first
	}
	if to.DaysSince(from) >= longestRange {
		from = to.AddDays(1 - longestRange)
	}
	return from, to
}

// planOn returns the version in force on a night: the newest that applies.
func planOn(plans []PlanFacts, d civil.Date) (PlanFacts, bool) {
	var best PlanFacts
	found := false
	for _, p := range plans {
		if !p.From.After(d) && (!found || p.Version > best.Version) {
			best, found = p, true
		}
	}
	return best, found
}

// planOf returns the version that a range up to a night is read by: that in force on it,
// or today's, where the range is to end now and wear has started over since.
func planOf(in Input, to civil.Date) (PlanFacts, bool) {
	then, _ := courseOn(in.Plans, to)
	if now, _ := courseOn(in.Plans, in.Today); in.To.IsZero() && now > max(1, then) {
		to = in.Today
	}
	return planOn(in.Plans, to)
}

// courseOn returns the number of the course that has begun by a date, 1 for the first,
// and the end of the one before it; zero when nothing has begun or ended.
func courseOn(plans []PlanFacts, today civil.Date) (n int, since civil.Date) {
	all := Courses(plans)
	for i, c := range all {
		if c.First.After(today) {
			break
		}
		if n = i + 1; i > 0 {
			since = all[i-1].Stopped
		}
	}
	return n, since
}

// lastKept returns the last visit kept before a date.
func lastKept(visits []course.Visit, today civil.Date) *course.Visit {
	var last *course.Visit
	for i := range visits {
		if v := &visits[i]; v.State == "kept" && v.Date.Before(today) && (last == nil || v.Date.After(last.Date)) {
			last = v
		}
	}
	return clone(last)
}

func nextVisit(visits []course.Visit, today civil.Date) *course.Visit {
	var next *course.Visit
	for i := range visits {
		if v := &visits[i]; v.State == "booked" && !v.Date.Before(today) && (next == nil || v.Date.Before(next.Date)) {
			next = v
		}
	}
	return clone(next)
}

func clone[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// ageOn returns the age in years with one decimal, 0 when birth is not a date.
func ageOn(birth string, today civil.Date) float64 {
	b, err := civil.ParseDate(birth)
	if err != nil || today.Before(b) {
		return 0
	}
	years := today.Year - b.Year
	last := b.AddMonths(12 * years)
	if last.After(today) {
		years--
		last = b.AddMonths(12 * years)
	}
	part := float64(today.DaysSince(last)) / float64(b.AddMonths(12*(years+1)).DaysSince(last))
	return math.Floor(10*(float64(years)+part)) / 10
}

func rowsOf(nights []night) []NightRow {
	out := make([]NightRow, len(nights))
	for i, n := range nights {
		out[i] = n.row
	}
	return out
}

func hoursSpread(rows []NightRow) Spread {
	var x []float64
	for _, r := range rows {
		if r.Hours != nil && r.Counted != Missed {
			x = append(x, *r.Hours)
		}
	}
	if len(x) == 0 {
		return Spread{}
	}
	return Spread{N: len(x), Median: stats.Median(x), Low: stats.Quantile(x, 0.25), High: stats.Quantile(x, 0.75), Min: x[0], Max: x[len(x)-1]}
}

func weekdays(rows []NightRow) []WeekdayRow {
	by := map[time.Weekday][]NightRow{}
	for _, r := range rows {
		by[r.Night.Weekday()] = append(by[r.Night.Weekday()], r)
	}
	out := make([]WeekdayRow, 7)
	for i := range out {
		day := time.Weekday((i + 1) % 7) // Monday first
		out[i] = WeekdayRow{day.String(), wearShare(by[day])}
	}
	return out
}

// collect fills the lists that are read straight from the nights.
func (s *state) collect(sum *Summary) {
	sum.Sight, sum.Mornings, sum.Symptoms = []SightRow{}, []MorningRow{}, []SymptomRow{}
	sum.Supplies, sum.Notes, sum.Alerts = []SupplyRow{}, []NoteRow{}, []AlertFact{}
	sum.Words = s.words()
	// Tonight's reports count although the night has not ended.
	for _, d := range s.loggedNights(s.from, s.in.Today) {
		n := s.all[d]
		if d == s.in.Today && s.to != s.in.Today.AddDays(-1) || d.After(s.to) && d != s.in.Today {
			continue
		}
		if r, ok := sightRow(n); ok {
			sum.Sight = append(sum.Sight, r)
		}
		if r, ok := morningRow(n); ok {
			sum.Mornings = append(sum.Mornings, r)
		}
		plan, _ := planOn(s.in.Plans, d)
		sum.Symptoms = append(sum.Symptoms, symptomRows(n, s.byID)...)
		sum.Supplies = append(sum.Supplies, supplyRows(n, plan)...)
		sum.Notes = append(sum.Notes, noteRows(n, s.byID, s.in.People)...)
	}
	joinReports(sum.Symptoms, s.byID)
	for _, a := range s.in.Alerts {
		d := civil.DateOf(a.Opened)
		stillOpen := a.State != "closed" && d.Before(s.from) // whatever range is looked at
		if stillOpen || !d.Before(s.from) && !d.After(s.to.AddDays(1)) {
			sum.Alerts = append(sum.Alerts, a)
		}
	}
	slices.SortFunc(sum.Alerts, func(a, b AlertFact) int { return a.Opened.Compare(b.Opened) })
}

func (s *state) loggedNights(from, to civil.Date) []civil.Date {
	var out []civil.Date
	for d := range s.all {
		if !d.Before(from) && !d.After(to) {
			out = append(out, d)
		}
	}
	slices.SortFunc(out, civil.Date.Compare)
	return out
}

// timeline puts everything that happened on one axis, in order.
func (s *state) timeline(sum *Summary) []Event {
	out := []Event{}
	for _, r := range sum.Symptoms {
		out = append(out, Event{r.Night, "symptom", r.Words, "", string(r.Entry)})
	}
	for _, a := range sum.Alerts {
		if civil.DateOf(a.Opened).Before(s.from) {
			continue // before the axis begins
		}
		out = append(out, Event{civil.DateOf(a.Opened), "alert", a.Title, a.Level, string(a.ID)})
	}
	for _, r := range sum.Supplies {
		lane := "supply"
		if r.Item == "lens" {
			lane = "lens"
		}
		text := strings.TrimSpace(strings.Join([]string{eyeWord(r.Eye), r.Item, r.Action}, " "))
		out = append(out, Event{r.On, lane, text, "", string(r.Entry)})
	}
	out = append(out, s.pauseEvents(sum.Pauses)...)
	for _, v := range s.in.Visits {
		out = append(out, Event{v.Date, "visit", strings.ReplaceAll(v.Kind, "-", " ") + ", " + v.State, "", v.ID})
	}
	for _, p := range s.in.Plans {
		out = append(out, Event{p.From, "plan", fmt.Sprintf("plan version %d", p.Version), "", ""})
	}
	out = slices.DeleteFunc(out, func(e Event) bool { return e.Date.Before(s.from) || e.Date.After(s.in.Today) && e.Lane != "pause" })
	slices.SortStableFunc(out, func(a, b Event) int { return a.Date.Compare(b.Date) })
	return out
}

func eyeWord(eye string) string {
	if eye == "right" || eye == "left" {
		return eye
	}
	return ""
}

func (s *state) cannotTell(sum *Summary) {
	say := func(text string) { sum.CannotTell = append(sum.CannotTell, text) }
	if !s.hasPlan {
		say("There is no plan for this range: the usual minimum of 6 hours and the usual care items are used.")
	}
	if sum.Wear.Answered() == 0 {
		say("Nothing about wear was logged in this range, so nothing can be said about it.")
	}
	if sum.Counts.NoHours > 0 {
		say(plural(sum.Counts.NoHours, "night has", "nights have") + " no usable insertion and removal time: worn, but for how long is not known.")
	}
	if left := neverAnswered(sum.Care); len(left) > 0 {
		say("Never answered in this range, so left out of “every item done”: " + strings.ToLower(strings.Join(left, "; ")) + ".")
	}
	if len(sum.Sight) < 4 {
		say("There are fewer than 4 evening sight reports: no trend is drawn.")
	}
}

// bedtime describes the insertion times; see [CircularTimes].
func bedtime(rows []NightRow) Bedtime {
	var times []civil.Clock
	for _, r := range rows {
		if c, err := civil.ParseClock(r.In); err == nil {
			times = append(times, c)
		}
	}
	b := Bedtime{N: len(times)}
	c, err := stats.CircularTimes(times)
	if b.Resultant = c.Resultant; err != nil || c.Resultant == 0 {
		return b // no times, or all round the clock: they have no middle
	}
	b.Mean = civil.Clock(int(math.Round(c.MeanMinutes)) % stats.MinutesPerDay).String()
	b.SDMinutes = math.Round(c.SDMinutes*10) / 10
	return b
}
