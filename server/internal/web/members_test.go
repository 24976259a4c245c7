package web_test

import (
	"net/http/httptest"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/store"
)

// members is what the console is told of one.
type members struct {
	Name, Zone string
	People     []struct{ ID, Name, Role, Phone, Wearer string }
	Wearers    []struct{ ID, Name, Code, Birth string }
}

// A family of one child and one parent grows: a brother who will write entries
// himself, and a second parent, whose phone sees both children.
func TestAFamilyGrows(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.placed("")
	const at = "/api/clinic/families/f1"
	s.says("POST", at+"/wearers", "desk", `{"name":"Bo","code":"w-1","birth":""}`, 422, "code-taken") // W has W-1
	s.says("POST", "/api/clinic/families", "desk", `{"name":"N","zone":"Europe/Lisbon","wearer":{"name":"Bo","code":"W-1","birth":""},"people":[{"name":"P","role":"parent","phone":"+44 20 7946 0101"}]}`, 422, `"code":"code-taken"`)
	s.says("POST", at+"/wearers", "desk", `{"name":"Bo","code":"W-9","birth":"9.3.2016"}`, 422, "birth")
	s.says("POST", "/api/clinic/families/none/wearers", "desk", `{"name":"Bo","code":"W-9","birth":""}`, 404, "not-found")
	f := decode[members](t, s.says("POST", at+"/wearers", "desk", `{"name":" Bo ","code":"W-9","birth":"2012-03-09"}`, 200, ""))
	if len(f.Wearers) != 2 {
		t.Fatalf("%d wearers, want 2: what was refused must not be stored", len(f.Wearers))
	}
	bo := f.Wearers[0]
	if bo.Code != "W-9" {
		bo = f.Wearers[1]
	}
	if bo.Name != "Bo" || bo.Birth != "2012-03-09" {
		t.Errorf("stored as %+v", bo)
	}
	s.says("POST", at+"/people", "desk", `{"name":"x","role":"teen","phone":"","wearer":"w2"}`, 422, "bad-wearer") // of another family
	s.says("POST", at+"/people", "desk", `{"name":"x","role":"clinician","phone":""}`, 422, "bad-person")
	f = decode[members](t, s.says("POST", at+"/people", "desk", `{"name":"x","role":"teen","phone":"","wearer":"`+bo.ID+`"}`, 200, ""))
	if teen := f.People[len(f.People)-1]; len(f.People) != 2 || f.People[0].Name != "Bo" && teen.Name != "Bo" {
		t.Errorf("a teen is called as the wearer is: %+v", f.People)
	}
	s.says("POST", at+"/people", "desk", `{"name":"x","role":"teen","phone":"","wearer":"`+bo.ID+`"}`, 422, "bad-wearer") // writes already
	s.says("POST", at+"/people", "clinician", `{"name":"Ann","role":"parent","phone":"+44 2079460123"}`, 200, "+44 20 7946 0123")

	_, ann := s.member("Ann")
	code := decode[struct{ Code string }](t, s.says("POST", at+"/invitations", "desk", `{"person":"`+ann+`"}`, 200, "")).Code
	phone := s.joined(code)
	s.says("GET", "/api/family", phone, "", 200, `"name":"Bo"`)
	s.says("GET", "/api/family", phone, "", 200, `"name":"W"`)
	if !s.audited("k1", "added wearer", bo.ID) || !s.audited("c1", "added person", ann) {
		t.Error("the audit log does not say who added whom")
	}
}

