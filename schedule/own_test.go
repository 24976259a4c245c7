package schedule_test

import (
	"strings"
	"testing"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

func clockPtr(s string) *civil.Clock {
	c := civil.MustClock(s)
	return &c
}

// A family's own times lie within the plan: the vectors were worked out by hand.
func TestOwnTimesLieWithinThePlan(t *testing.T) {
	t.Parallel()
	var file struct {
		Cases []struct {
			Name string
			Own  schedule.Own
			Want []string
		}
	}
	read(t, "own.json", &file)
	plan := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
	for _, c := range file.Cases {
		got := ""
		if err := c.Own.Check(plan); err != nil {
			got = err.Error()
		}
		if want := strings.Join(c.Want, "\n"); got != want {
			t.Errorf("%s: %q, want %q", c.Name, got, want)
		}
	}
}

// Times that a newer plan leaves no room for are not said: the plan's are.
func TestOwnTimesGiveWayToANewerPlan(t *testing.T) {
	t.Parallel()
	plan := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
	choice := schedule.Choices{Own: &schedule.Own{Every: schedule.Clocks{InsertionAt: clockPtr("20:30")}}}
	if choice.Over(plan).Own == nil {
		t.Error("the own time does not stand under a plan it fits")
	}
	plan.WearFrom = civil.MustClock("20:45")
	if got := choice.Over(plan); got.Own != nil {
		t.Errorf("20:30 stands under a plan of wear from 20:45: %+v", got.Own)
	}
}
