package web_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store"
)

// A file put back from before its key knows nothing of a stop that was decided since, and
// cannot prove what a phone hands in of it. The console names what the phones hold, eye,
// date and name, and the stop holds here as it does there, until a release lists it. What
// a phone writes itself is no such thing.
func TestADecisionThatOnlyAPhoneHolds(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
	all := decode[struct{ Changes []json.RawMessage }](t, s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, ""))
	cease := string(all.Changes[len(all.Changes)-1])

	other := newSite(t) // put back: its file has another key
	other.alsoKnows(t, true)
	type claim struct {
		ID, Kind, By, On, Text string
		Eyes                   []string
		ReviewBy               string `json:"review_by"`
	}
	claims := func() []claim {
		t.Helper()
		today := other.says("GET", "/api/clinic/today", "desk", "", 200, "")
		of := decode[struct{ Claims []claim }](t, other.says("GET", wearPath, "desk", "", 200, "")).Claims
		const said = "held by a phone and not in this data file: no lens, right eye, written 2026-03-28"
		if (len(of) > 0) != strings.Contains(today, said) {
			t.Errorf("%d claims, and Today says %t", len(of), strings.Contains(today, said))
		}
		return of
	}
	own := `{"id":"01900000-0000-7000-8000-000000000032","dseq":32,"wearer":"w1","device":"d1","author":"c1","kind":"cease","v":3,"by_name":"C","mac":"AAAA","body":{"eyes":"both","reason":"report","review_by":"2026-04-02"}}`
	if _, raw := other.call("POST", "/api/sync", "family", syncBody(entryJSON(own))); !strings.Contains(raw, `"not-of-practice"`) || len(claims()) != 0 {
		t.Errorf("a stop that the phone wrote itself: %s", raw)
	}
	for range 2 { // twice, as after a lost reply
		if _, raw := other.call("POST", "/api/sync", "family", syncBody(cease)); !strings.Contains(raw, `"not-of-practice"`) {
			t.Fatalf("the decision was not refused: %s", raw)
		}
	}
	got := claims()
	if len(got) != 1 || got[0].Kind != "cease" || got[0].By != "K" || got[0].On != "2026-03-28" || got[0].ReviewBy != "2026-04-02" || !slices.Equal(got[0].Eyes, []string{"right"}) {
		t.Fatalf("the claims are %+v", got)
	}
	w := other.wear("clinician")
	if w.Wear.Right.State != "stop" || w.Wear.Left.State != "none" || !slices.Contains(w.Causes, got[0].ID) {
		t.Errorf("the phone says no lens in the right eye, the console %+v", w.Wear)
	}
	*other.now = other.now.Add(time.Minute)
	causes, _ := json.Marshal(w.Causes)
	other.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(w.Causes, `{"kind":"resume","body":{"eyes":"right","answers":`+string(causes)+`,"from":"2026-03-28","basis":"examined"}}`), 200, "")
	if w := other.wear("clinician"); w.Wear.Right.State != "none" || len(claims()) != 0 {
		t.Errorf("released by a decision of now: %+v, claims %+v", w.Wear, claims())
	}
}

// A clinician puts a claim away, and the stop holds until a release lists it; no more than
// ten are kept of a wearer, the newest.
func TestAClaimIsPutAway(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.alsoKnows(t, true)
	var ids []string
	for n := 11; n <= 22; n++ {
		day := "2026-03-" + string(rune('0'+n/10)) + string(rune('0'+n%10))
		id := "01900000-0000-7000-8000-0000000001" + day[len(day)-2:]
		ids = append(ids, id)
		e := entryJSON(`{"id":"` + id + `","dseq":` + day[len(day)-2:] + `,"device":"practice-old","author":"c9","kind":"cease","night":"` + day + `","wall":"` + day + `T21:40:00","v":3,"by_name":"Dr A","mac":"AAAA","recv":"2026-03-28T20:00:00Z","body":{"eyes":"both","reason":"report","review_by":"2026-04-02"}}`)
		if _, raw := s.call("POST", "/api/sync", "family", syncBody(e)); !strings.Contains(raw, `"not-of-practice"`) {
			t.Fatal(raw)
		}
	}
	held := func() (out []string) {
		for _, c := range decode[struct{ Claims []struct{ ID string } }](t, s.says("GET", wearPath, "desk", "", 200, "")).Claims {
			out = append(out, c.ID)
		}
		return out
	}
	slices.Reverse(ids)
	if got := held(); !slices.Equal(got, ids[:10]) {
		t.Errorf("kept are %v, want the newest ten, %v", got, ids[:10])
	}
	s.says("DELETE", "/api/clinic/wearers/w1/claims/"+ids[0], "desk", "", 403, "")
	s.says("DELETE", "/api/clinic/wearers/w1/claims/"+ids[0], "clinician", "", 200, "")
	if got := held(); !slices.Equal(got, ids[1:10]) {
		t.Errorf("after the newest was put away: %v", got)
	}
	if w := s.wear("clinician"); w.Wear.Right.State != "stop" || !slices.Contains(w.Causes, ids[0]) {
		t.Errorf("put away, and the stop holds no more: %+v", w.Wear)
	}
	if err := s.srv.DB.View(func(tx *store.Tx) error {
		_, err := tx.Log().Entry("f1", "01900000-0000-7000-8000-000000000111")
		return err
	}); err == nil {
		t.Error("a claim is an entry of the log")
	}
}
