package web_test

import "testing"

// Each has the console in a language of their own, kept with the account: no
// colleague's changes, and what is none of ours changes nothing.
func TestTheConsolesLanguageIsOnesOwn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"language":""`)
	s.says("PUT", "/api/clinic/language", "clinician", `{"language":"ar"}`, 200, "")
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"language":"ar"`)
	s.says("GET", "/api/clinic/me", "desk", "", 200, `"language":""`)
	s.says("PUT", "/api/clinic/language", "clinician", `{"language":"xx"}`, 422, "bad-language")
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"language":"ar"`)
	s.says("PUT", "/api/clinic/language", "clinician", `{"language":""}`, 200, "")
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"language":""`)
}
