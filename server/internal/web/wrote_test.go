package web_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/register"
)

// What a family writes in its own words, a note or an answer to the clinic, is
// the first reason to call on Today and stands in the review, until somebody has
// spoken to the family after it came; what comes later, on the same day, stands
// again.
func TestWordsOfTheFamilyReachToday(t *testing.T) {
	t.Parallel()
	s := planned(t)
	type page struct {
		Calls struct {
			Calls []struct {
				Wearer  string
				Reasons []struct{ Rule, Evidence, Since string }
			}
		}
	}
	said := func() string {
		t.Helper()
		for _, c := range decode[page](t, s.says("GET", "/api/clinic/today", "desk", "", 200, "")).Calls.Calls {
			if c.Wearer == "w1" && len(c.Reasons) > 0 && c.Reasons[0].Rule == "wrote" {
				return c.Reasons[0].Evidence
			}
		}
		return ""
	}
	if got := said(); got != "" {
		t.Fatalf("before anything was written: %q", got)
	}
	s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000001","dseq":1,"kind":"note","body":{"text":"She <b>squints</b>"}}`),
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"reply","v":3,`+
			`"body":{"text":"He sees double now","to":"01900000-0000-7000-8000-000000000009"}}`)), 200, `"accepted"`)
	got := said()
	for _, words := range []string{"He sees double now", "She <b>squints</b>"} {
		if !strings.Contains(got, words) {
			t.Errorf("Today says %q, not %q", got, words)
		}
	}
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "He sees double now")

	s.says("POST", "/api/clinic/wearers/w1/read", "desk", `{"read":["01900000-0000-7000-8000-00000000000f"]}`, 422, "unknown-entry")
	s.update(func(tx *store.Tx) error { // a call that nobody has read the words before ends nothing
		return tx.Chart().PutFollowUp("w1", register.FollowUp{Reason: "wrote", By: "c1", At: simNow.Add(time.Minute), Outcome: "spoken-to"})
	})
	if said() == "" {
		t.Error("words that nobody has read left Today after a call")
	}
	s.says("POST", "/api/clinic/wearers/w1/read", "desk", `{"read":["01900000-0000-7000-8000-000000000001","01900000-0000-7000-8000-000000000002"]}`, 200, "")
	for _, c := range []struct {
		name, outcome string
		after         time.Duration // of the call, from when the words came
		stands        bool
	}{
		{"spoken to before the words came", "spoken-to", -time.Minute, true},
		{"taken back", "taken-back", time.Minute, true},
		{"spoken to", "spoken-to", time.Minute, false},
	} {
		s.update(func(tx *store.Tx) error {
			f := register.FollowUp{Reason: "wrote", By: "c1", At: simNow.Add(c.after), Outcome: c.outcome}
			return tx.Chart().PutFollowUp("w1", f)
		})
		if got := said(); (got != "") != c.stands {
			t.Errorf("%s: Today says %q, want it to stand: %t", c.name, got, c.stands)
		}
	}
}

// An answer that comes while an alert is live stands on its card.
func TestWordsOfTheFamilyStandOnALiveAlert(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.report(1)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"reply","v":3,`+
		`"body":{"text":"He sees double now","to":"01900000-0000-7000-8000-000000000009"}}`)), 200, `"accepted"`)
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"text":"He sees double now"`)
}

// The words beside a report that raised no alert, and a report that was taken
// back, are words that somebody has to read; however old, they stand on Today and
// on a live alert's card until somebody has.
func TestWordsStandUntilSomebodyHasReadThem(t *testing.T) {
	t.Parallel()
	s := planned(t)
	at := func() string { return string(s.says("GET", "/api/clinic/today", "clinician", "", 200, "")) }
	s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000001","dseq":1,"kind":"symptoms","body":{"right":{"pain":"none"},"note":"Was it the pool?"}}`)), 200, `"accepted"`)
	if page := at(); !strings.Contains(page, "Was it the pool?") || !strings.Contains(page, "nobody has read it") {
		t.Error("a note inside a report without an alert is no reason to call")
	}
	id := s.report(2)
	s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"kind":"retraction","retracts":"`+id+`","body":{"reason":"wrong child"}}`)), 200, `"accepted"`)
	for _, words := range []string{"Was it the pool?", "Took back or changed the report", "wrong child"} {
		s.says("GET", "/api/clinic/alerts", "clinician", "", 200, words)
	}
	s.says("GET", "/api/clinic/wearers/w1/wear", "clinician", "", 200, `"state":"stop"`)
	s.says("POST", "/api/clinic/wearers/w1/read", "clinician", `{"read":["01900000-0000-7000-8000-000000000001"]}`, 200, "")
	if page := at(); strings.Contains(page, "pool?” (nobody has read it)") || !strings.Contains(page, "wrong child” (nobody has read it)") && !strings.Contains(page, "wrong child”” (nobody has read it)") {
		t.Errorf("what was read is marked on, or what nobody has read is not: %s", page)
	}
}

// What a teen writes to the clinicians alone stands in no log: no phone of the
// family, no export for it and no desk reads it. The practice's setting decides.
func TestPrivateWordsReachTheCliniciansAlone(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.teens()
	const secret, body = "I sleep in them at my father's", `{"id":"01900000-0000-7000-8000-000000000021","text":"I sleep in them at my father's"}`
	s.says("POST", "/api/private", "teen", body, 403, "no-private-words")
	allow := func(years int) {
		s.update(func(tx *store.Tx) error {
			p, err := tx.Register().Practice()
			if err != nil {
				return err
			}
			p.PrivateFrom = years
			return errors.Join(tx.Register().SetSetting("practice", p), tx.Register().ChangeWearer("w1", func(w *care.Wearer) { w.Birth = "2012-03-30" }))
		})
	}
	allow(15) // the teen is 14 until the practice's 30 March 2027
	s.says("POST", "/api/private", "teen", body, 403, "no-private-words")
	allow(13)
	s.says("POST", "/api/private", "family", body, 403, "no-private-words") // a parent
	s.says("POST", "/api/private", "teen", body, 200, "")
	s.says("POST", "/api/private", "teen", body, 200, "") // sent again: kept once
	for _, c := range []struct{ method, path, as string }{
		{"POST", "/api/sync", "family"}, {"POST", "/api/sync", "teen"}, {"GET", "/api/clinic/today", "desk"}, {"GET", "/api/clinic/today", "clinician"},
		{"GET", "/api/clinic/wearers/w1/wear", "desk"}, {"GET", "/api/clinic/wearers/w1/review", "clinician"},
	} {
		body := ""
		if c.method == "POST" {
			body = syncBody()
		}
		if raw := string(s.says(c.method, c.path, c.as, body, 200, "")); strings.Contains(raw, secret) {
			t.Errorf("%s %s as %s says the private words", c.method, c.path, c.as)
		}
	}
	s.says("GET", "/api/clinic/wearers/w1/private", "desk", "", 403, "")
	s.says("GET", "/api/clinic/today", "desk", "", 200, "Private words")
	s.says("POST", "/api/clinic/wearers/w1/read", "desk", `{"read":["01900000-0000-7000-8000-000000000021"]}`, 200, "")
	s.says("GET", "/api/clinic/today", "desk", "", 200, "Private words") // the desk has not read them
	if got := string(s.says("GET", "/api/clinic/wearers/w1/private", "clinician", "", 200, secret)); strings.Count(got, secret) != 1 {
		t.Errorf("the clinician reads %s, want the words once", got)
	}
	err := s.srv.DB.View(func(tx *store.Tx) error {
		return tx.Archive().Records("f1", func(r archive.Record) error {
			if strings.Contains(string(r.Value), "father") {
				t.Errorf("the record of the family says the private words, in %s", r.Bucket)
			}
			return nil
		})
	})
	if err != nil {
		t.Error(err)
	}
}
