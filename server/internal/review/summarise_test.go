package review_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
)

// Expected hours are worked out by hand from the dates on which the clocks
// change (IANA: Europe/Lisbon forward on 29 March 2026 at 01:00 UTC, back on
// 25 October 2026 at 01:00 UTC; New York is 5 h behind UTC in winter).
func TestNightStatusAndHours(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name   string
		night  string
		write  func(d *diary, night string)
		status review.Status
		counts review.Status
		hours  float64 // NaN for not known
		reason string
	}{
		{"a full night", "2026-11-01", func(d *diary, n string) { d.worn(n, "22:00", "07:00") }, review.Worn, review.Worn, 9, ""},
		{"exactly the minimum is enough", "2026-11-01", func(d *diary, n string) { d.worn(n, "00:30", "06:30") }, review.Worn, review.Worn, 6, ""},
		{"a minute under the minimum", "2026-11-01", func(d *diary, n string) { d.worn(n, "00:31", "06:30") }, review.Short, review.Short, 5.98, ""},
		{"clocks forward", "2026-03-28", func(d *diary, n string) { d.worn(n, "22:00", "07:00") }, review.Worn, review.Worn, 8, ""},
		{"clocks back", "2026-10-24", func(d *diary, n string) { d.worn(n, "22:00", "07:00") }, review.Worn, review.Worn, 10, ""},
		{"a lie-in past noon", "2026-11-01", func(d *diary, n string) { d.worn(n, "23:30", "12:15") }, review.Worn, review.Worn, 12.75, ""},
		{"out past noon, seventeen and a half hours", "2026-11-01", func(d *diary, n string) { d.worn(n, "21:30", "15:00") }, review.Worn, review.Worn, 17.5, ""},
		{"eighteen and a half hours by the clocks alone do not belong together", "2026-11-01", func(d *diary, n string) { d.worn(n, "21:30", "16:00") }, review.Worn, review.Worn, math.NaN(), ""},
		{"out the next evening, and said so", "2026-11-01", func(d *diary, n string) {
			d.write(n, "insertion", `{"at":"21:30","eyes":"both"}`, "")
			d.write(n, "removal", `{"at":"22:00","on":"2026-11-02","eyes":"both"}`, "")
		}, review.Worn, review.Worn, 24.5, ""},
		{"out again the same evening", "2026-11-01", func(d *diary, n string) { d.worn(n, "21:30", "22:00") }, review.Short, review.Short, 0.5, ""},
		{"in and out in the same minute", "2026-11-01", func(d *diary, n string) { d.worn(n, "21:30", "21:30") }, review.Short, review.Short, 0, ""},
		{"a flight west", "2026-11-10", func(d *diary, n string) {
			d.write(n, "insertion", `{"at":"22:00","eyes":"both"}`, "")
			d.zone = "America/New_York"
			d.write(n, "removal", `{"at":"05:00","eyes":"both"}`, "")
		}, review.Worn, review.Worn, 12, ""},
		{"no removal logged", "2026-11-01", func(d *diary, n string) { d.write(n, "insertion", `{"at":"22:00","eyes":"both"}`, "") }, review.Worn, review.Worn, math.NaN(), ""},
		{"missed", "2026-11-01", func(d *diary, n string) { d.missed(n, "ill") }, review.Missed, review.Missed, math.NaN(), "ill"},
		{"nothing logged", "2026-11-01", func(*diary, string) {}, review.NotLogged, review.NotLogged, math.NaN(), ""},
		{"worn and missed both said", "2026-11-01", func(d *diary, n string) { d.worn(n, "22:00", "07:00"); d.missed(n, "tired") }, review.Differ, review.Missed, 9, "tired"},
		{"removals of two people, one makes it short", "2026-11-01", func(d *diary, n string) {
			d.worn(n, "22:00", "07:00")
			d.write(n, "removal", `{"at":"02:00","eyes":"both"}`, "").Author = "p2"
		}, review.Differ, review.Short, 4, ""},
		{"two removals, both full", "2026-11-01", func(d *diary, n string) {
			d.worn(n, "22:00", "07:00")
			d.write(n, "removal", `{"at":"06:50","eyes":"both"}`, "")
		}, review.Worn, review.Worn, 8.83, ""},
		{"one eye left out", "2026-11-01", func(d *diary, n string) {
			d.write(n, "insertion", `{"at":"22:00","eyes":"right"}`, "")
			d.write(n, "removal", `{"at":"07:00","eyes":"right"}`, "")
			d.write(n, "not-worn", `{"reason":"sore-eye","eyes":"left"}`, "")
		}, review.Missed, review.Missed, math.NaN(), "sore-eye"},
		{"a care entry alone says nothing of wear", "2026-11-01", func(d *diary, n string) { d.write(n, "care", `{"rub":true}`, "") }, review.NotLogged, review.NotLogged, math.NaN(), ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			c.write(d, c.night)
			sum := review.Summarise(d.over(c.night, nightAfter(c.night, 1), plan("2026-01-01")))
			if len(sum.Nights) != 1 {
				t.Fatalf("got %d nights, want 1", len(sum.Nights))
			}
			got := sum.Nights[0]
			hours := math.NaN()
			if got.Hours != nil {
				hours = *got.Hours
			}
			if got.Status != c.status || got.Counted != c.counts || got.Reason != c.reason || hours != c.hours && !(math.IsNaN(hours) && math.IsNaN(c.hours)) {
				t.Errorf("got %s counted %s, %v h, reason %q; want %s counted %s, %v h, %q", got.Status, got.Counted, hours, got.Reason, c.status, c.counts, c.hours, c.reason)
			}
		})
	}
}

