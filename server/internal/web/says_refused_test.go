package web_test

import (
	"testing"

	"nightkeep/schedule/civil"
)

// A stop that was to be looked at before it was written would be reminded of never, and
// words without a letter are none (our rules); nothing of such a saying is kept.
func TestAStopIsLookedAtFromTodayOn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	at := "/api/clinic/wearers/w1/say"
	today := civil.DateOf(simNow)
	cease := func(by civil.Date) string {
		return `{"entries":[{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"` + by.String() + `"}}]}`
	}
	s.says("POST", at, "desk", cease(today.AddDays(-1)), 422, "review-past")
	s.says("POST", at, "clinician", cease(today.AddMonths(-12)), 422, "review-past")
	s.says("POST", at, "desk", `{"entries":[{"kind":"word","body":{"text":" \t "}}]}`, 422, "no-words")
	if w := s.wear("clinician"); w.Wear.Right.State != "none" || len(w.Entries) != 0 {
		t.Errorf("a refused saying left %+v", w)
	}
	s.says("POST", at, "desk", cease(today), 200, `"stop"`)
}
