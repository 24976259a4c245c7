package web_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// Before an erasure an administrator reads whom and what it takes. From then on
// nothing of the family is shown, told or taken in; put back within the day, all of
// it is there again, and its phone goes on. While an alert is open nothing is erased.
func TestAnErasedFamilyIsNowhereUntilItIsPutBack(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"symptoms","body":{"left":{"pain":"severe"}}}`)), 200, `"level":"emergency"`)
	what := decode[struct {
		Name          string
		Wearers       []string
		Entries, Open int
	}](t, s.says("GET", "/api/clinic/families/f1/erasure", "admin", "", 200, ""))
	if what.Name == "" || len(what.Wearers) == 0 || what.Entries != 1 || what.Open != 1 {
		t.Errorf("it would take %+v", what)
	}
	shown := map[string]string{}
	for path, who := range map[string]string{
		"/api/clinic/alerts": "clinician", "/api/clinic/today": "clinician", "/api/clinic/wearers": "clinician", "/api/clinic/recalls": "desk",
	} {
		shown[path] = s.says("GET", path, who, "", 200, "")
	}
	name, _, _ := strings.Cut(what.Wearers[0], " ")
	if !strings.Contains(shown["/api/clinic/alerts"], name) || !strings.Contains(shown["/api/clinic/wearers"], name) {
		t.Fatalf("%q is on no list, so the test shows nothing", name)
	}
	s.says("DELETE", "/api/clinic/families/f1", "admin", "", 409, "recheck-needed")
	s.confirmed("admin", "da")
	s.says("DELETE", "/api/clinic/families/f1", "admin", "", 409, "alert-open")
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, name)
	s.closeAll()
	for path := range shown {
		shown[path] = s.says("GET", path, "clinician", "", 200, "")
	}
	s.says("DELETE", "/api/clinic/families/f1", "admin", "", 200, "")
	for path := range shown {
		if raw := s.says("GET", path, "clinician", "", 200, ""); strings.Contains(raw, `"name":"`+name) || strings.Contains(raw, `"wearer_name":"`+name) {
			t.Errorf("%s still shows %q", path, name)
		}
	}
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","dseq":2,"kind":"note","body":{"text":"x"}}`)), 401, "no-credential")
	s.says("GET", "/api/family", "family", "", 401, "no-credential")
	s.says("GET", "/api/clinic/families/f1", "clinician", "", 404, "not-found")
	s.says("GET", "/api/clinic/families/f1/erasure", "admin", "", 404, "not-found")
	s.sound()
	until := fmt.Sprintf(`"until":%q`, simNow.Add(24*time.Hour).Format(time.RFC3339))
	s.says("GET", "/api/clinic/leaving", "admin", "", 200, until)

	s.says("POST", "/api/clinic/families/f1/put-back", "admin", "", 200, "")
	s.says("GET", "/api/clinic/leaving", "admin", "", 200, `"leaving":[]`)
	for path, was := range shown {
		if raw := s.says("GET", path, "clinician", "", 200, ""); raw != was {
			t.Errorf("%s, put back:\n%s\nbefore:\n%s", path, raw, was)
		}
	}
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","dseq":2,"kind":"note","body":{"text":"x"}}`)), 200, "accepted")
	s.says("POST", "/api/clinic/families/f1/put-back", "admin", "", 404, "not-found")
	s.says("GET", "/api/clinic/audit", "admin", "", 200, `"did":"took back erasing family"`)
	s.sound()
}

// closeAll closes every alert, in the store alone.
func (s *site) closeAll() {
	s.t.Helper()
	s.update(func(tx *store.Tx) error {
		all, err := tx.Duty().LiveAlerts()
		for _, a := range all {
			a.State, a.ClosedAt = escalate.Closed, tx.Now
			err = errors.Join(err, tx.Duty().PutAlert(a))
		}
		return err
	})
}
