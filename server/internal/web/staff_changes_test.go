package web_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// change is the id of the newest change of staff as somebody of the practice is
// shown it, and whether they may confirm it.
func (s *site) change(who string) (id string, may bool) {
	s.t.Helper()
	me := decode[struct {
		StaffChanges []struct {
			ID  string
			May bool
		} `json:"staff_changes"`
	}](s.t, s.says("GET", "/api/clinic/me", who, "", 200, ""))
	if len(me.StaffChanges) == 0 {
		return "", false
	}
	last := me.StaffChanges[len(me.StaffChanges)-1]
	return last.ID, last.May
}

// linkCode is the code of a link just made.
func (s *site) linkCode(method, path, body string) string {
	s.t.Helper()
	url := decode[struct{ URL string }](s.t, s.says(method, path, "admin", body, 200, "")).URL
	return url[strings.Index(url, "#")+1:]
}

// An administrator, who sees no wearer, ends up able to read wearers by no way that
// is theirs alone: a clinician they make, a link for one there is, a role that
// reads more. Each waits for a second person, and everybody sees it waiting.
func TestAnAdministratorAloneReadsNoWearer(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	made := s.linkCode("POST", "/api/clinic/staff", `{"name":"Dr Wax","role":"clinician","mail":"","phone":""}`)
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+made+`"}`, 409, "link-waits")
	s.says("POST", "/api/join", "", `{"code":"`+made+`","device_name":"Phone","consent":"2"}`, 409, "link-waits")
	id, may := s.change("admin")
	if may {
		t.Error("whoever made it is offered to confirm it")
	}
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "admin", `{}`, 409, "second-person")

	if _, may := s.change("desk"); !may {
		t.Error("the desk is not asked")
	}
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "desk", `{}`, 409, "recheck-needed")
	s.confirmed("desk", "dk")
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "desk", `{}`, 200, "")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+made+`"}`, 200, "")
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "desk", `{}`, 404, "no-such-change")

	old := s.linkCode("POST", "/api/clinic/staff/c1/link", `{}`)
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+old+`"}`, 409, "link-waits")
	id, _ = s.change("desk")
	s.says("DELETE", "/api/clinic/staff-changes/"+id, "desk", "", 200, "")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+old+`"}`, 422, "bad-invitation")
	s.says("GET", "/api/clinic/wearers", "clinician", "", 200, "") // who was linked anew stays

	s.says("PUT", "/api/clinic/staff/k1", "admin", `{"name":"K","role":"clinician","mail":"","phone":""}`, 200, "")
	s.says("GET", "/api/clinic/wearers/w1/review", "desk", "", 403, "not-allowed")
	id, may = s.change("desk")
	if may {
		t.Error("whom it concerns is offered to confirm it")
	}
	s.confirmed("clinician", "dc")
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "clinician", `{}`, 200, "")
	s.says("GET", "/api/clinic/wearers/w1/review", "desk", "", 200, "")
	if !s.audited("c1", "confirmed staff change", "k1") {
		t.Error("the audit log does not say who confirmed it")
	}
}

// Whoever was never let in is nobody to hand an alert to, nor to be on duty: the console
// does not offer them, and the server says why not. Confirmed, they are both.
func TestWhoIsNotLetInYetAnswersNoAlert(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.report(1)
	s.confirmed("admin", "da")
	s.linkCode("POST", "/api/clinic/staff", `{"name":"Dr Wax","role":"clinician","mail":"","phone":""}`)
	var wax care.PersonID
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		for _, p := range staff {
			if p.Name == "Dr Wax" {
				wax = p.ID
			}
		}
		return err
	})
	offered := func() bool {
		me := decode[struct{ Staff []struct{ Name string } }](t, s.says("GET", "/api/clinic/me", "clinician", "", 200, ""))
		return slices.ContainsFunc(me.Staff, func(p struct{ Name string }) bool { return p.Name == "Dr Wax" })
	}
	if offered() {
		t.Error("the console offers whoever is not let in")
	}
	now := decode[map[string]any](t, s.says("GET", "/api/clinic/settings", "admin", "", 200, ""))
	put := map[string]any{"rota": escalate.Rota{Zone: "Europe/Lisbon", Slots: []escalate.Slot{{Weekday: 1, To: 8 * 60, Person: "c1", Deputy: wax}}}}
	for _, k := range []string{"practice", "policy", "rule_settings", "revision"} {
		put[k] = now[k]
	}
	body, err := json.Marshal(put)
	if err != nil {
		t.Fatal(err)
	}
	if _, raw := s.call("PUT", "/api/clinic/settings", "admin", string(body)); !strings.Contains(raw, "rota.slots.0.deputy: whoever was chosen") || strings.Contains(raw, "slots.0.person:") {
		t.Errorf("on the rota: %.400s", raw)
	}
	s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/hand-over", "clinician", `{"to":"`+string(wax)+`"}`, 422, "who is let in")
	id, _ := s.change("desk")
	s.confirmed("desk", "dk")
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "desk", `{}`, 200, "")
	if !offered() {
		t.Error("once confirmed the console does not offer them")
	}
	s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/hand-over", "clinician", `{"to":"`+string(wax)+`"}`, 200, "")
}

