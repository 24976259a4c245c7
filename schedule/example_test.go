package schedule_test

import (
	"fmt"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

func ExampleRecalls() {
	p := schedule.DefaultPlan(civil.MustDate("2026-03-01"), "Europe/London")
	for _, r := range schedule.Recalls(p, nil, nil, civil.MustDate("2026-03-01")) {
		fmt.Println(r.Kind, r.Due, r.State)
	}
	// Output:
	// first-morning 2026-03-02 due
	// one-week 2026-03-08 due
	// two-week 2026-03-15 due
	// one-month 2026-04-01 due
	// recall 2026-07-01 due
}

func ExampleSoakFor() {
	closed := time.Date(2026, 6, 1, 20, 0, 0, 0, time.UTC)
	s := schedule.SoakFor(closed, 360, closed.Add(90*time.Minute))
	fmt.Println(s.Ready.Format("15:04"), s.InTime, s.Advice)
	// Output: 02:00 false soak.skip-tonight
}
