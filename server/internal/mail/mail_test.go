package mail_test

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"net"
	"net/http/httptest"
	netmail "net/mail"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"
	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/mail"
)

// post is a real SMTP server on this machine that keeps what it takes.
type post struct {
	mu   sync.Mutex
	addr string
	got  []letter
	rcpt error // answer to RCPT
	data error // answer to DATA
}

type letter struct {
	from, to, raw string
	tls           bool
}

// certificate borrows the one of net/http/httptest, good for 127.0.0.1 and
// example.com.
func certificate(t *testing.T) (tls.Certificate, *x509.CertPool) {
	t.Helper()
	srv := httptest.NewUnstartedServer(nil)
	srv.StartTLS()
	defer srv.Close()
	pool := x509.NewCertPool()
	pool.AddCert(srv.Certificate())
	return srv.TLS.Certificates[0], pool
}

type mode int

const (
	startTLS mode = iota
	implicit
	plain
)

func start(t *testing.T, m mode) (*post, mail.Config) {
	t.Helper()
	cert, pool := certificate(t)
	p := &post{}
	srv := smtp.NewServer(smtp.BackendFunc(func(c *smtp.Conn) (smtp.Session, error) { return &session{post: p, conn: c}, nil }))
	srv.Domain, srv.AllowInsecureAuth, srv.ErrorLog = "example.com", m == plain, quiet{}
	if m == startTLS {
		srv.TLSConfig = &tls.Config{Certificates: []tls.Certificate{cert}}
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p.addr = l.Addr().String()
	if m == implicit {
		l = tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{cert}})
	}
	var wg sync.WaitGroup
	wg.Go(func() { srv.Serve(l) })
	t.Cleanup(func() { // the listener too: the server may not have begun to serve it
		srv.Close()
		l.Close()
		wg.Wait()
	})
	return p, mail.Config{
		Addr: p.addr, User: "nightkeep", Password: "correct", From: "nightkeep@example.com",
		Timeout: time.Minute, Implicit: m == implicit, TLS: &tls.Config{RootCAs: pool},
	}
}

type quiet struct{}

func (quiet) Printf(string, ...any) {}
func (quiet) Println(...any)        {}

type session struct {
	post *post
	conn *smtp.Conn
	in   bool
	l    letter
}

func (s *session) AuthMechanisms() []string { return []string{sasl.Plain} }

func (s *session) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, password string) error {
		if user != "nightkeep" || password != "correct" {
			return smtp.ErrAuthFailed
		}
		s.in = true
		return nil
	}), nil
}

func (s *session) Mail(from string, _ *smtp.MailOptions) error {
	if !s.in {
		return smtp.ErrAuthRequired
	}
	_, enc := s.conn.TLSConnectionState()
	s.l = letter{from: from, tls: enc}
	return nil
}

func (s *session) Rcpt(to string, _ *smtp.RcptOptions) error {
	s.l.to = to
	return s.post.rcpt
}

func (s *session) Data(r io.Reader) error {
	raw, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	s.post.mu.Lock()
	defer s.post.mu.Unlock()
	if s.post.data != nil {
		return s.post.data
	}
	s.l.raw = string(raw)
	s.post.got = append(s.post.got, s.l)
	return nil
}

func (s *session) Reset() {}
func (s *session) Logout() error {
	return nil
}

