package schedule_test

import (
	"encoding/json"
	"os"
	"slices"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// read decodes a file of testdata/schedule, whose expectations were worked out
// by hand; each file says how.
func read(t *testing.T, name string, into any) {
	t.Helper()
	raw, err := os.ReadFile("../testdata/schedule/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// basePlan is the plan the vector files speak of: nothing but a case every
// three months.
func basePlan(first string) schedule.Plan {
	p := schedule.DefaultPlan(civil.Date{}, "Europe/London")
	if first != "" {
		p.FirstNight = civil.MustDate(first)
	}
	p.CaseMonths, p.LensMonths, p.Recalls = 3, 0, nil
	return p
}

func TestSoakVectors(t *testing.T) {
	t.Parallel()
	var file struct {
		Cases []struct {
			Name        string
			Closed      *time.Time
			SoakMinutes int `json:"soak_minutes"`
			Bedtime     time.Time
			Ready       *time.Time
			InTime      bool `json:"in_time"`
			Minutes     int
			Advice      string
		}
	}
	read(t, "soak.json", &file)
	if len(file.Cases) < 9 {
		t.Fatal("vectors are missing")
	}
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			var closed, ready time.Time
			if c.Closed != nil {
				closed, ready = *c.Closed, *c.Ready
			}
			got := schedule.SoakFor(closed, c.SoakMinutes, c.Bedtime)
			if !got.Ready.Equal(ready) || got.InTime != c.InTime || got.Minutes != c.Minutes || got.Advice != c.Advice {
				t.Errorf("got %+v, want ready %s, in time %v, %d minutes, %s", got, ready, c.InTime, c.Minutes, c.Advice)
			}
			if (got.NotWorn == "") != c.InTime {
				t.Errorf("reason to log %q while in time is %v", got.NotWorn, c.InTime)
			}
		})
	}
}

func TestSupplyVectors(t *testing.T) {
	t.Parallel()
	type row struct {
		Rule    string     `json:"rule"`
		Due     civil.Date `json:"due"`
		Overdue int        `json:"overdue"`
		Subject string     `json:"subject"`
		Label   string     `json:"label"`
	}
	var file struct {
		Cases []struct {
			Name  string
			Plan  json.RawMessage
			Log   schedule.Log
			Today civil.Date
			Want  []row
		}
	}
	read(t, "supplies.json", &file)
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			in := schedule.Input{Plan: basePlan("2026-01-01"), Log: c.Log, Now: civil.At(c.Today, civil.MustClock("13:00"), time.UTC)}
			if err := json.Unmarshal(c.Plan, &in.Plan); err != nil {
				t.Fatal(err)
			}
			got := []row{}
			for _, it := range schedule.Supplies(in) {
				got = append(got, row{it.Rule, it.Due, it.Overdue, it.Subject, it.Label})
			}
			if diff := cmp.Diff(c.Want, got); diff != "" {
				t.Errorf("want -, got +\n%s", diff)
			}
		})
	}
}

func TestRecallVectors(t *testing.T) {
	t.Parallel()
	type row = [4]any
	var file struct {
		Cases []struct {
			Name       string
			FirstNight civil.Date `json:"first_night"`
			Stopped    civil.Date
			TakenOver  civil.Date `json:"taken_over"`
			Every      int
			Today      civil.Date
			LensStarts []civil.Date `json:"lens_starts"`
			Visits     []schedule.Visit
			Want       []row
			Passed     []string
		}
	}
	read(t, "recalls.json", &file)
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			p := basePlan("")
			p.FirstNight, p.Stopped, p.TakenOver, p.Recalls = c.FirstNight, c.Stopped, c.TakenOver, schedule.DefaultRecalls(max(3, c.Every))
			got, passed := []row{}, []string{}
			for _, r := range schedule.Recalls(p, c.Visits, c.LensStarts, c.Today) {
				got = append(got, row{r.Kind, r.Due.String(), r.State, float64(r.Overdue)})
				if r.Passed && r.State != "kept" && r.State != "waived" {
					passed = append(passed, r.Due.String())
				}
				if want := map[bool]int{true: 2}[r.Kind == "first-morning"]; r.WithinHours != want {
					t.Errorf("%s: within %d hours of waking, want %d", r.Kind, r.WithinHours, want)
				}
			}
			if diff := cmp.Diff(c.Want, got); diff != "" {
				t.Errorf("want -, got +\n%s", diff)
			}
			if c.Passed != nil {
				if diff := cmp.Diff(c.Passed, passed); diff != "" {
					t.Errorf("passed: want -, got +\n%s", diff)
				}
			}
		})
	}
}