// Pauses stand in the summary and on the time axis: the family's own with who
// set it, the agreed ones from the plan. A pause taken back is gone, and one
// that ended before the range is left out; one that begins after today is shown.
func TestPausesAreShown(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	pause := func(night, to, reason string) *care.Entry {
		return d.write(night, "pause", `{"reason":"`+reason+`","to":"`+to+`"}`, night+"T19:00")
	}
	pause("2026-10-01", "2026-10-05", "ill")
	early := pause("2026-10-28", "2026-11-02", "away")
	back := pause("2026-11-05", "2026-11-09", "ill")
	taken := *back
	taken.ID, taken.Kind, taken.Retracts, taken.HLC, taken.Body = "01900000-0000-7000-8000-000000009999", care.Retraction, back.ID, "0000000009999-0000", json.RawMessage(`{}`)
	d.entries = append(d.entries, &taken)
	d.worn("2026-11-06", "22:00", "07:00")
	pause("2026-11-20", "2026-11-30", "ill")
	pause("2026-12-20", "2026-12-23", "away")
	p := plan("2026-01-01")
	p.Pauses = []schedule.Pause{{From: civil.MustDate("2026-11-12"), To: civil.MustDate("2026-11-13"), Reason: "told-to-stop"}, {From: civil.MustDate("2026-12-01"), To: civil.MustDate("2026-12-02"), Reason: "away"}}
	in := d.over("2026-11-01", "2026-11-25", p)
	in.People = map[care.PersonID]string{"p1": "P"}
	sum := review.Summarise(in)
	var got []string
	for _, r := range sum.Pauses {
		got = append(got, fmt.Sprintf("%s %s %s agreed=%t by %q", r.From, r.To, r.Reason, r.Agreed, r.By))
	}
	want := []string{
		`2026-10-28 2026-11-02 away agreed=false by "P"`, `2026-11-12 2026-11-13 told-to-stop agreed=true by ""`, `2026-11-20 2026-11-30 ill agreed=false by "P"`,
		`2026-12-01 2026-12-02 away agreed=true by ""`, `2026-12-20 2026-12-23 away agreed=false by "P"`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("pauses (-want +got):\n%s", diff)
	}
	var axis []string
	for _, e := range sum.Timeline {
		if e.Lane == "pause" {
			axis = append(axis, e.Date.String()+" "+e.Text)
		}
	}
	want = []string{
		"2026-11-01 reminders paused by the family until 2026-11-02 (away from home)",
		"2026-11-12 no lenses, as agreed, until 2026-11-13 (told to stop)",
		"2026-11-20 reminders paused by the family until 2026-11-30 (illness)",
		"2026-12-01 no lenses, as agreed, until 2026-12-02 (away from home)",
		"2026-12-20 reminders paused by the family until 2026-12-23 (away from home)",
	}
	if diff := cmp.Diff(want, axis); diff != "" {
		t.Errorf("time axis (-want +got):\n%s", diff)
	}
	if sum.Pauses[0].Entry != early.ID {
		t.Errorf("entry %s, want %s", sum.Pauses[0].Entry, early.ID)
	}
}

