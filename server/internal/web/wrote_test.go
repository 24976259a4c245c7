package web_test

import (
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store"
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
