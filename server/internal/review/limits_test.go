package review_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// At each limit of "behind in adaptation", as its comment states it: five evenings
// rated 3 or less of 5 in a row, after 14 nights worn, in the first 56 days. No
// baseline is known, so that the model has no say.
func TestTheLimitsOfBehind(t *testing.T) {
	t.Parallel()
	const today = "2026-11-26"
	for _, c := range []struct {
		name           string
		first          string
		worn, evenings int
		last           string // rating of the last but one evening; the others are rated 3
		want           bool
	}{
		{"14 nights, 5 evenings", "2026-11-10", 14, 5, "3", true},
		{"13 nights", "2026-11-10", 13, 5, "3", false},
		{"4 evenings", "2026-11-10", 14, 4, "3", false},
		{"one evening of 4", "2026-11-10", 14, 5, "4", false},
		{"56 days in", "2026-10-01", 14, 5, "3", true},
		{"57 days in", "2026-09-30", 14, 5, "3", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			for i := range c.worn {
				d.worn(nightAfter(today, -1-i), "22:00", "07:00")
			}
			for i := range c.evenings {
				rating, n := "3", nightAfter(today, -1-i)
				if i == 1 {
					rating = c.last
				}
				d.write(n, "evening-sight", `{"rating":`+rating+`,"hours_since_removal":12}`, n+"T19:00")
			}
			in := review.CallInput{Wearer: care.Wearer{ID: "w1"}, Plan: plan(c.first), LastHeard: civil.MustDate(today), LastNight: civil.MustDate(today)}
			d.logged(&in)
			got := false
			for _, call := range review.NeedsCall(civil.MustDate(today), []review.CallInput{in}).Calls {
				for _, r := range call.Reasons {
					got = got || r.Rule == "behind"
				}
			}
			if got != c.want {
				t.Errorf("behind %t, want %t", got, c.want)
			}
		})
	}
}

// At each limit of how far the log is trusted, as the comments state them: a night
// is late from more than 24 h after its end (noon) on, three past nights written
// on one day are one sitting, a clock is off from more than five minutes on.
// Lisbon is at UTC in November. Counted by hand.
func TestTheLimitsOfTrust(t *testing.T) {
	t.Parallel()
	night := func(d *diary, n, wall string) *care.Entry {
		return d.write(n, "insertion", `{"at":"22:00","eyes":"both"}`, wall)
	}
	for _, c := range []struct {
		name  string
		write func(d *diary)
		want  string // nights received late, written late, sittings, phones with a wrong clock
		words string
	}{
		{"written 24 h after its end", func(d *diary) { night(d, "2026-11-01", "2026-11-03T12:00") }, "0 0 0 0", ""},
		{"a minute later", func(d *diary) { night(d, "2026-11-01", "2026-11-03T12:01") }, "1 1 0 0", "1 night was first written more than a day"},
		{"received a minute later", func(d *diary) {
			e := night(d, "2026-11-01", "2026-11-02T08:00")
			e.Recv = e.Recv.Add(28*time.Hour + time.Minute)
		}, "1 0 0 0", "1 night was received more than a day late"},
		{"two past nights in one sitting", func(d *diary) {
			for _, n := range []string{"2026-11-01", "2026-11-02"} {
				night(d, n, "2026-11-08T20:00")
			}
		}, "2 2 0 0", "2 nights were first written"},
		{"three past nights in one sitting", func(d *diary) {
			for _, n := range []string{"2026-11-01", "2026-11-02", "2026-11-03"} {
				night(d, n, "2026-11-08T20:00")
			}
		}, "3 3 1 0", "On 2026-11-08, 3 past nights"},
		{"a clock five minutes off", func(d *diary) { night(d, "2026-11-01", "").SkewMS = 5 * 60 * 1000 }, "0 0 0 0", ""},
		{"a clock a millisecond more", func(d *diary) { night(d, "2026-11-01", "").SkewMS = 5*60*1000 + 1 }, "0 0 0 1", "off by 5 min ahead"},
		{"a clock 119 minutes behind", func(d *diary) { night(d, "2026-11-01", "").SkewMS = -119 * 60 * 1000 }, "0 0 0 1", "119 min behind"},
		{"a clock two hours behind", func(d *diary) { night(d, "2026-11-01", "").SkewMS = -120 * 60 * 1000 }, "0 0 0 1", "2.0 h behind"},
		{"two phones disagree on one night", func(d *diary) {
			night(d, "2026-11-01", "")
			d.write("2026-11-01", "not-worn", `{"reason":"tired","eyes":"both"}`, "").Device = "d2"
		}, "0 0 0 0", "Two entries disagree on 1 night"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			c.write(d)
			tr := review.Summarise(d.over("2026-11-01", "2026-11-09", plan("2026-01-01"))).Trust
			if got := fmt.Sprint(tr.LateNights, tr.LateWritten, len(tr.Batches), len(tr.ClockNotes)); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
			if words := strings.Join(tr.Words, " "); !strings.Contains(words, c.words) {
				t.Errorf("it says %q, want %q", words, c.words)
			}
		})
	}
}
