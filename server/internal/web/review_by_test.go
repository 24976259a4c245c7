package web_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
)

// A closing that lets one eye wear again and keeps the other stopped says so, eye by
// eye, on the closed card, in the archive and in the review; by when the stop is looked
// at again stands in the review, in the list of wearers and on Today.
func TestTheDateOfReviewStandsWhereSomebodyLooks(t *testing.T) {
	t.Parallel()
	s := planned(t)
	id := s.report(1)
	type today struct {
		Held []struct {
			Wearer, Wear string
			ReviewBy     civil.Date `json:"review_by"`
		}
	}
	onToday := func() today { return decode[today](t, s.says("GET", "/api/clinic/today", "desk", "", 200, "")) }
	if h := onToday().Held; len(h) != 1 || h[0].Wearer != "w1" || h[0].Wear != "stop" || !h[0].ReviewBy.IsZero() {
		t.Fatalf("after the report Today has %+v, want w1 stopped and no date said", h)
	}
	type closings struct {
		Alerts []struct {
			ID       string
			Closings []struct{ Lenses []review.EyeSaid }
		}
	}
	alert := decode[closings](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].ID
	s.taken()
	s.says("POST", "/api/clinic/alerts/"+alert+"/close", "clinician", `{"outcome":"seen-treated","note":"seen","decision":"resume","causes":["`+id+`"],"entries":[`+
		`{"kind":"resume","body":{"eyes":"right","answers":["`+id+`"],"from":"2026-03-30","basis":"examined","check":true,"new_case":true}},`+
		`{"kind":"cease","body":{"eyes":"left","reason":"report","review_by":"2026-04-02"}}]}`, 200, "")
	on := civil.MustDate
	want := []review.EyeSaid{{Eye: "right", Again: true, From: on("2026-03-30"), Check: true}, {Eye: "left", ReviewBy: on("2026-04-02")}}
	for _, path := range []string{"/api/clinic/alerts", "/api/clinic/archive", "/api/clinic/wearers/w1/review"} {
		list := decode[closings](t, s.says("GET", path, "clinician", "", 200, "")).Alerts
		if len(list) != 1 || len(list[0].Closings) != 1 {
			t.Fatalf("%s has %+v, want one alert closed once", path, list)
		}
		if diff := cmp.Diff(want, list[0].Closings[0].Lenses); diff != "" {
			t.Errorf("%s (-want +got):\n%s", path, diff)
		}
	}
	stand := decode[struct {
		Glance struct{ Stand []review.Stand }
	}](t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")).Glance.Stand
	if len(stand) != 2 || !stand[0].ReviewBy.IsZero() || stand[1].ReviewBy != on("2026-04-02") {
		t.Errorf("the review has %+v, want 2026-04-02 for the left eye alone", stand)
	}
	s.says("GET", "/api/clinic/wearers?filter=held", "desk", "", 200, `"review_by":"2026-04-02"`)
	if h := onToday().Held; len(h) != 1 || h[0].ReviewBy != on("2026-04-02") {
		t.Errorf("Today has %+v, want w1 with 2026-04-02", h)
	}
	// what was said last counts, also where it is later
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"left","reason":"examination","review_by":"2026-04-09"}}`), 200, "")
	if h := onToday().Held; len(h) != 1 || h[0].ReviewBy != on("2026-04-09") {
		t.Errorf("Today has %+v, want w1 with 2026-04-09", h)
	}
}

// One alert has one name: the review calls it what its card calls it, with the eye that
// was named.
func TestTheReviewNamesAnAlertAsItsCard(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.report(1)
	type named struct {
		Alerts []struct{ ID, Title, Eye string }
	}
	card := decode[named](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts
	in := decode[named](t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")).Alerts
	if len(card) != 1 || card[0].Eye != "right" {
		t.Fatalf("the card is %+v, want one of the right eye", card)
	}
	if diff := cmp.Diff(card, in); diff != "" {
		t.Errorf("(-card +review):\n%s", diff)
	}
}
