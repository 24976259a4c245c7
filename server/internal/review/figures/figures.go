package figures

import (
	"math"
	"slices"
	"strconv"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// Of computes the figures of the practice over a range.
func Of(in Input) PracticeFigures {
	f := PracticeFigures{From: in.From, To: in.To, Nights: review.Counts{Reasons: map[string]int{}}, Alerts: []LoadRow{}, Continuing: []SurvivalRow{},
		Beside: published(), Notes: []string{"Wear and care are self-reported; a night nobody wrote about is unknown, not missed."}}
	wearers, stopped := 0, 0
	var wear, all, recalls [4]int
	for _, t := range in.Wearers {
		add(&wear, t.Wear)
		add(&all, t.Care)
		add(&recalls, t.Recalls)
		f.Nights.Add(t.Counts)
		if t.Counts.Nights > 0 {
			wearers++
		}
		if slices.ContainsFunc(t.Courses, func(c course.Course) bool {
			return !c.Stopped.IsZero() && !c.Stopped.Before(in.From) && !c.Stopped.After(in.To)
		}) {
			stopped++
		}
		f.Years += in.yearsOf(t)
	}
	f.Wearers, f.Stopped = in.few(wearers), in.few(stopped)
	f.Wear, f.AllCare, f.Recalls = total(wear), total(all), total(recalls)
	f.Continuing = continuing(in)
	opened := slices.DeleteFunc(slices.Clone(in.Alerts), func(a review.AlertFact) bool {
		d := civil.DateOf(a.Opened)
		return d.Before(in.From) || d.After(in.To)
	})
	f.Alerts, f.Rung = in.alertLoad(opened, f.Years), rungAtNight(in.Alerts, in.From, in.To)
	began := slices.DeleteFunc(slices.Clone(in.Adverse), func(e course.AdverseFact) bool { return e.Began.Before(in.From) || e.Began.After(in.To) })
	closed := closedOnly(opened, began)
	f.Events = in.eventRate(closed+len(began), f.Years)
	f.Adverse = in.adverseRows(began, closed, f.Years)
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

// few hides a count below five from who may not read the records, but says when
// there is none.
func (in *Input) few(n int) Few {
	switch {
	case n == 0:
		return Few{Text: "none"}
	case n < 5 && !in.Whole:
		return Few{Text: "fewer than 5", Small: true}
	}
	return Few{N: n, Text: strconv.Itoa(n)}
}

func add(to *[4]int, s stats.Share) {
	to[0], to[1], to[2], to[3] = to[0]+s.Done, to[1]+s.NotDone, to[2]+s.Unknown, to[3]+s.Rest
}

func total(n [4]int) stats.Share { return stats.ShareOf(n[0], n[1], n[2]).Resting(n[3]) }

// daysPerYear is the mean Gregorian year.
const daysPerYear = 365.2425

// yearsOf is the time in lenses by the plan inside the range, in years, of all
// courses.
func (in *Input) yearsOf(t review.Tally) (years float64) {
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
func continuing(in Input) []SurvivalRow {
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
	steps, err := stats.KaplanMeier(events, censored)
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
func (in *Input) alertLoad(alerts []review.AlertFact, years float64) []LoadRow {
	var out []LoadRow
	for _, level := range []string{"emergency", "urgent", "routine", "note"} {
		row := LoadRow{Level: level}
		opened, open := 0, 0
		var ack, call, decision []float64
		after := func(to *[]float64, a review.AlertFact, at time.Time) {
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
			after(&decision, a, a.Decided())
		}
		row.Opened, row.Unacknowledged = in.few(opened), in.few(open)
		if years > 0 && !row.Opened.Small {
			rate := 100 * float64(opened) / years
			row.PerHundredYear = &rate
		}
		row.Ack, row.Call, row.Decision = waitOf(ack), waitOf(call), waitOf(decision)
		out = append(out, row)
	}
	return out
}

// closedOnly counts the alerts closed with an outcome that is an adverse event, of
// which none was written down.
func closedOnly(alerts []review.AlertFact, written []course.AdverseFact) int {
	return len(review.ClosedAsEvent(alerts, func(id care.AlertID) bool {
		return id != "" && slices.ContainsFunc(written, func(e course.AdverseFact) bool { return e.Alert == id })
	}))
}

// eventRate is the rate of n adverse events.
func (in *Input) eventRate(n int, years float64) EventRate {
	e := EventRate{Events: in.few(n), Years: years,
		Published: "Infection of the cornea in published series: about 5 to 14 per 10,000 wearer-years (Bullimore 2013, 2021; a Japanese four-hospital study). Events here are every outcome the practice closed as treated, referred, infiltrate or infection, and every event it wrote down without an alert, so they are more."}
	shown := n
	if e.Events.Small {
		shown = 4
	}
	rate, low, high, err := stats.PoissonRate(shown, years)
	if err != nil {
		return e
	}
	e.High = &high
	if !e.Events.Small {
		e.Per10000, e.Low = &rate, &low
	}
	return e
}
