package review_test

import (
	"strings"
	"testing"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
)

func version(first, stopped string, baseline float64) review.PlanFacts {
	p := review.PlanFacts{Plan: schedule.Plan{FirstNight: civil.MustDate(first)}, BaselineRight: baseline, BaselineLeft: baseline}
	if stopped != "" {
		p.Stopped = civil.MustDate(stopped)
	}
	return p
}

// A first night on or after the stop is a new course; a corrected first night, and
// a stop that is taken back, are not.
func TestCoursesOfAPlan(t *testing.T) {
	t.Parallel()
	got := review.Courses([]review.PlanFacts{
		{}, version("2025-01-10", "", -2), version("2025-01-12", "", -2.25), version("2025-01-12", "2025-06-01", -2.25),
		version("2025-01-12", "", -2.25), version("2025-01-12", "2025-09-01", -2.25), version("2025-11-01", "", -2.75),
	})
	if len(got) != 2 || got[0].First.String() != "2025-01-12" || got[0].Stopped.String() != "2025-09-01" || got[0].BaselineRight != -2.25 ||
		got[1].First.String() != "2025-11-01" || !got[1].Stopped.IsZero() || got[1].BaselineLeft != -2.75 {
		t.Errorf("%+v", got)
	}
}

func refracted(date string, right, left float64) course.Visit {
	cylinder := -0.50
	return course.Visit{ID: date, Date: civil.MustDate(date), State: "kept",
		Right: course.EyeFindings{Refraction: &course.Refraction{Sphere: right}},
		Left:  course.EyeFindings{Refraction: &course.Refraction{Sphere: left + 0.25, Cylinder: &cylinder}}}
}

// An eye is steady when two readings at least a week apart, the first two weeks or
// more after the end (Swarbrick 2015), agree within half a dioptre (NCT05438615);
// never by the calendar, which published times of one to eight weeks forbid.
func TestWashOut(t *testing.T) {
	t.Parallel()
	c := course.Course{First: civil.MustDate("2025-01-12"), Stopped: civil.MustDate("2026-03-01"), BaselineRight: -3, BaselineLeft: -2}
	eyes := []string{"right", "left"}
	on := func(today string, visits ...course.Visit) course.WashOut {
		return course.WashOutOf(c, civil.Date{}, eyes, visits, civil.MustDate(today))
	}
	if w := on("2026-09-01"); w.Done || len(w.Due) != 3 || w.Due[0].String() != "2026-03-08" || w.Eyes[0].Steady {
		t.Errorf("half a year and no reading: %+v; want nothing steady and three checks due", w)
	}
	early, second, third := refracted("2026-03-08", -2.5, -1.75), refracted("2026-03-16", -2.75, -2), refracted("2026-03-24", -3, -3)
	w := on("2026-03-20", early, second)
	if w.Days != 19 || w.Done || len(w.Due) != 1 || w.Due[0].String() != "2026-03-29" || strings.Contains(w.Word, "back to baseline") {
		t.Errorf("a reading of the first week counts: %+v", w)
	}
	w = on("2026-03-24", early, second, third)
	right, left := w.Eyes[0], w.Eyes[1]
	if !right.Steady || len(right.Checks) != 3 || *right.Checks[0].FromBaseline != 0.5 || right.Checks[2].Days != 23 {
		t.Errorf("right: %+v; want steady", right)
	}
	if left.Steady || w.Done || !strings.Contains(left.Word, "still changing") || *left.Checks[2].FromBaseline != -1 {
		t.Errorf("left, one dioptre apart: %+v; want still changing", left)
	}
	if w = on("2026-04-10", early, second, third, refracted("2026-04-02", -3, -3)); !w.Done || len(w.Due) != 0 {
		t.Errorf("%+v; want both steady and nothing due", w)
	}
	// Readings of the next course are no part of it.
	w = course.WashOutOf(c, civil.MustDate("2026-03-20"), eyes, []course.Visit{early, second, third}, civil.MustDate("2026-06-01"))
	if w.Days != 19 || len(w.Eyes[0].Checks) != 2 || len(w.Due) != 0 {
		t.Errorf("after a new first night: %+v", w)
	}
}