// Lenses that came out only past noon are a point to raise, however long the
// night; out at 11:59 is in time (a night ends at 12:00).
func TestLensesLeftInAreRaised(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-01", "23:30", "11:59")
	d.worn("2026-11-02", "23:30", "12:00")
	d.write("2026-11-03", "insertion", `{"at":"21:00","eyes":"both"}`, "")
	d.write("2026-11-03", "removal", `{"at":"21:10","on":"2026-11-04","eyes":"both"}`, "")
	sum := review.Summarise(d.over("2026-11-01", nightAfter("2026-11-03", 1), plan("2026-01-01")))
	var got []string
	for _, p := range sum.Points {
		if p.Rule == "left-in" {
			got = append(got, p.Evidence)
		}
	}
	if want := []string{"2026-11-02 (12.5 h); 2026-11-03 (24.2 h)"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Thirty nights, 29 worn, hands washed 30 of 30, lenses rubbed 18 of 30: wear
// is 97 % and rubbing 60 %, and the composite is the nights with every item
// done (18 of 30), not the mean of the rates (arithmetic by hand).
func TestCareIsCountedPerItemAndByNight(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 30 {
		n := nightAfter("2026-10-01", i)
		if i == 7 {
			d.missed(n, "forgot")
		} else {
			d.worn(n, "22:00", "07:00")
		}
		rub := "true"
		if i%5 < 2 {
			rub = "false"
		}
		d.write(n, "care", `{"hand_wash":true,"rub":`+rub+`,"rinse":"solution","case_emptied":true,"case_wiped":true,"case_dried":true,"topping_off":false,"tap_water":false,"water_contact":false}`, "")
	}
	sum := review.Summarise(d.over("2026-10-01", "2026-10-31", plan("2026-01-01")))
	if sum.Wear.Done != 29 || sum.Wear.NotDone != 1 || math.Round(100*sum.Wear.Share) != 97 {
		t.Errorf("wear %+v, want 29 of 30, 97 %%", sum.Wear)
	}
	got := map[string][2]int{}
	for _, c := range sum.Care {
		got[c.Item] = [2]int{c.Share.Done, c.Share.Answered()}
	}
	want := map[string][2]int{"hand_wash": {30, 30}, "rub": {18, 30}, "rinse": {30, 30}, "case_emptied": {30, 30}, "case_wiped": {30, 30},
		"case_dried": {30, 30}, "topping_off": {30, 30}, "tap_water": {30, 30}, "water_contact": {30, 30}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("care items (-want +got):\n%s", diff)
	}
	if sum.AllCare.Done != 18 || sum.AllCare.NotDone != 12 || sum.AllCare.Share != 0.6 {
		t.Errorf("all care %+v, want 18 of 30", sum.AllCare)
	}
}

// Ten nights: 4 worn, 1 missed, 5 without an entry. The unknown are neither:
// 4 of 5 answered, and between 4/10 and 9/10 whatever the five were.
func TestUnloggedNightsAreUnknown(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for _, i := range []int{0, 2, 4, 6} {
		d.worn(nightAfter("2026-10-01", i), "22:00", "07:00")
	}
	d.missed("2026-10-09", "away")
	sum := review.Summarise(d.over("2026-10-01", "2026-10-11", plan("2026-01-01")))
	w := sum.Wear
	if w.Done != 4 || w.NotDone != 1 || w.Unknown != 5 || w.Share != 0.8 || w.BoundLow != 0.4 || w.BoundHigh != 0.9 {
		t.Errorf("got %+v", w)
	}
	if c := sum.Counts; c.Worn != 4 || c.Missed != 1 || c.NotLogged != 5 || c.Nights != 10 {
		t.Errorf("got %+v", c)
	}
	if sum.AllCare.Answered() != 0 || sum.AllCare.Unknown != 9 {
		t.Errorf("care on nights without a word about it must be unknown: %+v", sum.AllCare)
	}
}

// A wearer who was added a minute ago, without a plan, has no night to answer for;
// whoever logs without one has those from the first that was logged: 3 to 10
// October are 8, one of them logged.
func TestNobodyOwesNightsBeforeAnythingBegan(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	sum := review.Summarise(d.over("2026-10-01", "2026-10-11", review.PlanFacts{}))
	if sum.Counts.Nights != 0 || len(sum.Points) != 0 {
		t.Errorf("%d nights, points %+v; want none", sum.Counts.Nights, sum.Points)
	}
	d.worn("2026-10-03", "22:00", "07:00")
	if c := review.Summarise(d.over("2026-10-01", "2026-10-11", review.PlanFacts{})).Counts; c.Nights != 8 || c.Worn != 1 || c.NotLogged != 7 {
		t.Errorf("got %+v", c)
	}
}

// One night with an item left out is settled as "not every item", even when
// others were not answered; with only unanswered ones it stays unknown. What
// was never answered on any night has no part, and that is said.
func TestCompositeOfPartAnswers(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.write("2026-10-01", "care", `{"rub":false}`, "")
	d.write("2026-10-02", "care", `{"rub":true,"hand_wash":true}`, "")
	d.write("2026-10-03", "care", `{"hand_wash":true,"rub":true,"rinse":"solution"}`, "")
	sum := review.Summarise(d.over("2026-10-01", "2026-10-04", plan("2026-01-01")))
	if a := sum.AllCare; a.Done != 1 || a.NotDone != 1 || a.Unknown != 1 {
		t.Errorf("got %+v, want one done, one not done and one unknown", a)
	}
	if said := strings.Join(sum.CannotTell, " "); !strings.Contains(said, "case wiped") || strings.Contains(said, "lenses rubbed") {
		t.Errorf("what was never answered must be said, and only that: %q", said)
	}
}

func TestTonightIsNotYetUnlogged(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-10-09", "22:00", "07:00")
	in := d.over("2026-10-09", "2026-10-10", plan("2026-01-01"))
	in.To = civil.MustDate("2026-10-20")
	if sum := review.Summarise(in); sum.Counts.Nights != 1 || sum.To != civil.MustDate("2026-10-09") {
		t.Errorf("got %d nights to %s, want the one complete night", sum.Counts.Nights, sum.To)
	}
}

func TestRangeStartsAtTheLastVisitKept(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	in := d.over("2026-10-01", "2026-10-31", plan("2026-01-01"))
	in.From = civil.Date{}
	in.Visits = []course.Visit{{Date: civil.MustDate("2026-10-05"), State: "kept"}, {Date: civil.MustDate("2026-10-20"), State: "missed"}}
	if sum := review.Summarise(in); sum.From != civil.MustDate("2026-10-05") {
		t.Errorf("got %s, want the visit of 5 October", sum.From)
	}
}

func TestNightsOutsideThePlanAreNotCounted(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	p := plan("2026-10-05")
	p.Stopped = civil.MustDate("2026-10-15")
	sum := review.Summarise(d.over("2026-10-01", "2026-10-31", p))
	if sum.Counts.Nights != 10 {
		t.Errorf("got %d nights, want the 10 from the 5th to the 14th", sum.Counts.Nights)
	}
}

// 23:50, 00:00 and 00:10 have the middle 00:00. Resultant by hand:
// (1 + 2 cos 2.5 degrees)/3 = 0.999365; SD = sqrt(-2 ln R) = 0.03563 rad =
// 8.2 minutes of the clock.
func TestBedtimeGoesRoundTheClock(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-01", "23:50", "07:30")
	d.worn("2026-11-02", "00:00", "07:30")
	d.worn("2026-11-03", "00:10", "07:30")
	got := review.Summarise(d.over("2026-11-01", "2026-11-04", plan("2026-01-01"))).Bedtime
	if got.N != 3 || got.Mean != "00:00" || math.Abs(got.SDMinutes-8.2) > 0.05 || math.Abs(got.Resultant-0.999365) > 1e-6 {
		t.Errorf("got %+v", got)
	}
}

// A week written on one Sunday is told apart from a phone that was offline:
// the first was written late by its own clock, the second only received late.
func TestBackfillIsNotTheSameAsOffline(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name                 string
		offline              bool
		lateNights, lateOnes int
		batches              int
	}{
		{"written at once on the 8th", false, 6, 6, 1}, // nights 1 to 6 ended by noon of the 7th
		{"written each morning, sent on the 8th", true, 6, 0, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			for i := range 7 {
				n := nightAfter("2026-11-01", i)
				wall := "2026-11-08T20:00"
				if c.offline {
					wall = ""
				}
				e := d.write(n, "insertion", `{"at":"22:00","eyes":"both"}`, wall)
				e.Recv = civil.At(civil.MustDate("2026-11-08"), civil.MustClock("20:00"), e.Location()).UTC()
			}
			got := review.Summarise(d.over("2026-11-01", "2026-11-09", plan("2026-01-01"))).Trust
			if got.LateNights != c.lateNights || got.LateWritten != c.lateOnes || len(got.Batches) != c.batches {
				t.Errorf("got %+v", got)
			}
		})
	}
}

