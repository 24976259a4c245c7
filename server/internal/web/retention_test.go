package web_test

import (
	"encoding/json"
	"fmt"
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
			tx.Register().AddFamily(care.Family{ID: "old", Name: "Secret", Zone: "Europe/Lisbon", Created: long}),
			tx.Register().AddWearer(care.Wearer{ID: "wo", Family: "old", Name: "O", Code: "W-9", Birth: "2001-01-01"}),
			tx.Register().AddPerson(care.Person{ID: "po", Family: "old", Name: "P", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "do", Family: "old", Person: "po", Created: long, LastSeen: long}),
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
		"a visit": func(tx *store.Tx) error {
			return tx.Chart().PutVisit("wo", "v", json.RawMessage(`{"date":"2016-03-29"}`))
		},
		"a plan": func(tx *store.Tx) error { _, err := tx.Chart().PutPlan("wo", "c1", json.RawMessage(`{}`)); return err },
		"a phone": func(tx *store.Tx) error {
			if err := tx.Register().AddPerson(care.Person{ID: "po", Family: "old", Role: care.Parent}); err != nil {
				return err
			}
			return tx.Register().AddDevice(care.Device{ID: "do", Family: "old", Person: "po", LastSeen: long.Add(48 * time.Hour)})
		},
	} {
		one := newSite(t)
		one.confirmed("admin", "da")
		one.update(func(tx *store.Tx) error {
			if err := tx.Register().AddFamily(care.Family{ID: "old", Created: long}); err != nil {
				return err
			}
			if err := tx.Register().AddWearer(care.Wearer{ID: "wo", Family: "old"}); err != nil {
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

// Lines of the audit log and entries kept unread go when their years are over,
// when the administrator says so and has confirmed, and not before; that is
// written down, and the page of the log goes on from the cut.
func TestOldLinesAndHeldEntries(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	now := simNow
	s.update(func(tx *store.Tx) error {
		tx.Now = now.AddDate(-2, 0, -1) // two years and a day ago
		for range 3 {
			if err := tx.Audit().Append("c1", "read review", "w1"); err != nil {
				return err
			}
		}
		tx.Now = now
		for n, at := range []time.Time{now.AddDate(-2, 0, -1), now.AddDate(-2, 0, 1), {}} {
			e := care.Entry{ID: care.EntryID(fmt.Sprintf("e%d", n)), Device: "d1", DSeq: uint64(n + 1)}
			raw := fmt.Sprintf(`{"v":9,"hlc":"%013d-0000"}`, at.UnixMilli())
			if at.IsZero() {
				raw = `{"v":9}` // nobody knows when: kept
			}
			if err := tx.Log().KeepHeld("f1", &e, []byte(raw)); err != nil {
				return err
			}
		}
		return nil
	})
	type reply struct {
		AuditDue int `json:"audit_due"`
		Held     int
		HeldDue  int `json:"held_due"`
	}
	const keep = "/api/clinic/retention"
	holds := func(raw string, want reply) {
		t.Helper()
		if d := cmp.Diff(want, decode[reply](t, raw)); d != "" {
			t.Errorf("(-want +got):\n%s", d)
		}
	}
	s.confirmed("admin", "da")
	holds(s.says("DELETE", "/api/clinic/audit", "admin", "", 200, ""), reply{0, 3, 0}) // no rule: nothing is old
	holds(s.says("DELETE", "/api/clinic/held", "admin", "", 200, ""), reply{0, 3, 0})
	s.says("PUT", keep, "admin", `{"audit_years":101}`, 422, "audit_years")
	s.says("PUT", keep, "admin", `{"held_years":-1}`, 422, "held_years")
	holds(s.says("PUT", keep, "admin", `{"audit_years":3,"held_years":3}`, 200, ""), reply{0, 3, 0})
	holds(s.says("PUT", keep, "admin", `{"audit_years":2,"held_years":2}`, 200, ""), reply{3, 3, 1})
	s.says("GET", "/api/clinic/audit", "admin", "", 200, "read review")

	s.says("DELETE", "/api/clinic/audit", "clinician", "", 403, "")
	holds(s.says("DELETE", "/api/clinic/audit", "admin", "", 200, ""), reply{0, 3, 1})
	holds(s.says("DELETE", "/api/clinic/held", "admin", "", 200, ""), reply{0, 2, 0})
	page := decode[struct {
		Lines []struct {
			Seq       int
			Did, What string
		}
		Older, Broken, Cut int
	}](t, s.says("GET", "/api/clinic/audit", "admin", "", 200, ""))
	did := []string{}
	for _, l := range page.Lines {
		did = append(did, fmt.Sprint(l.Seq, " ", l.Did))
	}
	want := []string{"7 forgot held entries", "6 cut audit log", "5 changed time of keeping", "4 changed time of keeping"}
	if d := cmp.Diff(want, did); d != "" || page.Older != 0 || page.Broken != 0 || page.Cut != 3 {
		t.Errorf("older %d, broken %d, cut %d (-want +got):\n%s", page.Older, page.Broken, page.Cut, d)
	}
	s.says("GET", "/api/clinic/audit?before=2", "admin", "", 200, `"lines":[]`)
}

// Without a confirmation nothing is cut and nothing forgotten.
func TestForgettingNeedsAConfirmation(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("DELETE", "/api/clinic/audit", "admin", "", 409, "recheck-needed")
	s.says("DELETE", "/api/clinic/held", "admin", "", 409, "recheck-needed")
}
