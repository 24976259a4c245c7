package web_test

import (
	"errors"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
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