// situation is the base plan with what a vector changes in it.
func situation(t *testing.T, loc *time.Location, now, unsent string, plan json.RawMessage, log schedule.Log, nights []schedule.Night) schedule.Input {
	t.Helper()
	in := schedule.Input{Plan: basePlan("2026-03-01"), Loc: loc, Now: wall(t, now, loc), Log: log, Unsent: wall(t, unsent, loc)}
	if nights != nil {
		in.Log.Nights = nights
	}
	if plan != nil {
		if err := json.Unmarshal(plan, &in.Plan); err != nil {
			t.Fatal(err)
		}
	}
	return in
}

func TestDueVectors(t *testing.T) {
	t.Parallel()
	var file struct {
		Cases []struct {
			Name, Zone, Now string
			Plan            json.RawMessage
			Nights          []schedule.Night
			Log             schedule.Log
			Unsent          string
			Want            [][2]string
		}
	}
	read(t, "due.json", &file)
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			loc, err := time.LoadLocation(c.Zone)
			if err != nil {
				t.Fatal(err)
			}
			in := situation(t, loc, c.Now, c.Unsent, c.Plan, c.Log, c.Nights)
			got := [][2]string{}
			for _, it := range schedule.Due(in) {
				date := it.Date
				if !it.Due.IsZero() {
					date = it.Due
				}
				got = append(got, [2]string{it.Rule, date.String()})
			}
			if diff := cmp.Diff(c.Want, got); diff != "" {
				t.Errorf("want -, got +\n%s", diff)
			}
		})
	}
}

// wall reads a wall-clock time in a zone; empty is the zero time.
func wall(t *testing.T, s string, loc *time.Location) time.Time {
	t.Helper()
	if s == "" {
		return time.Time{}
	}
	got, err := time.ParseInLocation("2006-01-02T15:04", s, loc)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestReminderVectors holds each reminder of the table against the vectors that
// the phone is held against too, and the vectors against the table: each
// reminder has all five states.
func TestReminderVectors(t *testing.T) {
	t.Parallel()
	var file struct {
		Cases []struct {
			Rule, State, Name, Now, Unsent string
			Plan                           json.RawMessage
			Nights                         []schedule.Night
			Log                            schedule.Log
			Snoozes                        []struct {
				Date  civil.Date
				Until string
				Count int
			}
			Due, Said bool
		}
	}
	read(t, "reminders.json", &file)
	loc := at(t, "2026-03-01T00:00").Location()
	seen := map[string]bool{}
	for _, c := range file.Cases {
		seen[c.Rule+" "+c.State] = true
		t.Run(c.Rule+" "+c.State+": "+c.Name, func(t *testing.T) {
			t.Parallel()
			in := situation(t, loc, c.Now, c.Unsent, c.Plan, c.Log, c.Nights)
			for _, s := range c.Snoozes {
				in.Snoozes = append(in.Snoozes, schedule.Snooze{Date: s.Date, Until: wall(t, s.Until, loc), Count: s.Count})
			}
			of := func(it schedule.Item) bool { return it.Rule == c.Rule }
			if got := slices.ContainsFunc(schedule.Due(in), of); got != c.Due {
				t.Errorf("due: %v, want %v", got, c.Due)
			}
			if got := slices.ContainsFunc(schedule.Remind(in), of); got != c.Said {
				t.Errorf("said: %v, want %v", got, c.Said)
			}
		})
	}
	for _, r := range schedule.Rules() {
		for _, state := range []string{"due", "early", "logged", "paused", "put-off"} {
			if !seen[r.ID+" "+state] {
				t.Errorf("no vector of %s %s", r.ID, state)
			}
		}
	}
}
