package review_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/figures"
)

func alertsClosed(n int, outcome string) []review.AlertFact {
	out := make([]review.AlertFact, n)
	opened := time.Date(2025, 5, 1, 9, 0, 0, 0, time.UTC)
	for i := range out {
		out[i] = review.AlertFact{Level: "emergency", State: "closed", Opened: opened, AckAt: opened.Add(time.Duration(i+1) * time.Minute), Outcome: outcome}
	}
	return out
}

// wornFor makes wearers who wore lenses through the whole of 2025.
func wornFor(n int) figures.Input {
	in := figures.Input{From: civil.MustDate("2025-01-01"), To: civil.MustDate("2025-12-31"), Today: civil.MustDate("2026-01-01")}
	for range n {
		in.Wearers = append(in.Wearers, review.Tally{Courses: []course.Course{{First: civil.MustDate("2024-01-01")}}, Counts: review.Counts{Nights: 365}})
	}
	return in
}

// 8 events in 400 wearers through 365 of 365.2425 days: 399.73 wearer-years,
// 200.13 per 10,000; Garwood limits of a count of 8 are 3.4538 and 15.7632
// (chi-square tables), so 86.40 and 394.3 per 10,000.
func TestEventRateHasExactLimits(t *testing.T) {
	t.Parallel()
	in := wornFor(400)
	in.Alerts = append(alertsClosed(8, "seen-treated"), alertsClosed(20, "spoken-to")...)
	e := figures.Of(in).Events
	if e.Per10000 == nil || math.Abs(*e.Per10000-200.13) > 0.02 || math.Abs(*e.Low-86.40) > 0.05 || math.Abs(*e.High-394.35) > 0.1 || e.Events.N != 8 {
		t.Errorf("got %+v: %v %v %v", e, *e.Per10000, *e.Low, *e.High)
	}
}

// Below five, neither the count nor anything it could be worked back from is
// given; none is said.
func TestSmallCountsStayHidden(t *testing.T) {
	t.Parallel()
	in := wornFor(400)
	in.Alerts = alertsClosed(2, "infection")
	f := figures.Of(in)
	if e := f.Events; e.Events.N != 0 || e.Events.Text != "fewer than 5" || e.Per10000 != nil || e.Low != nil || e.High == nil {
		t.Errorf("events: %+v", e)
	}
	if a := f.Alerts[0]; a.Level != "emergency" || a.Opened.N != 0 || a.PerHundredYear != nil || a.Ack.Median != nil {
		t.Errorf("load: %+v", a)
	}
	in.Alerts = nil
	if e := figures.Of(in).Events; e.Events.Text != "none" || e.Per10000 == nil || *e.Per10000 != 0 {
		t.Errorf("no event: %+v", e)
	}
}

func TestAlertsOutsideTheRangeAreLeftOut(t *testing.T) {
	t.Parallel()
	in := wornFor(100)
	in.Alerts = alertsClosed(10, "spoken-to")
	in.Alerts[0].Opened = time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	if got := figures.Of(in).Alerts[0].Opened.N; got != 9 {
		t.Errorf("got %d, want the 9 opened in 2025", got)
	}
}

// How soon a practice answers is its own: of fewer than five each is shown.
func TestAFewAnswersAreShownOneByOne(t *testing.T) {
	t.Parallel()
	in := wornFor(100)
	in.Alerts = alertsClosed(3, "spoken-to") // acknowledged after 1, 2 and 3 minutes
	slices.Reverse(in.Alerts)
	if a := figures.Of(in).Alerts[0]; !slices.Equal(a.Ack.Each, []float64{1, 2, 3}) || a.Ack.Median != nil {
		t.Errorf("got %+v", a)
	}
}

// Acknowledged after 1 to 10 minutes: the middle is 5.5, and 9 in 10 were
// acknowledged within 9.1 (definition 7 of Hyndman and Fan).
func TestTimeToAcknowledge(t *testing.T) {
	t.Parallel()
	in := wornFor(100)
	in.Alerts = alertsClosed(10, "spoken-to")
	a := figures.Of(in).Alerts[0]
	if a.Ack.Median == nil || *a.Ack.Median != 5.5 || math.Abs(*a.Ack.P90-9.1) > 1e-9 {
		t.Errorf("got %+v", a)
	}
}

