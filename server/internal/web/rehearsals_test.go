package web_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store"
)

func contains(list, word string) bool { return slices.Contains(strings.Fields(list), word) }

// A backup that was never tried is said in health and in the steps; one that did
// not work changes nothing of that, one that worked ends it for a quarter of a
// year, which is 92 days at most. Each result is kept, with who noted it.
func TestARehearsalIsNotedAndDueAgainAfterAQuarter(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.srv.Facts = backedUp(0)
	const at = "/api/clinic/rehearsals"
	untried := func(want bool) {
		t.Helper()
		if got := s.settings("GET", "admin", "", 200).missing(); contains(got, "readback") != want {
			t.Errorf("not set: %s", got)
		}
	}
	s.says("GET", "/healthz", "", "", 200, `"troubles":["rehearsal"]`)
	untried(true)
	s.says("POST", at, "clinician", `{"backup":"2026-03-01","worked":true,"note":""}`, 403, "")
	s.says("POST", at, "admin", `{"backup":"2026-03-01","worked":false,"note":" "}`, 422, "what went wrong")
	s.says("POST", at, "admin", `{"backup":"2999-01-01","worked":true,"note":""}`, 422, "today at the latest")
	s.says("POST", at, "admin", `{"backup":"1999-01-01","worked":true,"note":""}`, 422, "of the last year")
	s.says("POST", at, "admin", `{"backup":"2026-03-01","worked":false,"note":"the key was lost"}`, 200, `"note":"the key was lost"`)
	s.says("GET", "/healthz", "", "", 200, `"troubles":["rehearsal"]`)
	untried(true)
	s.says("POST", at, "admin", `{"backup":"2026-03-01","worked":true,"note":""}`, 200, `"by":"A","backup":"2026-03-01","worked":true,"note":""},{`)
	s.says("GET", "/healthz", "", "", 200, `"troubles":[]`)
	untried(false)
	if !s.audited("a1", "noted rehearsal", "worked") {
		t.Error("who noted it is not in the audit log")
	}
	s.update(func(tx *store.Tx) error { return tx.Register().SetReadBack(simNow.Add(-93 * 24 * time.Hour)) })
	s.says("GET", "/healthz", "", "", 200, `"troubles":["rehearsal"]`)
	s.says("GET", "/status", "", "", 200, "last tried 93 days ago")
	if got := s.settings("GET", "admin", "", 200).missing(); !contains(got, "rehearsal") || contains(got, "readback") {
		t.Errorf("not set: %s", got)
	}
}
