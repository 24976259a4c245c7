package schedule_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

func TestDefaultPlanIsSound(t *testing.T) {
	t.Parallel()
	p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var back schedule.Plan
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(p, back); diff != "" {
		t.Errorf("a plan does not survive JSON: want -, got +\n%s", diff)
	}
}

func TestPlanCheck(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, field string // "" for a sound plan
		change      func(*schedule.Plan)
	}{
		{"peroxide for 6 h", "", func(p *schedule.Plan) { p.CareSystem, p.SoakMinutes = schedule.Peroxide, 360 }},
		{"peroxide a minute short", "soak_minutes", func(p *schedule.Plan) { p.CareSystem, p.SoakMinutes = schedule.Peroxide, 359 }},
		{"multipurpose for 4 h", "", func(p *schedule.Plan) { p.SoakMinutes = 240 }},
		{"case for three months", "", func(p *schedule.Plan) { p.CaseMonths = 3 }},
		{"case for four months", "case_months", func(p *schedule.Plan) { p.CaseMonths = 4 }},
		{"case for ever", "case_months", func(p *schedule.Plan) { p.CaseMonths = 0 }},
		{"unknown zone", "zone", func(p *schedule.Plan) { p.Zone = "Mars/Olympus" }},
		{"the zone of this machine", "zone", func(p *schedule.Plan) { p.Zone = "Local" }},
		{"no zone", "zone", func(p *schedule.Plan) { p.Zone = "" }},
		{"stopped before it began", "stopped", func(p *schedule.Plan) { p.Stopped = civil.MustDate("2026-02-28") }},
		{"insertion in the quiet hours", "insertion_at", func(p *schedule.Plan) { p.InsertionAt = civil.MustClock("22:30") }},
		{"insertion as the quiet hours end", "", func(p *schedule.Plan) { p.RemovalAt = p.QuietTo }},
		{"no quiet hours", "", func(p *schedule.Plan) {
			p.QuietFrom, p.QuietTo, p.InsertionAt = 0, 0, civil.MustClock("23:00")
		}},
		{"insertion too late for 8 h", "insertion_at", func(p *schedule.Plan) {
			p.MinHours, p.InsertionAt, p.WearTo = 9, civil.MustClock("21:00"), civil.MustClock("05:59")
		}},
		{"wear window too short", "wear_to", func(p *schedule.Plan) { p.WearFrom, p.WearTo = civil.MustClock("23:00"), civil.MustClock("04:59") }},
		{"evening sight in the morning", "evening_sight_at", func(p *schedule.Plan) { p.EveningSightAt = civil.MustClock("09:00") }},
		{"unknown reminder turned off", "off[0]", func(p *schedule.Plan) { p.Off = []string{"breakfast"} }},
		{"pause that ends before it begins", "pauses[0]", func(p *schedule.Plan) {
			p.Pauses = []schedule.Pause{{From: civil.MustDate("2026-04-02"), To: civil.MustDate("2026-04-01"), Reason: "ill"}}
		}},
		{"pause without a reason", "pauses[0].reason", func(p *schedule.Plan) {
			p.Pauses = []schedule.Pause{{From: civil.MustDate("2026-04-01"), To: civil.MustDate("2026-04-01")}}
		}},
		{"recall of no kind", "recalls[0].kind", func(p *schedule.Plan) { p.Recalls = []schedule.RecallStep{{Kind: "chat", Days: 1}} }},
		{"recall at once", "recalls[0].days", func(p *schedule.Plan) { p.Recalls = []schedule.RecallStep{{Kind: "recall"}} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
			c.change(&p)
			err := p.Check()
			if c.field == "" && err != nil {
				t.Errorf("got %v, want a sound plan", err)
			}
			if c.field != "" && (err == nil || !strings.HasPrefix(err.Error(), c.field)) {
				t.Errorf("got %v, want a fault of %s", err, c.field)
			}
		})
	}
}

func TestPlanCheckListsEveryFault(t *testing.T) {
	t.Parallel()
	err := (&schedule.Plan{}).Check()
	for _, field := range []string{"version", "zone", "eyes", "min_hours", "care_system", "soak_minutes", "case_months", "remind_first", "lock_screen_words"} {
		if err == nil || !strings.Contains(err.Error(), field+": want") {
			t.Errorf("an empty plan: got %v, want a fault of %s too", err, field)
		}
	}
}

func TestReadRulesIsStrict(t *testing.T) {
	t.Parallel()
	raw, err := schedule.Web.ReadFile("rules.json")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := schedule.ReadRules(raw); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown field", `"about"`, `"abuot"`, "abuot"},
		{"unknown rule", `"id": "care"`, `"id": "dinner"`, "dinner"},
		{"doubled rule", `"id": "care"`, `"id": "removal"`, "twice"},
		{"no basis", `"basis": "interval as prescribed"`, `"basis": ""`, "basis"},
		{"neither kind of repeat", `"again_after_days": [7, 14], "then_every_days": 14`, `"again_after_days": [7, 14]`, "quieter"},
		{"days out of order", `"again_after_days": [7, 14]`, `"again_after_days": [14, 7]`, "rising"},
		{"another version", `"version": 1`, `"version": 2`, "version"},
		{"something after it", "\n", "\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			changed := strings.Replace(string(raw), c.old, c.new, 1)
			if c.want == "" {
				changed, c.want = changed+"{}", "more than one"
			}
			_, err := schedule.ReadRules([]byte(changed))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error that says %q", err, c.want)
			}
		})
	}
}

// Hong Kong's recall schedule (3-monthly after the first month) and that of the
// International Myopia Institute (3 months, then 6-monthly): no gap of six months
// follows the first. Counted by hand on a calendar from 1 March 2026.
func TestUsualRecallsLeaveNoGapAfterTheFirstMonth(t *testing.T) {
	t.Parallel()
	for every, want := range map[int]string{
		3: "2026-03-02 2026-03-08 2026-03-15 2026-04-01 2026-07-01",
		6: "2026-03-02 2026-03-08 2026-03-15 2026-04-01 2026-06-01 2026-12-01",
	} {
		p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/Lisbon")
		p.Recalls = schedule.DefaultRecalls(every)
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		var got []string
		today := civil.MustDate("2026-03-01")
		if every == 6 {
			today = civil.MustDate("2026-06-02")
		}
		for _, r := range schedule.Recalls(p, nil, nil, today) {
			got = append(got, r.Due.String())
		}
		if strings.Join(got, " ") != want {
			t.Errorf("every %d months: %v, want %s", every, got, want)
		}
	}
}

// TestEverySystemHasALeastSoak holds the shortest soak that a plan may ask for:
// peroxide 6 h with the neutraliser (FDA consumer notice on hydrogen peroxide lens
// care, 2016); else 30 minutes, our own bound below any label's time.
func TestEverySystemHasALeastSoak(t *testing.T) {
	t.Parallel()
	least := map[schedule.CareSystem]int{"multipurpose": 30, "peroxide": 360, "other": 30}
	for _, s := range schedule.CareSystems() {
		want, ok := least[s]
		if !ok {
			t.Errorf("%s: find out its least soak, and say it in Plan.Check and here", s)
			continue
		}
		p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
		p.CareSystem, p.SoakMinutes = s, want
		if err := p.Check(); err != nil {
			t.Errorf("%s for %d minutes: %v", s, want, err)
		}
		if p.SoakMinutes--; p.Check() == nil {
			t.Errorf("%s for %d minutes is taken", s, want-1)
		}
	}
}