// Taken at once, called later, decided later still: each wait is its own, in
// minutes from the opening, as set down here. An alert closed without a call has none.
func TestTimeToCallAndToDecision(t *testing.T) {
	t.Parallel()
	in := wornFor(100)
	in.Alerts = alertsClosed(2, "spoken-to")
	opened := in.Alerts[0].Opened
	in.Alerts[0].CalledAt = opened.Add(40 * time.Minute)
	in.Alerts[0].Closings = []review.Closing{{At: opened.Add(90 * time.Minute)}, {At: opened.Add(48 * time.Hour)}}
	in.Alerts[1].ClosedAt = opened.Add(2 * time.Hour)
	a := figures.Of(in).Alerts[0]
	if !slices.Equal(a.Ack.Each, []float64{1, 2}) || !slices.Equal(a.Call.Each, []float64{40}) || !slices.Equal(a.Decision.Each, []float64{90, 120}) {
		t.Errorf("ack %v, call %v, decision %v", a.Ack.Each, a.Call.Each, a.Decision.Each)
	}
}

// Rung at 22:10 and twice in one minute at 03:00 of the same night, and at 06:59 of
// another: two nights and three messages. Not at 07:00, at 21:59, or outside the range.
func TestHowOftenSomebodyIsRungAtNight(t *testing.T) {
	t.Parallel()
	in := wornFor(1)
	at := func(day, hour, minute, second int) review.Ring {
		return review.Ring{Name: "Ann", At: time.Date(2025, 5, day, hour, minute, second, 0, time.UTC)}
	}
	in.Alerts = []review.AlertFact{
		{Level: "urgent", Opened: at(1, 22, 0, 0).At, Rung: []review.Ring{at(1, 22, 10, 0), at(2, 3, 0, 0), at(2, 3, 0, 20), at(2, 7, 0, 0)}},
		{Level: "note", Opened: at(4, 0, 0, 0).At, Rung: []review.Ring{at(4, 6, 59, 0), at(4, 21, 59, 0), {Name: "Ben", At: time.Date(2024, 5, 1, 3, 0, 0, 0, time.UTC)}}},
	}
	want := []figures.RungRow{{Name: "Ann", Nights: 2, Rings: 3}}
	if got := figures.Of(in).Rung; !slices.Equal(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// Six wearers started 300 days before today; one stopped after 100 days and
// one after 200. Still wearing: 5/6 after the first, 4/6 after the second.
func TestContinuingIsKaplanMeier(t *testing.T) {
	t.Parallel()
	in := figures.Input{From: civil.MustDate("2026-01-01"), To: civil.MustDate("2026-10-27"), Today: civil.MustDate("2026-10-28")}
	for i := range 6 {
		c := course.Course{First: civil.MustDate("2026-01-01")}
		if i < 2 {
			c.Stopped = c.First.AddDays(100 * (i + 1))
		}
		w := review.Tally{Courses: []course.Course{c}}
		in.Wearers = append(in.Wearers, w)
	}
	got := figures.Of(in).Continuing
	if len(got) != 3 || got[0].Share != 1 || math.Abs(got[1].Share-5.0/6) > 1e-12 || math.Abs(got[2].Share-4.0/6) > 1e-12 || got[2].AtRisk != 5 {
		t.Errorf("got %+v", got)
	}
}

// Of four visits due: one kept on time, one kept late, one missed, one still
// inside its days.
func TestTallyCountsRecallsKeptOnTime(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-10-01", "22:00", "07:00")
	in := d.over("2026-10-01", "2026-11-01", plan("2026-09-01"))
	in.To = civil.MustDate("2026-10-31")
	visit := func(due, to, state, date string) schedule.Recall {
		r := schedule.Recall{Due: civil.MustDate(due), To: civil.MustDate(to), State: state}
		if date != "" {
			r.Date = civil.MustDate(date)
		}
		return r
	}
	got := review.TallyOf(in, []schedule.Recall{
		visit("2026-10-02", "2026-10-05", "kept", "2026-10-03"), visit("2026-10-08", "2026-10-11", "kept", "2026-10-20"),
		visit("2026-10-15", "2026-10-18", "overdue", ""), visit("2026-10-30", "2026-11-06", "due", ""),
		visit("2026-12-30", "2027-01-06", "due", ""),
	})
	if got.Recalls.Done != 1 || got.Recalls.NotDone != 2 || got.Counts.Nights != 31 || got.Wear.Done != 1 || got.Wear.Unknown != 30 {
		t.Errorf("got %+v", got)
	}
}

// The growth shown in a summary: 24.50 to 24.68 mm in half a year is 0.36 mm a
// year exactly, the boundary that still counts as moderate; 24.69 is rapid
// (trial classes, Cho and Cheung 2012, 2017). Another instrument gives no rate.
func TestGrowthInTheSummary(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name       string
		mm         float64
		instrument string
		class      string
		raised     bool
	}{{"boundary", 24.68, "a", "moderate", true}, {"rapid", 24.69, "a", "rapid", true}, {"other instrument", 24.69, "b", "no rate", false}, {"slow", 24.58, "a", "slow", false}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			in := newDiary(t).over("2026-09-01", "2026-10-01", plan("2025-01-01"))
			start := 24.50
			in.Visits = []course.Visit{
				{Date: civil.MustDate("2026-02-01"), State: "kept", Instrument: "a", Right: course.EyeFindings{AxialMM: &start}},
				{Date: civil.MustDate("2026-08-01"), State: "kept", Instrument: c.instrument, Right: course.EyeFindings{AxialMM: &c.mm}},
			}
			sum := review.Summarise(in)
			raised := false
			for _, p := range sum.Points {
				raised = raised || p.Rule == "fast-growth"
			}
			if len(sum.Growth) != 1 || sum.Growth[0].Class != c.class || raised != c.raised {
				t.Errorf("got %+v, raised %t; want %s, %t", sum.Growth, raised, c.class, c.raised)
			}
		})
	}
}