// What the family has at home is what was given out and not taken back.
func TestLensesAtHome(t *testing.T) {
	t.Parallel()
	d := civil.MustDate
	all := []course.Lens{
		{ID: "spare", Eye: "right", Spare: true, Ordered: d("2026-01-02"), Received: d("2026-01-09"), Dispensed: d("2026-01-10")},
		{ID: "left", Eye: "left", Dispensed: d("2026-01-10")},
		{ID: "right", Eye: "right", Dispensed: d("2026-01-10")},
		{ID: "old", Eye: "right", Dispensed: d("2025-01-10"), Ended: d("2026-01-10"), Why: "worn-out"},
		{ID: "came", Eye: "left", Ordered: d("2026-02-01"), Received: d("2026-02-08")},
		{ID: "asked", Eye: "left", Ordered: d("2026-02-10")},
	}
	var got []string
	for _, l := range course.AtHome(all) {
		got = append(got, l.ID)
	}
	if strings.Join(got, " ") != "right left spare" || all[3].State() != "ended" || all[4].State() != "received" || all[5].State() != "ordered" {
		t.Errorf("at home %v", got)
	}
}

// A range that holds two courses: the practice counts the nights of both and none of
// those between; the review of the one wearer is about the newest.
func TestNightsOfTwoCourses(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-09-02", "22:00", "07:00")
	d.worn("2026-09-21", "22:00", "07:00")
	first, ended, second := plan("2026-09-01"), plan("2026-09-01"), plan("2026-09-20")
	ended.Version, ended.From, ended.Stopped = 2, civil.MustDate("2026-09-06"), civil.MustDate("2026-09-06")
	second.Version, second.From = 3, civil.MustDate("2026-09-20")
	in := d.over("2026-08-01", "2026-09-25", first)
	in.Plans, in.To = []review.PlanFacts{first, ended, second}, civil.MustDate("2026-09-24")
	if got := review.TallyOf(in, nil); got.Counts.Nights != 10 || got.Counts.Worn != 2 { // 1 to 5 and 20 to 24 September
		t.Errorf("%+v; want 10 nights, 2 of them worn", got.Counts)
	}
	if sum := review.Summarise(in); sum.From != civil.MustDate("2026-09-20") || sum.Counts.Nights != 5 || sum.Counts.Worn != 1 {
		t.Errorf("the review is about %d nights from %s", sum.Counts.Nights, sum.From)
	}
}

// On the day on which wear starts over the review is about the course that begins, as
// the list is: no night of it is over, and no visit of the course before is its last.
// Nights of the course before stand where they are asked for.
func TestTheReviewOfAWearerWhoStartsOver(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for on, n := civil.MustDate("2026-10-26"), 0; n < 35; n++ {
		d.worn(on.AddDays(n).String(), "22:00", "07:00")
	}
	first, ended, second := plan("2026-10-26"), plan("2026-10-26"), plan("2026-11-30")
	ended.Version, ended.From, ended.Stopped = 2, civil.MustDate("2026-11-30"), civil.MustDate("2026-11-30")
	second.Version, second.From = 3, civil.MustDate("2026-11-30")
	visit := course.Visit{ID: "v", Date: civil.MustDate("2026-11-09"), Kind: "two-week", State: "kept"}
	on := func(today, to string) review.Summary {
		in := d.over(today, today, first)
		in.From = civil.Date{}
		in.Plans, in.Visits = []review.PlanFacts{first, ended, second}, []course.Visit{visit}
		if to != "" {
			in.To = civil.MustDate(to)
		}
		strip, wear := review.StripOf("w1", nil, in.Nights, nil, in.Plans, in.Today, 28)
		sum := review.Summarise(in)
		if to == "" && (wear != sum.Wear || strings.Trim(strip, "-") != strings.Repeat(".", sum.Counts.Nights)) {
			t.Errorf("%s: the list counts %+v, %q, the review %+v", today, wear, strip, sum.Wear)
		}
		return sum
	}
	for _, c := range []struct {
		today  string
		nights int // that are over
	}{{"2026-11-30", 0}, {"2026-12-03", 3}} {
		sum := on(c.today, "")
		if sum.Course != 2 || sum.Plan == nil || sum.Plan.FirstNight.String() != "2026-11-30" || sum.LastVisit != nil ||
			sum.From.String() != "2026-11-30" || sum.Glance.Period != "since-start" || sum.Counts.Nights != c.nights ||
			sum.Glance.Last.Nights != c.nights || sum.Glance.Before.Nights != 0 {
			t.Errorf("%s: course %d from %s, %s, %d nights, last 14 %+v, last visit %+v", c.today, sum.Course, sum.From, sum.Glance.Period, sum.Counts.Nights, sum.Glance.Last, sum.LastVisit)
		}
	}
	if sum := on("2026-11-30", "2026-11-29"); sum.Counts.Worn == 0 || sum.Plan.FirstNight.String() != "2026-10-26" {
		t.Errorf("asked for by its dates, the course before has %+v", sum.Counts)
	}
}
