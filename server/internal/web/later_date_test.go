package web_test

import (
	"fmt"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
)

// What a clinician says last of when lenses are worn again is what holds, however an
// earlier release had it: a later date holds longer, a check that is asked for since is
// asked for, an earlier date frees sooner. (The design of the wear state: a later date is
// a stop and a new resume in one transaction, an earlier one a new resume.)
func TestTheLastDateSaidHolds(t *testing.T) {
	t.Parallel()
	const path, both = "/api/clinic/wearers/w1/say", "2026-04-06"
	for name, c := range map[string]struct {
		first, second string // from when, of the first release and of the second
		check         bool   // asked for by the second alone
		until         string
		stops         int  // written by the server
		asked         bool // on the night of the second, a check is asked for
	}{
		"later":                        {"2026-03-30", both, false, both, 1, false},
		"later, with a check":          {"2026-03-30", both, true, both, 1, true},
		"the same night, with a check": {both, both, true, both, 1, true},
		"the same night":               {both, both, false, both, 0, false},
		"earlier":                      {"2026-04-09", both, false, both, 0, false},
		"earlier, with a check":        {"2026-04-09", both, true, both, 1, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			id := s.report(1)
			s.taken()
			resume := func(causes []string, from string, check bool) string {
				return say(causes, fmt.Sprintf(`{"kind":"resume","body":{"eyes":"both","answers":["%s"],"from":%q,"basis":"examined","check":%t}}`, strings.Join(causes, `","`), from, check))
			}
			s.says("POST", path, "clinician", resume([]string{id}, c.first, false), 200, "")
			s.says("POST", path, "clinician", resume(s.wear("clinician").Causes, c.second, c.check), 200, "")
			all := s.wear("clinician")
			stops := 0
			for _, e := range all.Entries {
				if e.Kind == "cease" {
					stops++
				}
			}
			if stops != c.stops {
				t.Errorf("%d stops were written beside it, want %d", stops, c.stops)
			}
			w := all.Wear
			if w.Right.State != "stop" || w.Right.Until != c.until || w.Left != w.Right {
				t.Errorf("tonight: %+v, want a stop until %s", w, c.until)
			}
			states := s.eyesOn(t, civil.MustDate(c.second))
			if want := map[bool]string{true: "rest", false: "none"}[c.asked]; states[0].String() != want || states[1].String() != want {
				t.Errorf("on the night of the second date: %v, want %s", states, want)
			}
			if states := s.eyesOn(t, civil.MustDate(c.second).AddDays(-1)); states[0].String() != "stop" {
				t.Errorf("the night before: %v, want a stop", states)
			}
			// After the last date of all, nothing but the check that was asked for holds.
			if states := s.eyesOn(t, civil.MustDate("2026-04-20")); (states[0].String() == "rest") != c.asked {
				t.Errorf("in the end: %v, want a check asked for: %t", states, c.asked)
			}
		})
	}
}

// A rest of which a clinician says "again from" a later night is no shorter for a check
// of the family that finds nothing: the family reads the date.
func TestADateOfARestHolds(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "not-worn", `{"eyes":"both","reason":"sore-eye"}`), 200, `"accepted"`)
	w := s.wear("clinician")
	if w.Wear.Right.State != "rest" || len(w.Causes) != 1 {
		t.Fatalf("not worn for a sore eye: %+v", w)
	}
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(w.Causes, fmt.Sprintf(`{"kind":"resume","body":{"eyes":"both","answers":[%q],"from":"2026-04-06","basis":"by-telephone"}}`, w.Causes[0])), 200, `"reason":"other"`)
	if w := s.wear("clinician").Wear; w.Right.State != "stop" || w.Right.Until != "2026-04-06" || w.Left.Until != "2026-04-06" {
		t.Errorf("%+v, want no lens until 6 April", w)
	}
}
