package review_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
)

// Five nights written together three days later, always at the same clock, are
// said in words, drawn as such and make percentages claims.
func TestGlanceDoubtsAMemory(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 5 {
		night := nightAfter("2026-11-02", n)
		d.write(night, "insertion", `{"at":"21:00","eyes":"both"}`, "2026-11-09T20:00")
		d.write(night, "removal", `{"at":"07:00","eyes":"both"}`, "2026-11-09T20:00")
	}
	for n := range 10 {
		d.worn(nightAfter("2026-11-09", n), "21:00", "07:00")
	}
	sum := review.Summarise(d.over("2026-11-02", "2026-11-19", plan("2026-11-02")))
	if g := sum.Glance.Doubt; g.Level != "much" || g.Memory != 5 || g.Words != "Filled in from memory: 5 of 15 nights, up to 5 at once, the same clock every night." {
		t.Errorf("%+v", g)
	}
	for _, r := range sum.Nights {
		if want := r.Night.Before(civil.MustDate("2026-11-07")); r.Memory != want {
			t.Errorf("%s: from memory %v, want %v", r.Night, r.Memory, want)
		}
	}
}

func TestGlanceTrustsANightlyLog(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 12 {
		in := "21:3" + string(rune('0'+n%10))
		d.worn(nightAfter("2026-11-02", n), in, "07:00")
	}
	if g := review.Summarise(d.over("2026-11-02", "2026-11-14", plan("2026-11-02"))).Glance.Doubt; g.Level != "none" || g.Words != "Written night by night: 12 of 12 nights." {
		t.Errorf("%+v", g)
	}
	// One night in ten without an entry (ours), and no figure stands unmarked: 1 of 13 is less, 2 of 14 more.
	if g := review.Summarise(d.over("2026-11-02", "2026-11-15", plan("2026-11-02"))).Glance.Doubt; g.Level != "none" {
		t.Errorf("1 of 13 open: %+v", g)
	}
	if g := review.Summarise(d.over("2026-11-02", "2026-11-16", plan("2026-11-02"))).Glance.Doubt; g.Level != "some" || g.Words != "Partly written: 2 of 14 nights have no entry." {
		t.Errorf("2 of 14 open: %+v", g)
	}
}

// Tap water on 3 of 4 nights is the danger, the first topic, and drawn night by
// night; care is one topic however many items are short; there are five topics
// at most.
func TestGlanceNamesTheDangerAndMergesPoints(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 10 {
		night := nightAfter("2026-11-02", n)
		if n == 9 {
			d.missed(night, "ill")
			continue
		}
		d.worn(night, "21:0"+string(rune('0'+n)), "07:00")
		water, no := "false", "true"
		if n < 3 {
			water, no = "true", "false"
		}
		if n < 4 {
			d.write(night, "care", `{"hand_wash":`+no+`,"rub":`+no+`,"tap_water":`+water+`}`, "")
		}
	}
	sum := review.Summarise(d.over("2026-11-02", "2026-11-12", plan("2026-11-02")))
	g := sum.Glance
	if g.Danger == nil || g.Danger.Item != "tap_water" || g.Danger.Nights != 3 || g.Danger.Of != 4 || g.Danger.Last != civil.MustDate("2026-11-04") {
		t.Fatalf("danger %+v", g.Danger)
	}
	if len(g.Raise) == 0 || g.Raise[0].Title != "Water" || !g.Raise[0].Danger || g.Raise[0].Text != "Tap water on 3 of 4 nights." {
		t.Fatalf("raise %+v", g.Raise)
	}
	care := 0
	for _, r := range g.Raise {
		if r.Title == "Care" {
			care++
			if !strings.Contains(r.Text, "ands were not washed before handling on 3 of 4") || !strings.Contains(r.Text, "lenses were not rubbed on 3 of 4") || len(r.Rules) != 2 {
				t.Errorf("care %+v", r)
			}
		}
	}
	if care != 1 || len(g.Raise) > 5 {
		t.Errorf("%d topics of care, %d in all", care, len(g.Raise))
	}
	for _, c := range sum.Care {
		if c.Item == "tap_water" && c.Marks != "nnnduuuuu-" {
			t.Errorf("tap water is drawn as %q", c.Marks)
		}
		if len(c.Marks) != len(sum.Nights) {
			t.Errorf("%s: %d marks for %d nights", c.Item, len(c.Marks), len(sum.Nights))
		}
	}
}

