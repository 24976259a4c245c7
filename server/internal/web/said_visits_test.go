package web_test

import (
	"strings"
	"testing"

	"nightkeep/server/internal/review"
)

// A visit said to the family at a closing, or outside one, is booked: the list of
// visits and the family's own have it, and the same hour said again books no
// second one.
func TestAVisitSaidIsBooked(t *testing.T) {
	t.Parallel()
	s := planned(t)
	id := s.report(1)
	alerts := decode[struct{ Alerts []struct{ ID, Wearer string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts
	cause := strings.Join(s.wear("desk").Causes, `","`)
	if cause == "" || len(alerts) == 0 {
		t.Fatalf("the report %s opened no alert", id)
	}
	cease := `{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-04-01"}}`
	visit := func(body string) string { return `{"kind":"visit","body":{` + body + `}}` }
	booked := func() (out []review.Visit) {
		for _, v := range decode[visitsReply](t, s.says("GET", "/api/clinic/wearers/w1/visits", "desk", "", 200, "")).Visits {
			if v.State == "booked" {
				out = append(out, v)
			}
		}
		return out
	}
	before := len(booked())
	s.says("POST", "/api/clinic/alerts/"+alerts[0].ID+"/close", "clinician", `{"outcome":"seen-treated","note":"seen","decision":"stays","causes":["`+
		cause+`"],"entries":[`+cease+","+visit(`"on":"2026-04-01","at":"15:30"`)+`]}`, 200, `"decision":"stays"`)
	list := booked()
	if len(list) != before+1 || list[0].Date.String() != "2026-04-01" || list[0].Time != "15:30" || list[0].Kind != "unscheduled" {
		t.Fatalf("booked are %+v, want one more on 2026-04-01 at 15:30, unscheduled", list)
	}
	s.says("GET", "/api/family", "family", "", 200, `"date":"2026-04-01"`)
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "desk", say(nil, visit(`"on":"2026-04-01","at":"15:30"`)), 200, "")
	s.says("POST", path, "desk", say(nil, visit(`"on":"2026-04-01"`)), 200, "")
	s.says("POST", path, "desk", say(nil, visit(`"on":"2026-04-01","cancelled":true`)), 200, "")
	if again := booked(); len(again) != before+1 {
		t.Errorf("said again, booked are %+v, want no second", again)
	}
	s.says("POST", path, "desk", say(nil, visit(`"on":"2026-04-03"`)), 200, "")
	s.says("POST", path, "desk", say(nil, visit(`"on":"2026-04-03","at":"10:00"`)), 200, "")
	if list = booked(); len(list) != before+2 || list[0].Date.String() != "2026-04-03" || list[0].Time != "10:00" {
		t.Errorf("an hour said later gave %+v, want it on the visit of 2026-04-03", list)
	}
}

type visitsReply struct{ Visits []review.Visit }