func TestTrustNotesClocksAndCorrections(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	first := d.write("2026-11-01", "insertion", `{"at":"22:00","eyes":"both"}`, "")
	second := d.write("2026-11-01", "insertion", `{"at":"21:00","eyes":"both"}`, "")
	second.Supersedes = []care.EntryID{first.ID}
	second.SkewMS = -6 * 60 * 1000 // over the limit of 5 minutes
	got := review.Summarise(d.over("2026-11-01", "2026-11-02", plan("2026-01-01")))
	if tr := got.Trust; tr.Corrections != 1 || tr.Differ != 0 || len(tr.ClockNotes) != 1 || tr.ClockNotes[0].MaxSkew != -360000 {
		t.Errorf("got %+v", tr)
	}
	if got.Nights[0].In != "21:00" {
		t.Errorf("the corrected time is %s, want 21:00", got.Nights[0].In)
	}
	if !strings.Contains(strings.Join(got.Trust.Words, " "), "6 min behind") {
		t.Errorf("got %q", got.Trust.Words)
	}
}

// An entry that came a second time, after a restore, keeps its place in time;
// one that another phone handed in is named as such.
func TestTrustAfterARestore(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	in := d.write("2026-11-01", "insertion", `{"at":"22:00","eyes":"both"}`, "")
	in.FirstRecv, in.Recv = in.Recv, in.Recv.AddDate(0, 0, 9)
	got := review.Summarise(d.over("2026-11-01", "2026-11-12", plan("2026-01-01"))).Trust
	if got.LateNights != 0 || got.HandedIn != 0 || strings.Contains(strings.Join(got.Words, " "), "handed in") {
		t.Errorf("sent again by its own phone: %+v", got)
	}
	in.Via = "d2"
	got = review.Summarise(d.over("2026-11-01", "2026-11-12", plan("2026-01-01"))).Trust
	if got.HandedIn != 1 || !strings.Contains(strings.Join(got.Words, " "), "1 entry was handed in by another phone") {
		t.Errorf("handed in by another phone: %+v", got)
	}
}

