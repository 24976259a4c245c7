package web_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Without a rule nothing is due. With one, only a family without any sign of
// life for that long is listed, by id; setting it needs a confirmation, is
// written down, and erases nothing; erasing it takes it off the list.
func TestRetention(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	long := simNow.AddDate(-10, 0, -1) // ten years and a day ago
	s.update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.PutFamily(care.Family{ID: "old", Name: "Secret", Zone: "Europe/Lisbon", Created: long}),
			tx.PutWearer(care.Wearer{ID: "wo", Family: "old", Name: "O", Code: "W-9", Birth: "2001-01-01"}),
			tx.PutPerson(care.Person{ID: "po", Family: "old", Name: "P", Role: care.Parent}),
			tx.PutDevice(care.Device{ID: "do", Family: "old", Person: "po", Created: long, LastSeen: long}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	const at = "/api/clinic/retention"
	type reply struct {
		Years int
		Due   []struct{ Family, Last, Until string }
	}
	due := func(raw string) (ids []string) {
		for _, d := range decode[reply](t, raw).Due {
			ids = append(ids, d.Family)
		}
		return ids
	}
	if ids := due(s.says("GET", at, "admin", "", 200, `"years":0`)); len(ids) > 0 {
		t.Errorf("due without a rule: %v", ids)
	}
	s.says("PUT", at, "admin", `{"years":10}`, 409, "recheck-needed")
	s.confirmed("admin", "da")
	s.says("PUT", at, "admin", `{"years":101}`, 422, "years")
	raw := s.says("PUT", at, "admin", `{"years":10,"until_age":25}`, 200, "")
	if d := cmp.Diff([]string{"old"}, due(raw)); d != "" {
		t.Errorf("due (-want +got):\n%s", d)
	}
	s.says("GET", "/api/clinic/audit", "admin", "", 200, "changed time of keeping")
	s.says("GET", "/api/clinic/families/old", "clinician", "", 200, "Secret") // it is still there
	for what, alive := range map[string]func(tx *store.Tx) error{
		"a visit": func(tx *store.Tx) error { return tx.PutVisit("wo", "v", json.RawMessage(`{"date":"2016-03-29"}`)) },
		"a plan":  func(tx *store.Tx) error { _, err := tx.PutPlan("wo", "c1", json.RawMessage(`{}`)); return err },
		"a phone": func(tx *store.Tx) error {
			return tx.PutDevice(care.Device{ID: "do", Family: "old", Person: "po", LastSeen: long.Add(48 * time.Hour)})
		},
	} {
		one := newSite(t)
		one.confirmed("admin", "da")
		one.update(func(tx *store.Tx) error {
			if err := tx.PutFamily(care.Family{ID: "old", Created: long}); err != nil {
				return err
			}
			if err := tx.PutWearer(care.Wearer{ID: "wo", Family: "old"}); err != nil {
				return err
			}
			return alive(tx)
		})
		if ids := due(one.says("PUT", at, "admin", `{"years":10}`, 200, "")); len(ids) > 0 {
			t.Errorf("due in spite of %s: %v", what, ids)
		}
	}
	s.says("DELETE", "/api/clinic/families/old", "admin", "", 200, "")
	if ids := due(s.says("GET", at, "admin", "", 200, "")); len(ids) > 0 {
		t.Errorf("due after the erasure: %v", ids)
	}
}
