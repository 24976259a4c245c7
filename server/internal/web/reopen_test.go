package web_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// closed reports pain, closes its alert with a resume of the eyes from four
// nights on, and returns the path of the alert.
func (s *site) closed(eyes string) (alert string) {
	s.t.Helper()
	id := s.report(1)
	list := decode[struct{ Alerts []struct{ ID string } }](s.t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, ""))
	alert = "/api/clinic/alerts/" + list.Alerts[0].ID
	s.taken()
	entries := `{"kind":"resume","body":{"eyes":"` + eyes + `","answers":["` + id + `"],"from":"2026-04-01","basis":"examined"}}`
	if eyes != "both" {
		entries += `,{"kind":"cease","body":{"eyes":"left","reason":"report","review_by":"2026-03-31"}}`
	}
	s.says("POST", alert+"/close", "clinician", `{"outcome":"seen-treated","note":"seen","decision":"resume","causes":["`+id+`"],"entries":[`+
		entries+`]}`, 200, `"decision":"resume"`)
	return alert
}

// The history of an alert has what it was closed with apart from the words, so that the
// console says the outcome by its name and never by its key.
func TestTheHistoryHasTheOutcomeApart(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.closed("both")
	type event struct{ What, Text, Outcome string }
	list := decode[struct{ Alerts []struct{ History []event } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, ""))
	all := list.Alerts[0].History
	i := slices.IndexFunc(all, func(e event) bool { return e.What == "closed" })
	if want := (event{"closed", "seen", "seen-treated"}); i < 0 || all[i] != want {
		t.Errorf("history %+v, want %+v in it", all, want)
	}
}

// Opening an alert again takes back the resume of its closing, in the same
// transaction: the eye is stopped with no date, the family's phones get the stop
// under the name of who opened it, and it holds until the next decision. The eye
// that was not resumed gets none of it.
func TestReopeningTakesBackTheResume(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	alert := s.closed("right")
	if w := s.wear("desk").Wear; w.Right.Until != "2026-04-01" || w.Left.Until != "" {
		t.Fatalf("after the closing: %+v", w)
	}
	s.says("POST", alert+"/reopen", "desk", `{"text":""}`, 422, "bad-text")
	if w := s.wear("desk").Wear; w.Right.Until != "2026-04-01" {
		t.Errorf("a refused reopening left a stop behind: %+v", w)
	}
	s.says("POST", alert+"/reopen", "clinician", `{"text":"the lab phoned"}`, 200, `"state":"open"`)
	w := s.wear("desk")
	if w.Wear.Right.State != "stop" || w.Wear.Right.Until != "" || w.Wear.Left.State != "stop" {
		t.Errorf("after the reopening: %+v, want the right eye stopped with no date", w.Wear)
	}
	newest := w.Entries[0]
	if newest.Kind != "cease" || newest.Body["eyes"] != "right" || newest.Body["text"] != nil {
		t.Errorf("the family's log has %+v; want a stop of the right eye, without the practice's own words", newest)
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error { // as the family's archive has it
		a, err := tx.Duty().Alert(care.AlertID(strings.TrimPrefix(alert, "/api/clinic/alerts/")))
		if err != nil || !slices.ContainsFunc(a.History, func(e escalate.Event) bool {
			return e.Kind == escalate.Reopen && slices.Equal(e.Said, []care.EntryID{care.EntryID(newest.ID)})
		}) {
			t.Errorf("%v, %+v; want a reopening that names the stop %s that it wrote", err, a.History, newest.ID)
		}
		return nil
	})
	reply := decode[struct{ Changes []json.RawMessage }](t, s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, ""))
	if last := string(reply.Changes[len(reply.Changes)-1]); !strings.Contains(last, `"id":"`+newest.ID+`"`) || !strings.Contains(last, `"by_name":"C"`) {
		t.Errorf("the phone's last entry is %s, want the stop under the name of who opened it", last)
	}
	s.says("POST", alert+"/reopen", "desk", `{"text":"again"}`, 409, "not-closed")
	if n := len(s.wear("desk").Causes); n != len(w.Causes) {
		t.Errorf("reopening an open alert wrote a stop: %d causes, had %d", n, len(w.Causes))
	}
}

// A closing that resumed nothing leaves nothing to take back.
func TestReopeningWritesNothingElse(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.report(1)
	list := decode[struct{ Alerts []struct{ ID string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, ""))
	alert := "/api/clinic/alerts/" + list.Alerts[0].ID
	s.says("POST", alert+"/call", "clinician", `{"result":"reached"}`, 200, "")
	s.says("POST", alert+"/close", "clinician", `{"outcome":"spoken-to","note":"phoned","decision":"stays","causes":["`+id+
		`"],"entries":[{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-03-31"}}]}`, 200, `"stays"`)
	before := len(s.wear("desk").Causes)
	s.says("POST", alert+"/reopen", "desk", `{"text":"phoned back"}`, 200, `"state":"open"`)
	if n := len(s.wear("desk").Causes); n != before {
		t.Errorf("%d causes after the reopening, had %d", n, before)
	}
}