// A role that may what the one before may not waits for a second person, whichever way it
// goes; only a clinician who goes to the desk may nothing new. Whoever answers no alerts
// any more lets go of those they have.
func TestARoleThatRaisesRightsWaits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		who, token, from, to string
		waits                bool
	}{
		{"k1", "desk", "desk", "administrator", true}, {"k1", "desk", "desk", "clinician", true},
		{"c1", "clinician", "clinician", "administrator", true}, {"c1", "clinician", "clinician", "desk", false},
		{"a2", "second", "administrator", "clinician", true}, {"a2", "second", "administrator", "desk", true},
	} {
		t.Run(c.from+" to "+c.to, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.update(func(tx *store.Tx) error {
				return errors.Join(tx.Register().AddPerson(care.Person{ID: "a2", Name: "B", Role: care.Administrator}),
					tx.Register().AddDevice(care.Device{ID: "db", Person: "a2", Created: tx.Now}),
					tx.Access().AddCredential("second", register.Credential{Device: "db", Created: tx.Now}),
					tx.Register().AddPerson(care.Person{ID: "k2", Name: "L", Role: care.Desk}),
					tx.Register().AddDevice(care.Device{ID: "dl", Person: "k2", Created: tx.Now}),
					tx.Access().AddCredential("witness", register.Credential{Device: "dl", Created: tx.Now}))
			})
			s.report(1)
			if c.from == "clinician" {
				s.taken()
			}
			s.confirmed("admin", "da")
			is := func(role string) {
				t.Helper()
				s.says("GET", "/api/clinic/me", c.token, "", 200, `"role":"`+role+`"`)
			}
			s.says("PUT", "/api/clinic/staff/"+c.who, "admin", `{"name":"N","role":"`+c.to+`","mail":"","phone":""}`, 200, "")
			if !c.waits {
				is(c.to)
				return
			}
			is(c.from)
			id, may := s.change("witness")
			if !may {
				t.Error("a second person is not asked")
			}
			s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "admin", `{}`, 409, "second-person")
			s.confirmed("witness", "dl")
			s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "witness", `{}`, 200, "")
			is(c.to)
			if c.from == "clinician" {
				s.says("GET", "/api/clinic/alerts", "witness", "", 200, `"state":"open"`)
			}
		})
	}
}

// Whoever was made and refused is not of the practice.
func TestARefusedMemberOfStaffIsGone(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	s.confirmed("clinician", "dc")
	made := s.linkCode("POST", "/api/clinic/staff", `{"name":"Dr Wax","role":"clinician","mail":"","phone":""}`)
	id, _ := s.change("clinician")
	s.says("DELETE", "/api/clinic/staff-changes/"+id, "clinician", "", 200, "")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+made+`"}`, 422, "bad-invitation")
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		for _, p := range staff {
			if p.Name == "Dr Wax" && !p.Gone {
				t.Error("a refused member of staff is still there")
			}
		}
		return err
	})
}

// Everybody of the practice with a mail address is told when somebody may come to
// read wearers.
func TestEverybodyIsToldOfNewStaff(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	s.linkCode("POST", "/api/clinic/staff", `{"name":"Dr Wax","role":"clinician","mail":"","phone":""}`)
	told := map[care.PersonID]bool{}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		rows, err := tx.Duty().Ready(tx.Now)
		for _, r := range rows {
			told[r.Target] = told[r.Target] || r.Kind == "staff"
		}
		return err
	})
	for _, who := range []care.PersonID{"c1", "k1", "a1", "practice-owner"} {
		if !told[who] {
			t.Errorf("%s is not told", who)
		}
	}
}