func TestAcuityRunsAreScoredAgain(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	body := `{"eye":"left","distance_m":3,"px_per_mm":6,"practice":true,"trials":[[0.5,1],[0.3,1],[0.2,1],[0.1,0],[0.2,1],[0.1,1],[0,0],[0.1,0]]}`
	d.write("2026-09-10", "acuity-run", body, "2026-09-10T19:00")
	got := review.Summarise(d.over("2026-09-01", "2026-09-12", plan("2025-01-01"))).Acuity
	if len(got) != 1 || got[0].Eye != "left" || got[0].LogMAR == nil || *got[0].LogMAR < -0.1 || *got[0].LogMAR > 0.3 || got[0].Reliable || got[0].Note == "" {
		t.Errorf("a practice run is scored, and never counted as reliable: %+v", got)
	}
}

// Nine evenings at 5, then three at 3: two grades below the wearer's own
// middle on each of the last three. One good evening among them, and it is no
// fading.
func TestFadingSightIsAgainstOnesOwnEvenings(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		last []string
		want bool
	}{{"three in a row", []string{"3", "3", "3"}, true}, {"one good one between", []string{"3", "5", "3"}, false}, {"only two", []string{"5", "3", "3"}, false}, {"always low", nil, false}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			ratings := []string{"5", "5", "5", "5", "5", "5", "5", "5", "5"}
			if c.last == nil {
				ratings = []string{"3", "3", "3", "3", "3", "3", "3", "3", "3", "3", "3", "3"}
			}
			for i, r := range append(ratings, c.last...) {
				n := nightAfter("2026-09-01", i)
				d.write(n, "evening-sight", `{"rating":`+r+`}`, n+"T19:00")
			}
			got := false
			for _, p := range review.Summarise(d.over("2026-09-01", "2026-09-14", plan("2025-01-01"))).Points {
				got = got || p.Rule == "sight-fading"
			}
			if got != c.want {
				t.Errorf("raised %t, want %t", got, c.want)
			}
		})
	}
}

// Two stuck lenses within a week raise a point; eight days apart they do not.
func TestStuckTwiceWithinAWeek(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		second string
		want   bool
	}{{"2026-09-08", true}, {"2026-09-09", false}} {
		d := newDiary(t)
		d.write("2026-09-01", "morning", `{"moved":"stuck-came-off"}`, "")
		d.write(c.second, "morning", `{"moved":"stuck"}`, "")
		got := false
		for _, p := range review.Summarise(d.over("2026-09-01", "2026-09-20", plan("2025-01-01"))).Points {
			got = got || p.Rule == "stuck-lens"
		}
		if got != c.want {
			t.Errorf("second on %s: raised %t, want %t", c.second, got, c.want)
		}
	}
}

// Ten nights each side: rubbed on 9 of 10, then on 5 of 10.
func TestChangesAgainstTheStretchBefore(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 20 {
		rub := "true"
		if i == 3 || i >= 15 {
			rub = "false"
		}
		n := nightAfter("2026-09-01", i)
		d.worn(n, "22:00", "07:00")
		d.write(n, "care", `{"rub":`+rub+`}`, "")
	}
	var got *review.Change
	for _, c := range review.Summarise(d.over("2026-09-11", "2026-09-21", plan("2025-01-01"))).Changes {
		if c.What == "Lenses rubbed" {
			got = &c
		}
	}
	if got == nil || got.Before != "9 of 10" || got.Now != "5 of 10" {
		t.Errorf("got %+v", got)
	}
}

// A summary must not change with the order in which nights and entries come.
func TestOrderOfInputDoesNotMatter(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 12 {
		n := nightAfter("2026-09-01", i)
		d.worn(n, "22:00", "07:00")
		d.write(n, "evening-sight", `{"rating":4,"hours_since_removal":11}`, n+"T18:00")
		d.write(n, "supply", `{"item":"drops","action":"started","on":"`+n+`"}`, "")
	}
	p := plan("2026-09-01")
	p.BaselineLeft = -2
	a := d.over("2026-09-01", "2026-09-13", p)
	b := a
	b.Nights, b.Entries = reversed(a.Nights), reversed(a.Entries)
	if x, y := asJSON(t, review.Summarise(a)), asJSON(t, review.Summarise(b)); x != y {
		t.Errorf("order matters:\n%s\n%s", x, y)
	}
}