func sender(t *testing.T, cfg mail.Config) *mail.Sender {
	t.Helper()
	s, err := mail.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSendOverTLS(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		mode mode
	}{{"STARTTLS", startTLS}, {"TLS at once", implicit}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, cfg := start(t, c.mode)
			if err := sender(t, cfg).Send(t.Context(), "a-1", "ann@example.com", "alert", "Please open the console.\n.\nÄrztin\n"); err != nil {
				t.Fatal(err)
			}
			if len(p.got) != 1 || !p.got[0].tls || p.got[0].from != "nightkeep@example.com" || p.got[0].to != "ann@example.com" {
				t.Fatalf("got %+v", p.got)
			}
			m, err := netmail.ReadMessage(strings.NewReader(p.got[0].raw))
			if err != nil {
				t.Fatal(err)
			}
			want := map[string]string{
				"Subject": "Nightkeep: an alert waits for you", "To": "<ann@example.com>",
				"From": "<nightkeep@example.com>", "Auto-Submitted": "auto-generated",
			}
			got := map[string]string{}
			for k := range want {
				got[k] = m.Header.Get(k)
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
			if m.Header.Get("User-Agent")+m.Header.Get("X-Mailer") != "" {
				t.Error("the mail names the program's library")
			}
			if _, err := m.Header.Date(); err != nil || m.Header.Get("Message-Id") == "" {
				t.Errorf("date %v, message id %q", err, m.Header.Get("Message-Id"))
			}
		})
	}
}

// A mail sent again carries the id of the first one; other messages, and the
// same one to somebody else, have another. The form is RFC 5322 section 3.6.4,
// and the id tells nothing of what the key says.
func TestARepeatCarriesTheSameID(t *testing.T) {
	t.Parallel()
	p, cfg := start(t, startTLS)
	s := sender(t, cfg)
	for _, m := range []struct{ key, to string }{{"wearer-7", "ann@example.com"}, {"wearer-7", "ann@example.com"}, {"wearer-7", "ben@example.com"}, {"wearer-8", "ann@example.com"}} {
		if err := s.Send(t.Context(), m.key, m.to, "alert", "x"); err != nil {
			t.Fatal(err)
		}
	}
	var ids []string
	for _, got := range p.got {
		m, err := netmail.ReadMessage(strings.NewReader(got.raw))
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, m.Header.Get("Message-Id"))
	}
	if len(ids) != 4 || ids[0] != ids[1] || ids[0] == ids[2] || ids[0] == ids[3] {
		t.Fatalf("ids %q", ids)
	}
	if !regexp.MustCompile(`^<[0-9a-f]{32}@example\.com>$`).MatchString(ids[0]) {
		t.Errorf("id %q", ids[0])
	}
}

func TestFailures(t *testing.T) {
	t.Parallel()
	grey := &smtp.SMTPError{Code: 451, EnhancedCode: smtp.EnhancedCode{4, 7, 1}, Message: "greylisted, ann@example.com, try later"}
	for _, c := range []struct {
		name      string
		mode      mode
		change    func(*post, *mail.Config)
		code      int
		temporary bool
		says      string // which server, and what helps
	}{
		{"wrong password", startTLS, func(_ *post, c *mail.Config) { c.Password = "wrong" }, 535, false, "password is not taken by 127.0.0.1"},
		{"wrong password, TLS at once", implicit, func(_ *post, c *mail.Config) { c.Password = "wrong" }, 535, false, "password is not taken by 127.0.0.1"},
		{"greylisted at RCPT", startTLS, func(p *post, _ *mail.Config) { p.rcpt = grey }, 451, true, "451"},
		{"greylisted at DATA", startTLS, func(p *post, _ *mail.Config) { p.data = grey }, 451, true, "451"},
		{"no such mailbox", startTLS, func(p *post, _ *mail.Config) { p.rcpt = &smtp.SMTPError{Code: 550, Message: "no such user"} }, 550, false, "550"},
		{"mailbox full", startTLS, func(p *post, _ *mail.Config) { p.data = &smtp.SMTPError{Code: 452, Message: "full"} }, 452, true, "452"},
		{"no encryption offered", plain, func(*post, *mail.Config) {}, 0, false, "no STARTTLS"},
		{"certificate not trusted", startTLS, func(_ *post, c *mail.Config) { c.TLS = nil }, 0, true, "certificate of 127.0.0.1 is not trusted here: name the mail server as on its certificate"},
		{"nobody listens", startTLS, func(_ *post, c *mail.Config) { c.Addr = "127.0.0.1:1" }, 0, true, "127.0.0.1 does not answer at port 1: is the port right"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, cfg := start(t, c.mode)
			c.change(p, &cfg)
			err := sender(t, cfg).Send(t.Context(), "a-1", "ann@example.com", "alert", "x")
			var e *mail.Error
			if !errors.As(err, &e) || e.Code != c.code || mail.Temporary(err) != c.temporary {
				t.Fatalf("error = %#v, want code %d, temporary %v", err, c.code, c.temporary)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("error = %v, want it to say %q", err, c.says)
			}
			if strings.Contains(err.Error(), "ann@") || strings.Contains(err.Error(), "wrong") {
				t.Errorf("the error tells too much: %v", err)
			}
			if len(p.got) != 0 {
				t.Errorf("%d mails taken", len(p.got))
			}
		})
	}
}

