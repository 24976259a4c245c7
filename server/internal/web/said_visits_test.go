package web_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
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
	booked := func() (out []course.Visit) {
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

// A visit that the family was told of, and that is moved or off on the page of the visits,
// is said to be so: their phones would go on saying that it is booked. One that it was
// never told of is not said.
func TestAVisitThatIsMovedOrOffIsSaid(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const say1, path = "/api/clinic/wearers/w1/say", "/api/clinic/wearers/w1/visits"
	said := func() (out []string) {
		for _, e := range s.wear("desk").Entries {
			if e.Kind == "visit" {
				out = append(out, strings.TrimSpace(fmt.Sprint(e.Body["on"], " ", e.Body["at"], " ", e.Body["cancelled"] == true, " ", e.Body["moves"] != nil)))
			}
		}
		return out
	}
	change := func(on, more string) {
		t.Helper()
		for _, v := range decode[visitsReply](t, s.says("GET", path, "desk", "", 200, "")).Visits {
			if v.Date.String() == on {
				s.says("POST", path, "desk", fmt.Sprintf(`{"id":%q,"kind":%q,"rev":%d,"sure":true,%s}`, v.ID, v.Kind, v.Rev, more), 200, "")
			}
		}
	}
	s.says("POST", path, "desk", `{"kind":"recall","date":"2026-04-08","time":"09:00","state":"booked","sure":true}`, 200, "")
	change("2026-04-08", `"date":"2026-04-09","time":"09:00","state":"booked","why":"family-asked"`)
	if got := said(); len(got) != 0 {
		t.Fatalf("of a visit nobody was told of: %q", got)
	}
	s.says("POST", say1, "desk", say(nil, `{"kind":"visit","body":{"on":"2026-04-01","at":"15:30"}}`), 200, "")
	change("2026-04-01", `"date":"2026-04-02","time":"10:00","state":"booked","why":"family-asked"`)
	change("2026-04-02", `"date":"2026-04-02","time":"10:00","state":"cancelled"`)
	want := []string{"2026-04-02 10:00 true true", "2026-04-02 10:00 false true", "2026-04-01 15:30 false false"} // newest first
	if got := said(); !slices.Equal(got, want) {
		t.Errorf("the phones are told %q, want %q", got, want)
	}
}

type visitsReply struct{ Visits []course.Visit }

// A visit booked while closing or writing is asked about like any other: a closed
// day, an hour gone by; and so are words about a visit that nobody booked. Nothing
// is written until somebody says that it is meant.
func TestAVisitSaidIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		p.Contacts.Closed = []civil.Date{civil.MustDate("2026-04-01")}
		return errors.Join(err, tx.Register().PutPractice(p))
	})
	const path = "/api/clinic/wearers/w1/say"
	visit := func(on, at string) string {
		return `{"kind":"visit","body":{"on":"` + on + `","at":"` + at + `"}}`
	}
	word := func(text string) string { return `{"kind":"word","body":{"text":"` + text + `"}}` }
	today := simNow.Format(time.DateOnly)
	sure := func(body string) string { return strings.TrimSuffix(body, "}") + `,"sure":true}` }
	for name, c := range map[string]struct{ body, want string }{
		"a closed day":       {say(nil, visit("2026-04-01", "10:00")), "closed on 2026-04-01"},
		"an hour gone by":    {say(nil, visit(today, "00:01")), "00:01 of today is in the past"},
		"a day gone by":      {say(nil, visit("2026-03-02", "10:00")), "2026-03-02 is in the past"},
		"a review next year": {say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2027-03-01"}}`), "The review is on 2027-03-01, more than three months away."},
		"words, no booking":  {say(nil, word("See you at the visit on Tuesday.")), "none is booked"},
		"in Spanish":         {say(nil, word("Hasta la cita del martes.")), "none is booked"},
	} {
		t.Log(name)
		s.says("POST", path, "desk", c.body, 409, c.want)
	}
	if w := s.wear("desk"); len(w.Entries) != 0 {
		t.Fatalf("what was asked about was written: %s", w.Entries)
	}
	s.says("POST", path, "desk", say(nil, word("Rinse the case with the solution.")), 200, "")
	s.says("POST", path, "desk", sure(say(nil, word("No visit needed."))), 200, "")
	s.says("POST", path, "desk", say(nil, visit("2026-04-02", "10:00")+","+word("See you at the visit.")), 200, "")
	s.says("POST", path, "desk", sure(say(nil, visit("2026-04-01", "10:00"))), 200, "")
	s.says("POST", path, "desk", say(nil, `{"kind":"visit","body":{"on":"2026-04-01"}}`), 200, "") // booked by now: no question again
}

// A visit can be kept before its hour, but not unasked.
func TestAVisitKeptBeforeItsHourIsAsked(t *testing.T) {
	t.Parallel()
	s := planned(t)
	body := `{"date":"` + simNow.Format(time.DateOnly) + `","time":"23:59","kind":"recall","state":"kept"}`
	s.says("POST", "/api/clinic/wearers/w1/visits", "clinician", body, 409, "was it kept before its time?")
	s.says("POST", "/api/clinic/wearers/w1/visits", "clinician", strings.TrimSuffix(body, "}")+`,"sure":true}`, 200, `"kept"`)
}