// What was typed wrongly is mended, and only in the family it belongs to.
func TestAFamilyIsCorrected(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	const at = "/api/clinic/families/f1"
	s.says("PUT", at, "desk", `{"name":"New","zone":"Mars/Base"}`, 422, "bad-zone")
	s.says("PUT", at, "desk", `{"name":"New","zone":"Europe/Madrid"}`, 200, `"zone":"Europe/Madrid"`)
	s.says("PUT", at, "desk", `{"name":"New","zone":"Europe/Madrid","language":"xx"}`, 422, `"field":"language"`)
	s.says("PUT", at, "desk", `{"name":"New","zone":"Europe/Madrid","language":"zh-Hant"}`, 200, `"language":"zh-Hant"`)
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Wim","code":"W-2","birth":""}`, 422, "code-taken")
	f := decode[members](t, s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Wim","code":"W-1","birth":"2011-05-01"}`, 200, ""))
	if f.Name != "New" || f.Wearers[0].Name != "Wim" || f.Wearers[0].Birth != "2011-05-01" {
		t.Errorf("the family is %+v", f)
	}
	if role, _ := s.member("Wim"); role != "teen" {
		t.Error("who writes as the wearer is not called as the wearer is")
	}
	s.says("PUT", at+"/people/t1", "desk", `{"name":"Other","phone":""}`, 422, "name-of-wearer")
	s.says("PUT", at+"/people/p1", "desk", `{"name":"Pia","phone":"+442079460100"}`, 200, `"phone":"+44 20 7946 0100"`)
	s.says("PUT", "/api/clinic/families/f2/people/p1", "desk", `{"name":"Eve","phone":""}`, 404, "no-such-person")
	s.says("DELETE", "/api/clinic/families/f2/people/p1", "desk", "", 404, "no-such-person")
	if !s.audited("k1", "changed wearer", "w1") || !s.audited("k1", "changed person", "p1") || !s.audited("k1", "changed family", "f1") {
		t.Error("the audit log does not say who changed what")
	}
}

// A child enrolled in the wrong family is taken out again, with whoever writes
// as that child; a wearer of whom anything is stored stays.
func TestAWearerEnrolledByMistake(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/families/f1"
	s.says("DELETE", "/api/clinic/wearers/w1", "desk", "", 409, "last-wearer")
	f := decode[members](t, s.says("POST", at+"/wearers", "desk", `{"name":"Bo","code":"W-9","birth":""}`, 200, "Bo"))
	bo := f.Wearers[0]
	if bo.Name != "Bo" {
		bo = f.Wearers[1]
	}
	s.says("POST", at+"/people", "desk", `{"name":"Bo","role":"teen","phone":"","wearer":"`+bo.ID+`"}`, 200, "")
	if raw := s.says("DELETE", "/api/clinic/wearers/"+bo.ID, "desk", "", 200, `"id":"w1"`); strings.Contains(raw, "Bo") {
		t.Errorf("still there: %s", raw)
	}
	s.says("GET", "/api/family", "family", "", 200, `"name":"W"`)
	s.says("GET", "/api/clinic/wearers?q=W-9", "desk", "", 200, `"total":0`)
	s.says("DELETE", "/api/clinic/wearers/"+bo.ID, "desk", "", 404, "not-found")
	if !s.audited("k1", "removed wearer", bo.ID) {
		t.Error("the audit log does not say who took whom out")
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		for _, fault := range tx.Archive().Check() {
			t.Error("the file is no longer whole:", fault)
		}
		return nil
	})
	s.says("POST", at+"/wearers", "desk", `{"name":"Bo","code":"W-9","birth":""}`, 200, "Bo") // the code is free again
	for what, body := range map[string]string{"a night": `{}`, "a pause": `{"kind":"pause","v":2,"body":{"reason":"away","to":"2026-03-30"}}`} {
		one := newSite(t)
		one.says("POST", at+"/wearers", "desk", `{"name":"Bo","code":"W-9","birth":""}`, 200, "Bo")
		one.says("POST", "/api/sync", "family", syncBody(entryJSON(body)), 200, "accepted")
		one.says("DELETE", "/api/clinic/wearers/w1", "desk", "", 409, "has-record")
		if t.Failed() {
			t.Fatal(what)
		}
	}
}