// No point is lost on the way to a topic: each rule that fired is in one, shown
// or counted.
func TestEveryPointHasATopic(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 30 {
		night := nightAfter("2026-11-02", n)
		switch n % 3 {
		case 0:
			d.missed(night, "sore-eye")
		case 1:
			d.worn(night, "02:00", "05:00")
			d.write(night, "morning", `{"moved":"stuck"}`, "")
			d.write(night, "care", `{"hand_wash":false,"rub":false,"case_wiped":false,"tap_water":true}`, "")
		}
	}
	in := d.over("2026-11-02", "2026-12-02", plan("2026-11-02"))
	in.Visits = []course.Visit{{ID: "v", Date: civil.MustDate("2026-11-20"), Kind: "recall", State: "missed"}}
	sum := review.Summarise(in)
	if len(sum.Points) < 8 || len(sum.Glance.Raise) != 5 || sum.Glance.More < 1 {
		t.Errorf("%d points, %d topics, %d more", len(sum.Points), len(sum.Glance.Raise), sum.Glance.More)
	}
	for i := 1; i < len(sum.Glance.Raise); i++ {
		if sum.Glance.Raise[i].Danger && !sum.Glance.Raise[i-1].Danger {
			t.Errorf("a danger stands after %q", sum.Glance.Raise[i-1].Title)
		}
	}
}

// A cease of one eye by a named clinician, written in the morning of 9 November, is a
// stop of that eye since that day, not since the date of the night before; and the nights under it are told apart from missed ones.
func TestGlanceSaysTheStop(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 6 {
		d.worn(nightAfter("2026-11-02", n), "21:30", "07:00")
	}
	e := d.write("2026-11-08", "insertion", `{"at":"21:30","eyes":"both"}`, "")
	e.Kind, e.V, e.Author, e.Body = care.Cease, 3, "dr", []byte(`{"eyes":"left","reason":"report","review_by":"2026-11-15"}`)
	in := d.over("2026-11-02", "2026-11-11", plan("2026-11-02"))
	in.People = map[care.PersonID]string{"dr": "Dr A"}
	sum := review.Summarise(in)
	if s := sum.Glance.Stand; len(s) != 2 || s[0].State != "none" || s[1].State != "stop" || s[1].Since != civil.MustDate("2026-11-09") || s[1].By != "Dr A" {
		t.Fatalf("%+v", s)
	}
	for _, r := range sum.Nights {
		if want := !r.Night.Before(civil.MustDate("2026-11-08")); (len(r.Stopped) == 1) != want {
			t.Errorf("%s: stopped %v", r.Night, r.Stopped)
		}
	}
}

// A report of 05:19 belongs to the night before by the log, and was made that day.
func TestAStopIsSinceTheDayOfTheReport(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-10", "21:00", "07:00")
	e := d.write("2026-11-11", "symptoms", `{"right":{"pain":"severe"}}`, "2026-11-12T05:19")
	in := d.over("2026-11-01", "2026-11-12", plan("2026-11-01"))
	in.Wear = []care.WearFact{{ID: e.ID, Kind: care.Symptoms, Night: e.Night, State: "stored", Judged: care.Marks{Right: care.Stop, Given: true}}}
	sum := review.Summarise(in)
	if s := sum.Glance.Stand; s[0].State != "stop" || s[0].Since != civil.MustDate("2026-11-12") {
		t.Errorf("%+v", s)
	}
}

// A report about one eye stops the other for the case they share: the page says that of
// it, as the phones do, and no report about it.
func TestAnEyeThatSharesTheCaseIsSaidToShareIt(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	e := d.write("2026-11-11", "symptoms", `{"right":{"pain":"severe"}}`, "2026-11-12T05:19")
	in := d.over("2026-11-01", "2026-11-12", plan("2026-11-01"))
	in.Wear = []care.WearFact{{ID: e.ID, Kind: care.Symptoms, Night: e.Night, State: "stored", Judged: care.Marks{Right: care.Stop, Left: care.Stop, Given: true}}}
	s := review.Summarise(in).Glance.Stand
	if s[0].Why != "after a report" || !strings.Contains(s[1].Why, "shares the case kept for the clinic") {
		t.Errorf("right %q, left %q", s[0].Why, s[1].Why)
	}
}

// What is said first, and the rest of it within half an hour, is one report in two
// entries; another person's, and one of later, is one more.
func TestAReportToldInTwoEntriesIsOne(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		first, at, by string
		want          string
	}{
		{`{"now":"pain"}`, "2026-11-12T05:29", "", "1 report; "},
		{`{"right":{"pain":"severe"},"unfinished":true}`, "2026-11-12T05:29", "", "1 report; "},
		{`{"right":{"pain":"severe"}}`, "2026-11-12T05:29", "", "2 reports; "},
		{`{"now":"pain"}`, "2026-11-12T06:19", "", "2 reports; "},
		{`{"now":"pain"}`, "2026-11-12T05:29", "p9", "2 reports; "},
	} {
		d := newDiary(t)
		d.write("2026-11-11", "symptoms", c.first, "2026-11-12T05:19")
		e := d.write("2026-11-11", "symptoms", `{"now":"pain","right":{"pain":"severe"}}`, c.at)
		if c.by != "" {
			e.Author = care.PersonID(c.by)
		}
		sum := review.Summarise(d.over("2026-11-01", "2026-11-12", plan("2026-11-01")))
		i := slices.IndexFunc(sum.Glance.Raise, func(r review.Raise) bool { return slices.Contains(r.Rules, "symptoms") })
		if i < 0 || !strings.Contains(sum.Glance.Raise[i].Text, c.want) {
			t.Errorf("%s, then at %s by %q: %+v, want %q", c.first, c.at, c.by, sum.Glance.Raise, c.want)
		}
	}
}

