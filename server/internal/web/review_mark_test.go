package web_test

import (
	"slices"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// A page that shows a review learns of whatever the practice or the family does to the
// wearer meanwhile, by a mark that is the review's own, and of nothing else. Asking puts
// nothing into the audit log: nothing was read.
func TestReviewMarkTellsOfEveryChange(t *testing.T) {
	t.Parallel()
	s := planned(t)
	type marked struct {
		Mark   string
		Glance struct{ Stand []struct{ Eye, State string } }
	}
	mark := func() string {
		t.Helper()
		return decode[marked](t, s.says("GET", "/api/clinic/wearers/w1/review/mark", "clinician", "", 200, "")).Mark
	}
	was := mark()
	if was == "" || mark() != was || s.audited("c1", "read review", "w1") {
		t.Fatalf("the mark is %q, then %q, in the audit log: %v; want one mark and no line", was, mark(), s.audited("c1", "read review", "w1"))
	}
	if sum := decode[marked](t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")); sum.Mark != was {
		t.Fatalf("the review bears %q, want %q", sum.Mark, was)
	}
	seen := []string{was}
	changed := func(what string) {
		t.Helper()
		if now := mark(); slices.Contains(seen, now) {
			t.Errorf("after %s the mark is one that was before", what)
		} else {
			seen = append(seen, now)
		}
	}
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"left","reason":"examination","review_by":"2026-04-02"}}`), 200, "")
	changed("a stop of the practice")
	s.report(1)
	changed("a report of the family")
	s.says("POST", "/api/clinic/wearers/w1/visits", "desk", `{"kind":"recall","date":"2026-04-09","time":"10:00","state":"booked"}`, 200, "")
	changed("a visit booked")
	s.update(func(tx *store.Tx) error {
		e := course.AdverseEvent{ID: "e1", Version: 1, Kind: "infection", Eye: "right", Began: civil.MustDate("2026-03-01"), Outcome: "settled"}
		return tx.Chart().Shelve(register.Events, "w1", e.ID, e)
	})
	changed("an adverse event written down")
	s.says("POST", "/api/clinic/wearers/w2/visits", "desk", `{"kind":"recall","date":"2026-04-09","time":"11:00","state":"booked"}`, 200, "")
	if now := mark(); now != seen[len(seen)-1] {
		t.Error("a visit of another wearer changes this one's mark")
	}
	s.says("GET", "/api/clinic/wearers/w1/review/mark?from=soon", "clinician", "", 422, "bad-date")
	s.says("GET", "/api/clinic/wearers/w1/review/mark", "desk", "", 403, "")
}
