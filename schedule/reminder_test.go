package schedule_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// at reads a wall-clock time in London.
func at(t *testing.T, s string) time.Time {
	t.Helper()
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	got, err := time.ParseInLocation("2006-01-02T15:04", s, loc)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// sent writes reminders as "key date to".
func sent(items []schedule.Item) []string {
	out := []string{}
	for _, it := range items {
		f := it.Firing()
		out = append(out, fmt.Sprintf("%s %s %s", f.Key, f.Date, it.To))
	}
	return out
}

// input is a wearer from 1 March 2026 with nothing but the nightly routine.
func input(t *testing.T, now string) schedule.Input {
	in := schedule.Input{Plan: basePlan("2026-03-01"), Now: at(t, now)}
	in.Loc = in.Now.Location()
	in.Plan.Off = []string{"removal", "care", "evening-sight", "spectacles", "case"}
	return in
}

func TestRemind(t *testing.T) {
	t.Parallel()
	night := func(s string) civil.Date { return civil.MustDate(s) }
	for _, c := range []struct {
		name, now string
		change    func(*schedule.Input)
		want      []string
	}{
		{"due and not logged", "2026-03-05T21:00", func(*schedule.Input) {}, []string{"insertion 2026-03-05 parent"}},
		{"sent before", "2026-03-05T21:05", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
		}, []string{}},
		{"logged", "2026-03-05T21:00", func(in *schedule.Input) {
			in.Log.Nights = []schedule.Night{{Night: night("2026-03-05"), NotWorn: true}}
		}, []string{}},
		{"turned off", "2026-03-05T21:00", func(in *schedule.Input) { in.Plan.Off = append(in.Plan.Off, "insertion") }, []string{}},
		{"after downtime, still of use", "2026-03-06T01:59", func(in *schedule.Input) { in.Plan.QuietTo = in.Plan.QuietFrom }, []string{"insertion 2026-03-05 parent"}},
		{"after downtime, of no use", "2026-03-06T02:00", func(in *schedule.Input) { in.Plan.QuietTo = in.Plan.QuietFrom }, []string{}},
		{"teen first", "2026-03-05T21:00", func(in *schedule.Input) { in.Plan.RemindFirst, in.Plan.ParentAfterMinutes = "teen", 45 }, []string{"insertion 2026-03-05 teen"}},
		{"then a parent", "2026-03-05T21:45", func(in *schedule.Input) {
			in.Plan.RemindFirst, in.Plan.ParentAfterMinutes = "teen", 45
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
		}, []string{"insertion~parent 2026-03-05 parent"}},
		{"put off: not yet", "2026-03-05T21:20", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
			in.Snoozes = []schedule.Snooze{{Rule: "insertion", Date: night("2026-03-05"), Until: at(t, "2026-03-05T21:30"), Count: 1}}
		}, []string{}},
		{"put off: again", "2026-03-05T21:30", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
			in.Snoozes = []schedule.Snooze{{Rule: "insertion", Date: night("2026-03-05"), Until: at(t, "2026-03-05T21:30"), Count: 1}}
		}, []string{"insertion~snooze-1 2026-03-05 parent"}},
		{"everything of the night put off: again", "2026-03-05T21:30", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
			in.Snoozes = []schedule.Snooze{{Date: night("2026-03-05"), Until: at(t, "2026-03-05T21:30"), Count: 1}}
		}, []string{"insertion~snooze-1 2026-03-05 parent"}},
		{"another night put off", "2026-03-05T21:00", func(in *schedule.Input) {
			in.Snoozes = []schedule.Snooze{{Date: night("2026-03-04"), Until: at(t, "2026-03-05T21:30"), Count: 1}}
		}, []string{"insertion 2026-03-05 parent"}},
		{"paused by the family", "2026-03-05T21:00", func(in *schedule.Input) {
			in.Log.Pauses = []schedule.Pause{{From: night("2026-03-05"), To: night("2026-03-05"), Reason: "away"}}
		}, []string{}},
		{"paused, and a visit is missed all the same", "2026-03-09T18:30", func(in *schedule.Input) {
			in.Plan.Recalls = []schedule.RecallStep{{Kind: "one-week", Days: 7}}
			in.Log.Pauses = []schedule.Pause{{From: night("2026-03-05"), To: night("2026-03-20"), Reason: "ill"}}
		}, []string{"recall.one-week-2026-03-08 2026-03-09 all"}},
		{"put off a fourth time has no effect", "2026-03-05T22:20", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
			in.Snoozes = []schedule.Snooze{{Rule: "insertion", Date: night("2026-03-05"), Until: at(t, "2026-03-05T22:15"), Count: 4}}
		}, []string{}},
		{"put off into the quiet hours: not said in them", "2026-03-05T23:00", func(in *schedule.Input) {
			in.Fired = []schedule.Firing{{Key: "insertion", Date: night("2026-03-05")}}
			in.Snoozes = []schedule.Snooze{{Rule: "insertion", Date: night("2026-03-05"), Until: at(t, "2026-03-05T23:00"), Count: 1}}
		}, []string{}},
		{"case on its date, to the parents", "2026-06-01T18:30", func(in *schedule.Input) { in.Plan.Off = []string{"evening-sight"} }, []string{"case 2026-06-01 parent"}},
		{"case the day after", "2026-06-02T18:30", func(in *schedule.Input) { in.Plan.Off = []string{"evening-sight"} }, []string{"case 2026-06-02 parent"}},
		{"case two days after: silent", "2026-06-03T18:30", func(in *schedule.Input) { in.Plan.Off = []string{"evening-sight"} }, []string{}},
		{"booked visit a week ahead, to all", "2026-03-03T18:30", func(in *schedule.Input) {
			in.Log.Visits = []schedule.Visit{{ID: "v", Kind: "unscheduled", Date: night("2026-03-10"), State: "booked"}}
		}, []string{"recall.unscheduled-2026-03-10 2026-03-03 all"}},
		{"case turned off", "2026-06-01T18:30", func(*schedule.Input) {}, []string{}},
		{"case fourteen days after, a week from the last", "2026-06-15T18:30", func(in *schedule.Input) { in.Plan.Off = []string{"evening-sight"} }, []string{"case 2026-06-15 parent"}},
		{"case fifteen days after: silent", "2026-06-16T18:30", func(in *schedule.Input) { in.Plan.Off = []string{"evening-sight"} }, []string{}},
		{"a moved visit: a day before the new date, not the old", "2026-03-12T18:30", func(in *schedule.Input) {
			in.Plan.Recalls = []schedule.RecallStep{{Kind: "one-week", Days: 7}}
			in.Log.Visits = []schedule.Visit{{ID: "v", Kind: "one-week", Due: night("2026-03-08"), Date: night("2026-03-13"), State: "booked"}}
		}, []string{"recall.one-week-2026-03-08 2026-03-12 all"}},
		{"two visits went by: the last speaks for both", "2026-03-18T18:30", func(in *schedule.Input) {
			in.Plan.Recalls = []schedule.RecallStep{{Kind: "one-week", Days: 7}, {Kind: "two-week", Days: 14}, {Kind: "first-morning", Days: 10}}
			in.Log.Visits = []schedule.Visit{{ID: "v", Kind: "one-week", Due: night("2026-03-08"), Date: night("2026-03-08"), State: "missed"}}
		}, []string{"recall.two-week-2026-03-15 2026-03-18 all"}},
		{"booked visit the evening before", "2026-03-09T18:30", func(in *schedule.Input) {
			in.Log.Visits = []schedule.Visit{{ID: "v", Kind: "unscheduled", Date: night("2026-03-10"), State: "booked"}}
		}, []string{"recall.unscheduled-2026-03-10 2026-03-09 all"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			in := input(t, c.now)
			c.change(&in)
			if diff := cmp.Diff(c.want, sent(schedule.Remind(in))); diff != "" {
				t.Errorf("want -, got +\n%s", diff)
			}
		})
	}
}