// Another mail address of somebody, or of the owner, is told to everybody, and stands in
// everybody's console; the same address again is no news, nor is a first one.
func TestAnotherMailAddressIsTold(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	notices := func() (n int) {
		_ = s.srv.DB.View(func(tx *store.Tx) error {
			rows, err := tx.Duty().Ready(tx.Now)
			for _, r := range rows {
				if r.Kind == "staff" && r.Target == "c1" {
					n++
				}
			}
			return err
		})
		return n
	}
	put := func(mail string) {
		t.Helper()
		s.says("PUT", "/api/clinic/staff/c1", "admin", `{"name":"Dr C","role":"clinician","mail":"`+mail+`","phone":""}`, 200, "")
	}
	for _, step := range []struct {
		mail string
		told int
	}{{"", 0}, {"old@clinic.example", 0}, {"OLD@clinic.example", 0}, {"new@clinic.example", 1}, {"", 2}} {
		if step.mail == "" && step.told == 0 {
			s.update(func(tx *store.Tx) error {
				return tx.Register().ChangePerson("c1", func(p *care.Person) { p.Mail = "" })
			})
		}
		put(step.mail)
		if n := notices(); n != step.told {
			t.Errorf("to %q: %d notices, want %d", step.mail, n, step.told)
		}
	}
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"kind":"mail","name":"Dr C"`)
	owner := func(mail string) {
		t.Helper()
		now := decode[map[string]any](t, s.says("GET", "/api/clinic/settings", "admin", "", 200, ""))
		put := map[string]any{}
		for _, k := range []string{"practice", "policy", "rule_settings", "revision", "rota"} {
			put[k] = now[k]
		}
		p := put["practice"].(map[string]any)
		p["owner_mail"], p["name"], p["zone"], p["country"], p["languages"] = mail, "P", "Europe/Lisbon", "PT", []string{"en"}
		contacts := p["contacts"].(map[string]any)
		contacts["clinic"], contacts["phone"], contacts["emergency_number"], contacts["zone"] = "P", "+351 21 000 00 00", "112", "Europe/Lisbon"
		put["rota"] = escalate.Rota{Zone: "Europe/Lisbon"}
		body, err := json.Marshal(put)
		if err != nil {
			t.Fatal(err)
		}
		s.says("PUT", "/api/clinic/settings", "admin", string(body), 200, "")
	}
	owner("first@clinic.example")
	if n := notices(); n != 2 {
		t.Errorf("a first address of the owner: %d notices, want none more", n)
	}
	owner("second@clinic.example")
	if n := notices(); n != 3 {
		t.Errorf("another address of the owner: %d notices, want one more", n)
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		if was, err := tx.Register().FormerMails(escalate.PracticeOwner); err != nil || !slices.Equal(was, []string{"first@clinic.example"}) {
			t.Errorf("the owner's former address: %q, %v", was, err)
		}
		return nil
	})
}

// A device of somebody's was lost: a new link alone leaves the browser signed in; with
// "lost" the browser, the passkey and the open link end at once, the new link waits for a
// second person as any other, and nobody does it to themselves.
func TestALostDeviceEndsAtOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	s.update(func(tx *store.Tx) error {
		return tx.Access().PutPasskey(register.Passkey{ID: "pk", Person: "c1", Name: "phone"})
	})
	old := s.linkCode("POST", "/api/clinic/staff/c1/link", `{}`)
	s.says("GET", "/api/clinic/wearers", "clinician", "", 200, "")
	s.says("POST", "/api/clinic/staff/a1/lost", "admin", `{}`, 409, "not-oneself")
	s.says("POST", "/api/clinic/staff/p1/lost", "admin", `{}`, 404, "no-such-staff") // of a family, whose phones stay
	s.says("GET", "/api/devices", "family", "", 200, "")
	fresh := s.linkCode("POST", "/api/clinic/staff/c1/lost", `{}`)
	s.says("GET", "/api/clinic/wearers", "clinician", "", 401, "")
	s.update(func(tx *store.Tx) error {
		if left, err := tx.Access().Passkeys("c1"); err != nil || len(left) != 0 {
			t.Errorf("passkeys left: %v, %v", left, err)
		}
		return nil
	})
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+old+`"}`, 422, "bad-invitation")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+fresh+`"}`, 409, "link-waits")
	s.confirmed("desk", "dk")
	id, _ := s.change("desk")
	s.says("POST", "/api/clinic/staff-changes/"+id+"/confirm", "desk", `{}`, 200, "")
	s.says("POST", "/api/clinic/sign-in", "", `{"code":"`+fresh+`"}`, 200, "")
}
