package web_test

import (
	"strconv"
	"strings"
	"testing"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A phone says which table of rules it advises by; one that has an older one
// than this program, or never said, is on the practice's list, and once a
// clinician has pressed the table its app is told that its advice is old. Nobody
// else presses, and what a phone says that is no version changes nothing.
func TestOldRulesAreListedAndPressed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	table := strconv.Itoa(alerts.Default().Version)
	list := func(who string) string {
		t.Helper()
		status, body := s.call("GET", "/api/clinic/old-phones", who, "")
		if status != 200 {
			t.Fatalf("%d %s", status, body)
		}
		return body
	}
	if !strings.Contains(list("desk"), `"person":"P","device":"","rules":0`) {
		t.Errorf("a phone that never said is not listed: %s", list("desk"))
	}
	for _, tc := range []struct{ says, has string }{{"1", `"rules":1`}, {"two", `"rules":1`}, {"-3", `"rules":1`}, {"99999999999", `"rules":1`}} {
		if _, family := s.call("GET", "/api/family?rules="+tc.says, "family", ""); strings.Contains(family, "least_rules") {
			t.Errorf("nothing was pressed, and the phone is told so: %s", family)
		}
		if got := list("clinician"); !strings.Contains(got, tc.has) {
			t.Errorf("a phone that says %q: %s, want %s", tc.says, got, tc.has)
		}
	}
	for _, who := range []string{"desk", "admin", "family"} {
		if status, _ := s.call("POST", "/api/clinic/old-phones", who, "{}"); status == 200 {
			t.Errorf("%s pressed the rules", who)
		}
	}
	s.confirmed("clinician", "dc")
	if status, body := s.call("POST", "/api/clinic/old-phones", "clinician", "{}"); status != 200 || !strings.Contains(body, `"pressed":`+table) {
		t.Errorf("%d %s, want the table of alerts/rules.json pressed", status, body)
	}
	if _, family := s.call("GET", "/api/family?rules=1", "family", ""); !strings.Contains(family, `"least_rules":`+table) {
		t.Errorf("the phone is not told that its advice is old: %s", family)
	}
	s.call("GET", "/api/family?rules="+table, "family", "")
	if got := list("clinician"); strings.Contains(got, `"person":"P"`) {
		t.Errorf("a phone that has the table is still listed: %s", got)
	}
}

// The card says what language the family's phone is set to while nobody has asked the
// family; a tag that is no language of ours says nothing, and the family's own word
// goes before.
func TestTheCardSaysThePhonesLanguage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "check-open", "2026-03-27", `{"eyes":"left"}`)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"dseq":2,"id":"01900000-0000-7000-8000-000000000002","kind":"morning","night":"2026-03-27","hlc":"1774734000002-0000","body":{"redness":3,"comfort":4}}`)), 200, `"accepted"`)
	for _, tc := range []struct{ says, card string }{{"", ""}, {"tlh", ""}, {"ar", `"phone_language":"ar"`}, {"../x", `"phone_language":"ar"`}, {"zh-Hant", `"phone_language":"zh-Hant"`}} {
		s.says("GET", "/api/family?rules=1&lang="+tc.says, "family", "", 200, "")
		got := s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"alerts":[{`)
		if tc.card == "" && strings.Contains(got, "phone_language") || !strings.Contains(got, tc.card) {
			t.Errorf("the phone says %q: want %s in %s", tc.says, tc.card, got)
		}
	}
	s.update(func(tx *store.Tx) error {
		return tx.Register().ChangeFamily("f1", func(f *care.Family) { f.Language = "es" })
	})
	if got := s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"language":"es"`); strings.Contains(got, "phone_language") {
		t.Errorf("beside the family's own word stands the phone's: %s", got)
	}
}
