package web_test

import (
	"errors"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// Mail counts as set once a test mail has arrived, which only the number in it
// shows: not when the mail server took it, and not with another number. What
// the mail server refused is said.
func TestMailIsSetOnceATestMailArrived(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/staff/a1/mail", "admin", "{}", 409, "no mail server is set")
	err := s.srv.DB.Update(func(tx *store.Tx) error {
		return tx.Register().ChangePerson("a1", func(p *care.Person) { p.Mail = "a@example.org" })
	})
	if err != nil {
		t.Fatal(err)
	}
	var to, number string
	var refuses error
	s.srv.TestMail = func(address, n string) error { to, number = address, n; return refuses }
	s.says("GET", "/api/clinic/settings", "admin", "", 200, "No test mail has arrived yet")
	s.says("POST", "/api/clinic/staff/nobody/mail", "admin", "{}", 404, "no-such-staff")
	s.says("POST", "/api/clinic/mail/arrived", "admin", `{"number":""}`, 422, "other-number")
	refuses = errors.New("the certificate of mail.example.org is not trusted here")
	s.says("POST", "/api/clinic/staff/a1/mail", "admin", "{}", 503, "mail.example.org is not trusted")
	refuses = nil
	s.says("POST", "/api/clinic/staff/a1/mail", "admin", "{}", 200, `"sent"`)
	if to == "" || number == "" {
		t.Fatalf("sent to %q with %q", to, number)
	}
	s.says("GET", "/api/clinic/settings", "admin", "", 200, "No test mail has arrived yet")
	s.says("POST", "/api/clinic/mail/arrived", "admin", `{"number":"zzzzzz"}`, 422, "other-number")
	s.says("GET", "/api/clinic/staff", "admin", "", 200, `"mail_test":{"name":"a@example.org","sent":"2026-`)
	if _, raw := s.call("GET", "/api/clinic/staff", "admin", ""); strings.Contains(raw, `"arrived"`) {
		t.Errorf("a mail that nobody read has arrived: %s", raw)
	}
	s.says("POST", "/api/clinic/mail/arrived", "admin", `{"number":" `+strings.ToUpper(number[:3]+" "+number[3:])+` "}`, 200, `"arrived"`)
	s.says("GET", "/api/clinic/staff", "admin", "", 200, `"arrived":"2026-`)
	if _, raw := s.call("GET", "/api/clinic/settings", "admin", ""); strings.Contains(raw, "No test mail has arrived") {
		t.Error("mail still counts as not set")
	}
}

// Mail is tested once a test mail has arrived at everybody whom the ladder mails: those
// of the rota, and the owner, who is of no list of people. Until then they are named,
// and a new address is to be tested anew.
func TestEverybodyTheLadderMailsIsTested(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var to, number string
	s.srv.TestMail = func(address, n string) error { to, number = address, n; return nil }
	s.update(func(tx *store.Tx) error {
		practice, err := tx.Register().Practice()
		practice.OwnerMail = "owner@example.org"
		return errors.Join(err, tx.Register().PutPractice(practice),
			tx.Register().ChangePerson("a1", func(p *care.Person) { p.Mail = "a@example.org" }),
			tx.Register().ChangePerson("c1", func(p *care.Person) { p.Mail = "c@example.org" }),
			tx.Register().SetSetting("rota", escalate.Rota{Zone: "Europe/Lisbon", Slots: []escalate.Slot{{Weekday: 1, From: civil.MustClock("08:00"), To: civil.MustClock("18:00"), Person: "c1", Deputy: "k1"}}}))
	})
	arrives := func(who, at string) {
		t.Helper()
		s.says("POST", "/api/clinic/staff/"+who+"/mail", "admin", "{}", 200, `"sent"`)
		if to != at {
			t.Errorf("the test mail of %s went to %q, want %q", who, to, at)
		}
		s.says("POST", "/api/clinic/mail/arrived", "admin", `{"number":"`+number+`"}`, 200, `"arrived"`)
	}
	untested := func(want string) {
		t.Helper()
		_, raw := s.call("GET", "/api/clinic/settings", "admin", "")
		_, rest, said := strings.Cut(raw, "No test mail has arrived yet at: ")
		names, _, _ := strings.Cut(rest, ".")
		if said != (want != "") || names != want {
			t.Errorf("untested: %q, want %q", names, want)
		}
	}
	arrives("a1", "a@example.org")
	untested("C, K, the owner")
	s.says("POST", "/api/clinic/staff/k1/mail", "admin", "{}", 422, "no mail address")
	arrives("c1", "c@example.org")
	arrives("owner", "owner@example.org")
	s.says("GET", "/api/clinic/settings", "admin", "", 200, `"owner_test":{"name":"owner@example.org","sent":"2026-`)
	untested("K")
	s.update(func(tx *store.Tx) error {
		return tx.Register().ChangePerson("c1", func(p *care.Person) { p.Mail = "new@example.org" })
	})
	untested("C, K")
}