// An alert that is still open is raised first whatever range is looked at, the
// gravest named first; a closed one of before the range is not.
func TestAlertsStillOpenAreRaisedWhateverTheRange(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-10", "21:00", "07:00")
	in := d.over("2026-11-08", "2026-11-15", plan("2026-06-01"))
	opened := func(s string) time.Time {
		at, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	in.Alerts = []review.AlertFact{
		{ID: "a", Title: "Closed", Level: "emergency", State: "closed", Opened: opened("2026-10-01T09:00:00Z")},
		{ID: "b", Title: "Routine", Level: "routine", State: "open", Opened: opened("2026-10-02T09:00:00Z")},
		{ID: "c", Title: "Grave", Level: "emergency", State: "acknowledged", Opened: opened("2026-10-03T09:00:00Z")},
	}
	sum := review.Summarise(in)
	want := review.Point{Rule: "alert-not-closed", Evidence: "Grave, opened 2026-10-03; Routine, opened 2026-10-02"}
	if len(sum.Points) == 0 || sum.Points[0].Rule != want.Rule || sum.Points[0].Evidence != want.Evidence {
		t.Errorf("points %+v; want %+v first", sum.Points, want)
	}
	for _, e := range sum.Timeline {
		if e.Lane == "alert" {
			t.Errorf("%+v stands on an axis that begins later", e)
		}
	}
}