// TestBackOff follows a family that answers nothing for seven weeks. By the
// table: nightly for three nights, every second night until seven have gone
// unanswered, then weekly.
func TestBackOff(t *testing.T) {
	t.Parallel()
	in := input(t, "2026-03-01T21:00")
	var got []string
	for d := civil.MustDate("2026-03-01"); d.Before(civil.MustDate("2026-04-20")); d = d.AddDays(1) {
		in.Now = civil.At(d, civil.MustClock("21:00"), in.Loc)
		for _, it := range schedule.Remind(in) {
			in.Fired = append(in.Fired, it.Firing())
			got = append(got, it.Date.String()[5:])
		}
	}
	want := "03-01 03-02 03-03 03-05 03-07 03-09 03-11 03-18 03-25 04-01 04-08 04-15"
	if s := strings.Join(got, " "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
	// One logged night, and the next evening is as on the first.
	in.Log.Nights = []schedule.Night{{Night: civil.MustDate("2026-04-19"), Inserted: true}}
	in.Now = at(t, "2026-04-20T21:00")
	if got := sent(schedule.Remind(in)); len(got) != 1 {
		t.Errorf("after a logged night: got %v, want the insertion", got)
	}
}

// A family that logs each lens in and none out is asked to take it out every
// morning, however often it did not answer; TestBackOff's family, of whose lenses
// nobody knows, is asked more and more rarely.
func TestALensThatIsInIsAskedAboutEveryMorning(t *testing.T) {
	t.Parallel()
	in := input(t, "2026-03-02T08:00")
	in.Plan.Off = []string{"insertion", "care", "evening-sight", "spectacles", "case"}
	var got int
	for d := civil.MustDate("2026-03-02"); d.Before(civil.MustDate("2026-03-22")); d = d.AddDays(1) {
		in.Log.Nights = append(in.Log.Nights, schedule.Night{Night: d.AddDays(-1), Inserted: true})
		in.Now = civil.At(d, civil.MustClock("10:00"), in.Loc)
		for _, it := range schedule.Remind(in) {
			in.Fired = append(in.Fired, it.Firing())
			if it.Rule == "removal" {
				got++
			}
		}
	}
	if got != 20 {
		t.Errorf("asked on %d of 20 mornings", got)
	}
}

// TestNextMissesNothing walks from one Next to the following one and must
// come to every reminder that looking each minute finds.
func TestNextMissesNothing(t *testing.T) {
	t.Parallel()
	start := schedule.Input{Plan: schedule.DefaultPlan(civil.MustDate("2026-03-20"), "Europe/London"), Now: at(t, "2026-03-18T00:00")}
	start.Loc = start.Now.Location()
	start.Plan.RemindFirst, start.Plan.ParentAfterMinutes, start.Plan.DepositRemovalDays = "teen", 90, 7
	start.Plan.Pauses = []schedule.Pause{{From: civil.MustDate("2026-03-24"), To: civil.MustDate("2026-03-25"), Reason: "ill"}}
	end := at(t, "2026-04-03T12:00")
	run := func(next func(schedule.Input) time.Time) []string {
		in := start
		var out []string
		for !in.Now.After(end) && !in.Now.IsZero() {
			for _, it := range schedule.Remind(in) {
				in.Fired = append(in.Fired, it.Firing())
				out = append(out, in.Now.Format("01-02T15:04 ")+sent([]schedule.Item{it})[0])
			}
			in.Now = next(in)
		}
		return out
	}
	each := run(func(in schedule.Input) time.Time { return in.Now.Add(time.Minute) })
	if diff := cmp.Diff(each, run(schedule.Next)); diff != "" {
		t.Errorf("every minute -, by Next +\n%s", diff)
	}
	if len(each) < 40 {
		t.Errorf("only %d reminders in a fortnight that asks for more", len(each))
	}
}

// TestNextExpectsWhatTheLogMayStillSay looks at an evening on which nothing is
// logged yet: a night not worn would ask for spectacles at 07:00, a removal for
// its care at 08:00.
func TestNextExpectsWhatTheLogMayStillSay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ rule, want string }{{"spectacles", "2026-03-06T07:00"}, {"care", "2026-03-06T08:00"}} {
		t.Run(c.rule, func(t *testing.T) {
			t.Parallel()
			in := input(t, "2026-03-05T22:00")
			in.Plan.Off = []string{"insertion", "removal", "evening-sight", "case"}
			in.Plan.Off = append(in.Plan.Off, map[string]string{"spectacles": "care", "care": "spectacles"}[c.rule])
			if got := schedule.Next(in); !got.Equal(at(t, c.want)) {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestQuietHoursMoveToTheirEnd(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, from, to, now, want string }{
		{"inside them", "18:00", "20:00", "2026-06-01T12:00", "2026-06-01T20:00"},
		{"outside them", "19:00", "20:00", "2026-06-01T12:00", "2026-06-01T18:30"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			in := input(t, c.now)
			in.Plan.Off = []string{"insertion", "removal", "care", "spectacles", "evening-sight"}
			in.Plan.QuietFrom, in.Plan.QuietTo = civil.MustClock(c.from), civil.MustClock(c.to)
			if got := schedule.Next(in); !got.Equal(at(t, c.want)) {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
	in := input(t, "2026-03-05T23:30") // put off to 23:30; quiet from 22:30 to 00:30 the next day
	in.Plan.QuietTo = civil.MustClock("00:30")
	in.Fired = []schedule.Firing{{Key: "insertion", Date: civil.MustDate("2026-03-05")}}
	in.Snoozes = []schedule.Snooze{{Rule: "insertion", Date: civil.MustDate("2026-03-05"), Until: at(t, "2026-03-05T23:30"), Count: 1}}
	if got, want := schedule.Next(in), at(t, "2026-03-06T00:30"); !got.Equal(want) {
		t.Errorf("over midnight: got %s, want %s", got, want)
	}
}

func TestNextIsZeroWhenNothingWillBe(t *testing.T) {
	t.Parallel()
	in := input(t, "2026-03-01T12:00")
	in.Plan.FirstNight = civil.Date{}
	if got := schedule.Next(in); !got.IsZero() {
		t.Errorf("no first night: got %s, want never", got)
	}
	in.Plan.FirstNight = civil.MustDate("2026-09-01")
	if got, want := schedule.Next(in), at(t, "2026-09-01T21:00"); !got.Equal(want) {
		t.Errorf("first night in September: got %s, want %s", got, want)
	}
}

// While the lens of one eye is kept for the practice, care names the other.
func TestCareNamesTheOnlyLensThatIsNotKept(t *testing.T) {
	t.Parallel()
	worn := []schedule.Night{{Night: civil.MustDate("2026-03-05"), Inserted: true, Removed: true}}
	for _, tc := range []struct {
		name  string
		holds []schedule.Hold
		want  string
	}{
		{"nothing held", nil, ""},
		{"the right eye stopped", []schedule.Hold{{Eye: "right", From: civil.MustDate("2026-03-04"), Stop: true}}, "left"},
		{"the right eye rests: both are cleaned", []schedule.Hold{{Eye: "right", From: civil.MustDate("2026-03-04")}}, ""},
	} {
		in := schedule.Input{Plan: basePlan("2026-03-01"), Loc: at(t, "2026-03-06T08:30").Location(), Now: at(t, "2026-03-06T08:30"), Log: schedule.Log{Nights: worn, Holds: tc.holds}}
		items := schedule.Due(in)
		if len(items) != 1 || items[0].Rule != "care" || items[0].Eye != tc.want {
			t.Errorf("%s: %+v, want care of %q", tc.name, items, tc.want)
		}
	}
}