func reversed[T any](list []T) []T {
	out := make([]T, 0, len(list))
	for i := len(list) - 1; i >= 0; i-- {
		out = append(out, list[i])
	}
	return out
}

// Two urgent alerts in 100 nights are 20 per 1,000; the exact 95 % limits of a
// count of 2 are 0.2422 and 7.2247 (Garwood 1936, Biometrika 28:437), of none 0
// and 3.6889. What was opened before the range, or is older, does not count.
func TestAlertsPerThousandNights(t *testing.T) {
	t.Parallel()
	in := newDiary(t).over("2026-06-01", "2026-09-09", plan("2025-01-01")) // nights of 1 June to 8 September
	at := func(date string) time.Time {
		return time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC).AddDate(0, 0, civil.MustDate(date).DaysSince(civil.MustDate("2026-01-01")))
	}
	for _, a := range []struct{ level, on string }{{"urgent", "2026-06-01"}, {"urgent", "2026-08-20"}, {"urgent", "2026-05-31"}, {"routine", "2026-07-01"}} {
		in.Alerts = append(in.Alerts, review.AlertFact{Level: a.level, Opened: at(a.on), State: "closed"})
	}
	sum := review.Summarise(in)
	got := sum.AlertRates
	if len(got) != 3 || got[0].Level != "emergency" || got[1].Level != "urgent" || got[1].Nights != sum.Counts.Nights || sum.Counts.Nights != 100 {
		t.Fatalf("%d nights: %+v", sum.Counts.Nights, got)
	}
	for i, want := range [][4]float64{{0, 0, 0, 36.889}, {2, 20, 2.422, 72.247}, {1, 10, 0.253, 55.716}} {
		r := got[i]
		for j, x := range []float64{float64(r.Opened), r.Per1000, r.Low, r.High} {
			if math.Abs(x-want[j]) > 0.001 {
				t.Errorf("%s: %+v, want %v", r.Level, r, want)
			}
		}
	}
}

// An event without an alert counts, one that came by a counted alert counts once:
// 5 closings and 4 events, one of them of those, are 8 in 399.73 wearer-years, in the
// sentence and at the head of the table alike. Of the 2 abrasions only the upper limit
// is shown, of a count of 4 (Garwood: 10.2416, chi-square tables), 256.2 per 10,000;
// who may read the records sees them.
func TestAnEventWithoutAnAlertCounts(t *testing.T) {
	t.Parallel()
	in := wornFor(400)
	in.Alerts = alertsClosed(5, "seen-treated")
	in.Alerts[0].ID = "a1"
	on := civil.MustDate("2025-05-02")
	in.Adverse = []course.AdverseFact{
		{Alert: "a1", Kind: "infiltrate", Began: on, Serious: true}, {Kind: "abrasion", Began: on}, {Kind: "abrasion", Began: on},
		{Kind: "other", Began: on}, {Kind: "other", Began: civil.MustDate("2024-12-31")}, // before the range
	}
	f := figures.Of(in)
	if f.Events.Events.N != 8 {
		t.Errorf("%d events, want 8", f.Events.Events.N)
	}
	all, abrasions, closed := f.Adverse[0], f.Adverse[2], f.Adverse[len(f.Adverse)-1]
	if len(f.Adverse) != 5 || all.Events != f.Events.Events || math.Abs(*all.Per10000-200.13) > 0.02 || math.Abs(*all.Low-86.40) > 0.05 || math.Abs(*all.High-394.35) > 0.1 {
		t.Errorf("%+v: %v %v %v", f.Adverse, *all.Per10000, *all.Low, *all.High)
	}
	if closed.Kind != "closed" || closed.Events.Text != "fewer than 5" || closed.Serious.Text != "not said" {
		t.Errorf("%+v", closed)
	}
	if abrasions.Kind != "abrasion" || abrasions.Events.Text != "fewer than 5" || abrasions.Per10000 != nil || math.Abs(*abrasions.High-256.2) > 0.1 {
		t.Errorf("%+v, upper limit %v", abrasions, abrasions.High)
	}
	in.Whole = true
	f = figures.Of(in)
	if a := f.Adverse[2]; a.Events.N != 2 || a.Events.Small || a.Per10000 == nil || f.Alerts[0].Opened.Text != "5" {
		t.Errorf("%+v", a)
	}
	if w := figures.Of(figures.Input{Whole: true, From: in.From, To: in.To, Today: in.Today, Wearers: in.Wearers[:2]}).Wearers; w.Text != "2" {
		t.Errorf("%+v", w)
	}
}
