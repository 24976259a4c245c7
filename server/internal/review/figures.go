package review

import (
	"math"
	"slices"
	"strconv"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// TallyOf makes one wearer's part of the practice's figures. The input needs
// From and To set, and the nights and plans of that stretch; recalls are those
// the schedule computes for the wearer.
func TallyOf(in Input, recalls []schedule.Recall) Tally {
	s := newState(in)
	t := Tally{Wearer: in.Wearer.ID, Courses: Courses(in.Plans), Counts: Counts{Reasons: map[string]int{}}}
	if len(t.Courses) == 0 || t.Courses[0].First.After(s.to) {
		return t
	}
	s.allCourses(t.Courses)
	rows := rowsOf(s.nights)
	t.Counts, t.Wear = count(rows), wearShare(rows)
	_, t.Care = careFigures(s.nights, s.plan.careItems())
	var kept, not int
	for _, r := range recalls {
		if r.Due.Before(s.from) || r.Due.After(s.to) || r.State == "waived" {
			continue
		}
		switch {
		case r.State == "kept" && !r.Date.After(r.To):
			kept++
		case r.State == "kept", r.To.Before(in.Today):
			not++
		}
	}
	t.Recalls = shareOf(kept, not, 0)
	return t
}

// allCourses takes the nights of every course in the range, not only those of the
// newest one, which one wearer's review is about.
func (s *state) allCourses(courses []Course) {
	if len(courses) < 2 || s.in.From.IsZero() || !s.in.From.Before(s.from) {
		return
	}
	if s.from = s.in.From; courses[0].First.After(s.from) {
		s.from = courses[0].First
	}
	s.nights = s.between(s.from, s.to)
}

// Practice computes the figures of the practice over a range.
func Practice(in PracticeInput) PracticeFigures {
	f := PracticeFigures{From: in.From, To: in.To, Nights: Counts{Reasons: map[string]int{}}, Alerts: []LoadRow{}, Continuing: []SurvivalRow{},
		Beside: published(), Notes: []string{"Wear and care are self-reported; a night nobody wrote about is unknown, not missed."}}
	wearers, stopped := 0, 0
	var wear, all, recalls [4]int
	for _, t := range in.Wearers {
		add(&wear, t.Wear)
		add(&all, t.Care)
		add(&recalls, t.Recalls)
		f.Nights.add(t.Counts)
		if t.Counts.Nights > 0 {
			wearers++
		}
		if slices.ContainsFunc(t.Courses, func(c Course) bool {
			return !c.Stopped.IsZero() && !c.Stopped.Before(in.From) && !c.Stopped.After(in.To)
		}) {
			stopped++
		}
		f.Years += in.yearsOf(t)
	}
	f.Wearers, f.Stopped = few(wearers), few(stopped)
	f.Wear, f.AllCare, f.Recalls = total(wear), total(all), total(recalls)
	f.Continuing = continuing(in)
	opened := slices.DeleteFunc(slices.Clone(in.Alerts), func(a AlertFact) bool {
		d := civil.DateOf(a.Opened)
		return d.Before(in.From) || d.After(in.To)
	})
	f.Alerts, f.Rung = alertLoad(opened, f.Years), rungAtNight(in.Alerts, in.From, in.To)
	began := slices.DeleteFunc(slices.Clone(in.Adverse), func(e AdverseFact) bool { return e.Began.Before(in.From) || e.Began.After(in.To) })
	f.Events = eventRate(opened, began, f.Years)
	f.Adverse = adverseRows(began, f.Years)
	return f
}

// published are figures to read a practice's own against.
func published() []string {
	return []string{
		"All care and wear items met: 19.7 % of 238 wearers, 96.6 % of whom thought so (Bian 2021); 14.1 % of 405 wearers after a year or more (2018 study).",
		"All recalls kept: 46.4 % and 63.3 % of wearers in two studies of the first year and later.",
		"Stopped within 6 months: 6 of 32 (Sánchez-García 2024).",
	}
}

// few hides a count below five, but says when there is none.
func few(n int) Few {
	switch {
	case n == 0:
		return Few{Text: "none"}
	case n < 5:
		return Few{Text: "fewer than 5", Small: true}
	}
	return Few{N: n, Text: strconv.Itoa(n)}
}

func add(to *[4]int, s Share) {
	to[0], to[1], to[2], to[3] = to[0]+s.Done, to[1]+s.NotDone, to[2]+s.Unknown, to[3]+s.Rest
}

func total(n [4]int) Share { return shareOf(n[0], n[1], n[2]).resting(n[3]) }

func (c *Counts) add(d Counts) {
	c.Nights += d.Nights
	c.Worn += d.Worn
	c.Short += d.Short
	c.Missed += d.Missed
	c.NotLogged += d.NotLogged
	c.Differ += d.Differ
	c.Stopped += d.Stopped
	c.Rest += d.Rest
	c.NoHours += d.NoHours
	for reason, n := range d.Reasons {
		c.Reasons[reason] += n
	}
	c.LongestMissed = max(c.LongestMissed, d.LongestMissed)
}

// daysPerYear is the mean Gregorian year.
const daysPerYear = 365.2425

// yearsOf is the time in lenses by the plan inside the range, in years, of all
// courses.
func (in *PracticeInput) yearsOf(t Tally) (years float64) {
	for _, c := range t.Courses {
		from, end := in.From, in.To.AddDays(1)
		if c.First.After(from) {
			from = c.First
		}
		if !c.Stopped.IsZero() && c.Stopped.Before(end) {
			end = c.Stopped
		}
		years += max(0, float64(end.DaysSince(from))/daysPerYear)
	}
	return years
}

// continuing is the curve of continued wear over everybody who started, in months
// since the first night, to the end of the first course; those still wearing count
// up to today.
func continuing(in PracticeInput) []SurvivalRow {
	var events, censored []float64
	for _, t := range in.Wearers {
		if len(t.Courses) == 0 || t.Courses[0].First.After(in.Today) {
			continue
		}
		c := t.Courses[0]
		if !c.Stopped.IsZero() && !c.Stopped.After(in.Today) {
			events = append(events, monthsBetween(c.First, c.Stopped))
		} else {
			censored = append(censored, monthsBetween(c.First, in.Today))
		}
	}
	steps, err := KaplanMeier(events, censored)
	if err != nil {
		return []SurvivalRow{} // nobody started
	}
	started := len(events) + len(censored)
	out := []SurvivalRow{{Months: 0, Share: 1, AtRisk: started}}
	for _, step := range steps {
		row := SurvivalRow{Months: step.Time, Share: step.Survival, SE: step.SE, AtRisk: step.AtRisk}
		if math.IsNaN(row.SE) {
			row.SE = 0 // nobody is left, and no error is defined
		}
		out = append(out, row)
	}
	return out
}

func monthsBetween(a, b civil.Date) float64 { return float64(b.DaysSince(a)) / daysPerYear * 12 }

// alertLoad is the load of each level, and how soon somebody acknowledged, spoke to
// the family and decided.
func alertLoad(alerts []AlertFact, years float64) []LoadRow {
	var out []LoadRow
	for _, level := range []string{"emergency", "urgent", "routine", "note"} {
		row := LoadRow{Level: level}
		opened, open := 0, 0
		var ack, call, decision []float64
		after := func(to *[]float64, a AlertFact, at time.Time) {
			if !at.IsZero() {
				*to = append(*to, at.Sub(a.Opened).Minutes())
			}
		}
		for _, a := range alerts {
			if a.Level != level {
				continue
			}
			opened++
			if a.AckAt.IsZero() {
				open++
			}
			after(&ack, a, a.AckAt)
			after(&call, a, a.CalledAt)
			after(&decision, a, a.decided())
		}
		row.Opened, row.Unacknowledged = few(opened), few(open)
		if years > 0 && !row.Opened.Small {
			rate := 100 * float64(opened) / years
			row.PerHundredYear = &rate
		}
		row.Ack, row.Call, row.Decision = waitOf(ack), waitOf(call), waitOf(decision)
		out = append(out, row)
	}
	return out
}

// decided is when the alert was first closed; zero while it was not.
func (a *AlertFact) decided() time.Time {
	if len(a.Closings) > 0 {
		return a.Closings[0].At
	}
	return a.ClosedAt
}

// eventRate counts the alerts closed with an outcome that is an adverse event, and
// the events written down that came by none of them.
func eventRate(alerts []AlertFact, written []AdverseFact, years float64) EventRate {
	n, counted := 0, map[care.AlertID]bool{}
	for _, a := range alerts {
		if o, ok := OutcomeOf(a.Outcome); ok && o.Event {
			n++
			counted[a.ID] = true
		}
	}
	for _, e := range written {
		if e.Alert == "" || !counted[e.Alert] {
			n++
		}
	}
	e := EventRate{Events: few(n), Years: years,
		Published: "Infection of the cornea in published series: about 5 to 14 per 10,000 wearer-years (Bullimore 2013, 2021; a Japanese four-hospital study). Events here are every outcome the practice closed as treated, referred, infiltrate or infection, and every event it wrote down without an alert, so they are more."}
	shown := n
	if e.Events.Small {
		shown = 4
	}
	rate, low, high, err := PoissonRate(shown, years)
	if err != nil {
		return e
	}
	e.High = &high
	if !e.Events.Small {
		e.Per10000, e.Low = &rate, &low
	}
	return e
}
