package web_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
)

// onClock is a sync of one entry from a phone whose clock is days off; the entry is one of
// tonight, or of last night where it is a morning, by that clock.
func onClock(days int, kind, body string) string {
	at := simNow.AddDate(0, 0, days)
	night := at
	if kind == "morning" {
		night = at.AddDate(0, 0, -1)
	}
	v := 1
	if kind == "check-open" {
		v = 3
	}
	e := entryJSON(fmt.Sprintf(`{"kind":%q,"v":%d,"night":%q,"wall":%q,"hlc":"%d-0000","body":%s}`,
		kind, v, night.Format(time.DateOnly), at.Format("2006-01-02T15:04:05"), at.UnixMilli(), body))
	return strings.Replace(syncBody(e), `]}`, `],"now":"`+at.Format(time.RFC3339)+`"}`, 1)
}

// A phone's clock that is days off, either way, silences nothing: what the family says
// under a stop, or of a sore eye, stops or rests and is told to the practice as from a phone
// whose clock is right (the design of the wear state, "tonight or last night": by the
// server's clock, as far as it is known how wrong the phone's is).
func TestAWrongClockSilencesNothing(t *testing.T) {
	t.Parallel()
	const cease = `{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}}`
	for _, c := range []struct{ kind, body, before, wear, told string }{
		{"insertion", `{"at":"22:00","eyes":"both"}`, cease, "stop", "urgent both"},
		{"morning", `{"comfort":0}`, "", "rest", "routine "},
		{"morning", `{"redness":3}`, "", "stop", "urgent "},
		{"morning", `{"comfort":4,"moved":"stuck"}`, "", "none", "urgent "},
		{"not-worn", `{"eyes":"right","reason":"sore-eye"}`, "", "rest", "routine right"},
		{"check-open", `{"eyes":"right"}`, "", "rest", "routine right"},
		{"symptoms", `{"right":{"pain":"persists"}}`, "", "stop", "emergency right"},
	} {
		for _, days := range []int{0, 3, -3, 330, -365} {
			s := newSite(t)
			if c.before != "" {
				s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, c.before), 200, `"cease"`)
			}
			s.says("POST", "/api/sync", "family", onClock(days, c.kind, c.body), 200, `"accepted"`)
			var told []string
			for _, a := range s.queue() {
				told = append(told, a.Level+" "+a.Eye)
			}
			if w := s.wear("desk").Wear; w.Right.State != c.wear || strings.Join(told, ", ") != c.told {
				t.Errorf("%s %s, %d days off: wear %+v, told %q; want %s and %q", c.kind, c.body, days, w, told, c.wear, c.told)
			}
		}
	}
}

// A report from a phone whose clock is three days ahead holds from the night in which it
// was written, in the review and in the files as in every list: never from a day to come.
func TestAFastPhonesStopIsOfTonight(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", onClock(3, "symptoms", `{"right":{"pain":"severe"}}`), 200, `"accepted"`)
	tonight := civil.NightOf(simNow, simNow.Location())
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"since":"`+tonight.String()+`"`)
}