// Somebody who leaves is shut out at once; what they wrote stays, with their
// name. The last person stays, so that somebody is left to write and be told.
func TestSomebodyLeavesAFamily(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/families/f1"
	s.says("DELETE", at+"/people/p1", "desk", "", 409, "last-person")
	s.says("GET", "/api/family", "family", "", 200, "")
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`)), 200, "accepted")
	s.says("POST", at+"/people", "desk", `{"name":"Ann","role":"parent","phone":""}`, 200, "Ann")
	code := decode[struct{ Code string }](t, s.says("POST", at+"/invitations", "desk", `{"person":"p1"}`, 200, "")).Code
	secret := decode[struct{ Address string }](t, s.says("POST", "/api/calendar", "family", "", 200, "/calendar/")).Address

	s.says("DELETE", at+"/people/p1", "desk", "", 200, "Ann")
	s.says("GET", "/api/family", "family", "", 401, "")
	s.says("POST", "/api/join", "", `{"code":"`+code+`","device_name":"Phone","consent":"2"}`, 422, "bad-invitation")
	s.says("GET", secret[strings.Index(secret, "/calendar/"):], "", "", 404, "")
	s.says("DELETE", at+"/people/p1", "desk", "", 404, "no-such-person")
	night := civil.MustDate("2026-03-28") // of the entry
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		p, err := tx.Register().Person("p1")
		if err != nil || !p.Gone || p.Name != "P" {
			t.Errorf("the person is %+v, %v; want them kept by name, as gone", p, err)
		}
		nights, err := tx.Log().NightSigns("w1", night, night)
		if err != nil || len(nights) == 0 {
			t.Errorf("what they wrote is gone: %v, %v", nights, err)
		}
		return nil
	})
	if !s.audited("k1", "removed person", "p1") {
		t.Error("the audit log does not say who took whom out")
	}
}

// A mail address that alerts go to must be mendable, and a role can change; one's
// own cannot, so that an administrator is left.
func TestStaffIsCorrected(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("PUT", "/api/clinic/staff/c1", "admin", `{"name":"C","role":"desk","mail":""}`, 409, "recheck-needed")
	s.confirmed("admin", "da")
	s.says("PUT", "/api/clinic/staff/c1", "admin", `{"name":"C","role":"clinician","mail":"no address"}`, 422, `"field":"mail"`)
	s.says("PUT", "/api/clinic/staff/c1", "admin", `{"name":"C","role":"parent","mail":""}`, 422, `"field":"role"`)
	s.says("PUT", "/api/clinic/staff/p1", "admin", `{"name":"P","role":"desk","mail":""}`, 404, "no-such-staff") // of a family
	s.says("PUT", "/api/clinic/staff/a1", "admin", `{"name":"A","role":"desk","mail":""}`, 409, "not-oneself")
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")
	s.says("PUT", "/api/clinic/staff/c1", "admin", `{"name":"Cy","role":"desk","mail":"cy@clinic.example"}`, 200, "")
	s.says("GET", "/api/clinic/staff", "admin", "", 200, `"name":"Cy","role":"desk","mail":"cy@clinic.example"`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 403, "not-allowed")
	if !s.audited("a1", "changed staff", "c1") {
		t.Error("the audit log does not say who changed whom")
	}
}

// member returns the role and id of somebody of the first family by name.
func (s *site) member(name string) (role, id string) {
	s.t.Helper()
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		people, err := tx.Register().People("f1")
		for _, p := range people {
			if p.Name == name && !p.Gone {
				role, id = string(p.Role), string(p.ID)
			}
		}
		return err
	})
	if id == "" {
		s.t.Fatalf("nobody of the family is called %s", name)
	}
	return role, id
}

// joined uses an invitation up and returns the credential of the new device.
func (s *site) joined(code string) (token string) {
	s.t.Helper()
	req := httptest.NewRequest("POST", "/api/join", strings.NewReader(`{"code":"`+code+`","device_name":"Phone","consent":"2"}`))
	req.Header.Set("Content-Type", "application/json")
	res := s.do(req)
	res.Body.Close()
	if res.StatusCode != 200 || len(res.Cookies()) != 1 {
		s.t.Fatalf("joining: %s with %d cookies", res.Status, len(res.Cookies()))
	}
	return res.Cookies()[0].Value
}

// Whoever can be called about a sore eye: a family has a number that dials, a
// number of the practice's own country needs no prefix, a second contact has
// one too, and the last number cannot be taken away. The numbers are those a
// regulator keeps for drama (Ofcom, 020 7946 0xxx); their form is ITU-T E.123.
func TestAFamilyCanBePhoned(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	family := func(phone, more string) string {
		return `{"name":"N","zone":"Europe/London","wearer":{"name":"Bo","code":"W-77","birth":""},"people":[{"name":"P","role":"parent","phone":"` + phone + `"}]` + more + `}`
	}
	s.says("POST", "/api/clinic/families", "desk", family("", ""), 422, `"code":"no-phone"`)
	s.placed("PT")
	s.says("POST", "/api/clinic/families", "desk", family("020 7946 0101", ""), 422, `"code":"bad-phone"`)
	s.placed("GB")
	s.says("POST", "/api/clinic/families", "desk", family("12345", ""), 422, `"field":"phone"`)
	s.says("POST", "/api/clinic/families", "desk", family("020 7946 0101", `,"language":"xx"`), 422, `"field":"language"`)
	s.says("POST", "/api/clinic/families", "desk", family("020 7946 0101", `,"second":{"name":"Gran"}`), 422, `"field":"second.phone"`)
	s.says("POST", "/api/clinic/families", "desk", family("020 7946 0101", `,"second":{"phone":"020 7946 0102"}`), 422, "a second contact with a telephone needs a name")
	s.says("POST", "/api/clinic/families", "desk", family("020 7946 0101", `,"language":"es","second":{"name":"Gran","phone":"020 7946 0102","relation":"grandmother"}`), 200,
		`"language":"es","second":{"name":"Gran","phone":"+44 20 7946 0102","relation":"grandmother"}`)
	s.says("PUT", "/api/clinic/families/f1/people/p1", "desk", `{"name":"Pia","phone":"020 7946 0103"}`, 200, `"phone":"+44 20 7946 0103"`)
	s.says("PUT", "/api/clinic/families/f1/people/p1", "desk", `{"name":"Pia","phone":""}`, 422, `"code":"no-phone"`)
}

// A name shows as it is written: what turns or hides letters is refused wherever a
// name is given, and letters are kept composed (Unicode's UAX #9 and #15).
func TestNamesShowAsTheyAreWritten(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/families/f1"
	for _, name := range []string{`Bo\u202Eynn`, `B\u0000o`, `Bo\u2066x`, `Bo\nx`} {
		s.says("POST", at+"/wearers", "desk", `{"name":"`+name+`","code":"W-9","birth":"2012-03-09"}`, 422, "bad-characters")
		s.says("POST", at+"/people", "desk", `{"name":"`+name+`","role":"parent","phone":""}`, 422, "bad-person")
	}
	s.says("POST", at+"/wearers", "desk", `{"name":"Zoe\u0308","code":"W-9","birth":"2012-03-09"}`, 200, "Zo\u00eb")
}