// A server that takes the call and says nothing: the shorter limit ends it, or
// this test never would.
func TestSilentServerEndsInTime(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	for _, c := range []struct {
		name    string
		timeout time.Duration // of the sender
		ctx     time.Duration // of the caller
	}{{"own limit", 50 * time.Millisecond, time.Hour}, {"caller's limit", time.Hour, 50 * time.Millisecond}} {
		t.Run(c.name, func(t *testing.T) {
			ctx, cancel := context.WithTimeout(t.Context(), c.ctx)
			defer cancel()
			s := sender(t, mail.Config{Addr: l.Addr().String(), From: "a@example.com", Timeout: c.timeout})
			err := s.Send(ctx, "a-1", "ann@example.com", "alert", "x")
			if err == nil || !mail.Temporary(err) {
				t.Errorf("error = %v, want a temporary one", err)
			}
		})
	}
}

func TestWhatIsNeverSent(t *testing.T) {
	t.Parallel()
	p, cfg := start(t, startTLS)
	s := sender(t, cfg)
	for _, c := range []struct{ name, to, subject string }{
		{"free subject", "ann@example.com", "Red eye of a wearer"},
		{"no subject", "ann@example.com", ""},
		{"no recipient", "", "alert"},
		{"two recipients", "ann@example.com, ben@example.com", "alert"},
		{"header in the recipient", "ann@example.com\r\nBcc: ben@example.com", "alert"},
	} {
		if err := s.Send(t.Context(), "a-1", c.to, c.subject, "x"); err == nil || mail.Temporary(err) {
			t.Errorf("%s: %v, want an error for good", c.name, err)
		}
	}
	if len(p.got) != 0 {
		t.Errorf("%d mails taken", len(p.got))
	}
}

// A subject shows on lock screens: how grave, but no word of eyes, signs, lenses
// or people.
func TestSubjectsAreNeutral(t *testing.T) {
	t.Parallel()
	for key, subject := range mail.Subjects() {
		for _, word := range []string{"eye", "red", "pain", "lens", "child", "wearer", "symptom", "sight", "patient"} {
			if strings.Contains(" "+strings.ToLower(subject)+" ", " "+word) {
				t.Errorf("%s: %q says %q", key, subject, word)
			}
		}
		for _, c := range subject {
			if c < ' ' || c > '~' {
				t.Errorf("%s: %q needs encoding", key, subject)
			}
		}
	}
}

func TestSettings(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, addr, from string
		ok               bool
	}{
		{"good", "mail.example.com:587", "a@example.com", true},
		{"no port", "mail.example.com", "a@example.com", false},
		{"port 0", "mail.example.com:0", "a@example.com", false},
		{"no host", ":587", "a@example.com", false},
		{"no sender", "mail.example.com:587", "", false},
	} {
		if _, err := mail.New(mail.Config{Addr: c.addr, From: c.from}); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestConcurrentSends(t *testing.T) {
	t.Parallel()
	p, cfg := start(t, startTLS)
	s := sender(t, cfg)
	var wg sync.WaitGroup
	for range 10 {
		wg.Go(func() {
			if err := s.Send(t.Context(), "a-1", "ann@example.com", "reminder", "x"); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if len(p.got) != 10 {
		t.Errorf("%d mails taken, want 10", len(p.got))
	}
}