// Of four reports two had a sign: both numbers are said, as the strip of events counts
// four; and the emergency is named although a milder report is the last.
func TestTheGravestReportIsNamedBesideTheLast(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	const fine = `{"right":{"pain":"none","lens":"out"}}`
	d.write("2026-11-08", "symptoms", fine, "2026-11-08T19:00")
	d.write("2026-11-09", "symptoms", `{"now":"pain","right":{"pain":"severe"}}`, "2026-11-09T19:00")
	d.write("2026-11-10", "symptoms", `{"left":{"redness":"mild"}}`, "2026-11-10T19:00")
	d.write("2026-11-11", "symptoms", fine, "2026-11-11T19:00")
	sum := review.Summarise(d.over("2026-11-01", "2026-11-12", plan("2026-11-01")))
	const want = "2 of 4 reports with a sign; gravest 2026-11-09: very bad pain; right: severe pain; last 2026-11-10: left: mild redness."
	if i := slices.IndexFunc(sum.Glance.Raise, func(r review.Raise) bool { return slices.Contains(r.Rules, "symptoms") }); i < 0 || sum.Glance.Raise[i].Text != want {
		t.Errorf("%+v, want %q", sum.Glance.Raise, want)
	}
}

// Times that the plan had filled in and nobody changed are said to be the plan's; a
// time that was mended is the family's own.
func TestGlanceSaysTheTimesOfThePlan(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for n := range 12 {
		night := nightAfter("2026-11-02", n)
		in := fmt.Sprintf("21:%02d", 30+n)
		if n >= 9 {
			d.worn(night, in, "07:00")
			continue
		}
		d.write(night, "insertion", `{"at":"`+in+`","eyes":"both","planned":true}`, "")
		d.write(night, "removal", `{"at":"07:00","eyes":"both"}`, "")
	}
	sum := review.Summarise(d.over("2026-11-02", "2026-11-14", plan("2026-11-02")))
	if g := sum.Glance.Doubt; g.Level != "some" || g.Words != "The plan's own times stand on 9 nights." {
		t.Errorf("%+v", g)
	}
	for i, r := range sum.Nights {
		if r.Planned != (i < 9) {
			t.Errorf("%s: planned %v", r.Night, r.Planned)
		}
	}
}

// Two eye checks, of the evening and of the next morning: "yes" to water, then "no".
// The review has both with the day each was written, and the first stays watched for.
func TestGlanceSaysBothAnswersAboutWater(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-02", "21:30", "07:00")
	d.write("2026-11-08", "symptoms", `{"right":{"pain":"none","lens":"out"},"water":"no"}`, "2026-11-09T08:00")
	d.write("2026-11-08", "symptoms", `{"right":{"pain":"gone","lens":"out"},"water":"yes"}`, "2026-11-08T21:00")
	sum := review.Summarise(d.over("2026-11-02", "2026-11-11", plan("2026-11-02")))
	want := []review.WaterSaid{{On: civil.MustDate("2026-11-08"), Answer: "yes"}, {On: civil.MustDate("2026-11-09"), Answer: "no"}}
	if !slices.Equal(sum.Glance.Water, want) {
		t.Errorf("water %v, want %v", sum.Glance.Water, want)
	}
}

// The last emergency stands on the first screen whatever the period is; an alert in the
// period stands for itself.
func TestGlanceNamesTheAlertBeforeThePeriod(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	in := d.over("2026-11-18", "2026-11-29", plan("2026-08-01"))
	fact := func(id, opened, level string) review.AlertFact {
		at, err := time.Parse(time.DateOnly, opened)
		if err != nil {
			t.Fatal(err)
		}
		return review.AlertFact{ID: care.AlertID(id), Level: level, State: "closed", Opened: at, Outcome: "treated-here"}
	}
	in.Alerts = []review.AlertFact{fact("a", "2026-09-01", "urgent"), fact("b", "2026-11-08", "emergency"), fact("c", "2026-11-10", "note")}
	if g := review.Summarise(in).Glance; g.LastAlert == nil || g.LastAlert.ID != "b" || g.LastAlert.Outcome != "treated-here" {
		t.Errorf("%+v", g.LastAlert)
	}
	in.Alerts = append(in.Alerts, fact("d", "2026-11-20", "urgent"))
	if g := review.Summarise(in).Glance; g.LastAlert != nil {
		t.Errorf("%+v: the period has one of its own", g.LastAlert)
	}
}
