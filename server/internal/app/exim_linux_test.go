package app_test

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"maps"
	"net"
	"net/http/httptest"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/mail"
)

// postOffice is Exim, a mail server that many practices' providers run, with a
// queue of its own on this machine. It keeps what it takes.
type postOffice struct {
	t       *testing.T
	dir     string
	addr    string
	trust   *x509.CertPool
	running *exec.Cmd
}

// eximConf asks for STARTTLS and a password before it takes anything, as
// providers do. check_spool_space is how much room the queue must have: with less
// it answers 452 (RFC 5321 section 4.2.3).
const eximConf = `primary_hostname = mx.example.com
keep_environment =
spool_directory = %[1]s/spool
log_file_path = %[1]s/log/%%s
pid_file_path = %[1]s/spool/pid
local_interfaces = 127.0.0.1
daemon_smtp_ports = %[2]s
tls_advertise_hosts = *
tls_certificate = %[1]s/cert.pem
queue_only
check_spool_space = %[3]s
acl_smtp_rcpt = rcpt
begin acl
rcpt:
  deny !authenticated = *
  accept encrypted = *
begin authenticators
plain:
  driver = plaintext
  public_name = PLAIN
  server_prompts = :
  server_condition = ${if and{{eq{$auth2}{nightkeep}}{eq{$auth3}{correct}}}}
  server_set_id = $auth2
  server_advertise_condition = ${if def:tls_in_cipher}
`

func newPostOffice(t *testing.T) *postOffice {
	t.Helper()
	if _, err := exec.LookPath("exim4"); err != nil {
		t.Fatalf("%v; .ci/test installs it", err)
	}
	p := &postOffice{t: t, dir: t.TempDir(), trust: x509.NewCertPool()}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p.addr = free.Addr().String()
	free.Close()
	web := httptest.NewUnstartedServer(nil) // for its certificate, good for 127.0.0.1
	web.StartTLS()
	defer web.Close()
	p.trust.AddCert(web.Certificate())
	key, err := x509.MarshalPKCS8PrivateKey(web.TLS.Certificates[0].PrivateKey)
	if err != nil {
		t.Fatal(err)
	}
	text := append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: web.Certificate().Raw}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: key})...)
	if err := os.WriteFile(filepath.Join(p.dir, "cert.pem"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	p.open()
	t.Cleanup(p.stop)
	return p
}

// open makes its folders and lets the user it runs as into them.
func (p *postOffice) open() {
	for dir := p.dir; strings.HasPrefix(dir, os.TempDir()+"/"); dir = filepath.Dir(dir) {
		_ = os.Chmod(dir, 0o755)
	}
	for _, name := range []string{"spool", "log"} {
		dir := filepath.Join(p.dir, name)
		if err := os.Mkdir(dir, 0o755); err != nil {
			p.t.Fatal(err)
		}
		p.command("chown", "Debian-exim", dir)
	}
}

// asRoot is a command as the root user, whom a mail server's daemon must be
// started by.
func asRoot(args ...string) *exec.Cmd {
	if me, err := user.Current(); err == nil && me.Uid != "0" {
		args = append([]string{"sudo", "-n"}, args...)
	}
	return exec.Command(args[0], args[1:]...)
}

func (p *postOffice) command(args ...string) string {
	out, err := asRoot(args...).CombinedOutput()
	if err != nil {
		p.t.Fatalf("%q: %v: %s", args, err, out)
	}
	return string(out)
}

func (p *postOffice) conf() string { return filepath.Join(p.dir, "conf") }

// start begins to listen. room is how much space the queue asks for.
func (p *postOffice) start(room string) {
	_, port, _ := net.SplitHostPort(p.addr)
	if err := os.WriteFile(p.conf(), fmt.Appendf(nil, eximConf, p.dir, port, room), 0o644); err != nil {
		p.t.Fatal(err)
	}
	p.command("chown", "root", p.conf())
	p.running = asRoot("exim4", "-C", p.conf(), "-bdf")
	if err := p.running.Start(); err != nil {
		p.t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); ; {
		c, err := net.Dial("tcp", p.addr)
		if err == nil {
			c.Close()
			return
		}
		if time.Now().After(deadline) {
			p.t.Fatal(err)
		}
	}
}

func (p *postOffice) stop() {
	if p.running == nil {
		return
	}
	raw, err := os.ReadFile(filepath.Join(p.dir, "spool", "pid"))
	if err == nil {
		err = asRoot("kill", strings.TrimSpace(string(raw))).Run()
	}
	if err != nil {
		p.t.Error(err)
		_ = p.running.Process.Kill()
	}
	_ = p.running.Wait() // ended by a signal: the error says so
	p.running = nil
	p.command("rm", "-f", p.conf())
}

// queued returns every message of the queue as it would be passed on.
func (p *postOffice) queued() (out []string) {
	for _, id := range strings.Fields(p.command("exim4", "-C", p.conf(), "-bpru")) {
		if len(id) == len("1vPgbN-000000-0X") && strings.Count(id, "-") == 2 {
			out = append(out, p.command("exim4", "-C", p.conf(), "-Mvc", id))
		}
	}
	return out
}

// count is how many mails of the queue go to each person, by subject.
func (p *postOffice) count() map[string]int {
	out := map[string]int{}
	for _, raw := range p.queued() {
		head, _, _ := strings.Cut(raw, "\n\n")
		line := func(name string) string {
			_, rest, _ := strings.Cut("\n"+head, "\n"+name+": ")
			line, _, _ := strings.Cut(rest, "\n")
			return line
		}
		out[line("To")+" "+line("Subject")]++
		if !strings.Contains(head, "esmtpsa ") { // RFC 3848 and RFC 6531: over TLS, signed in
			p.t.Errorf("a mail came in the clear or from nobody known:\n%s", head)
		}
	}
	return out
}

// A red flag that nobody acknowledges reaches everybody by mail through a mail
// server as providers run it, over STARTTLS, once it takes anything: at first
// nothing answers there, then its queue is full and it answers 452. Nothing is
// lost meanwhile, and nobody finds more than one mail about the alert then.
func TestMailThroughARealServer(t *testing.T) {
	t.Parallel()
	p := newPostOffice(t)
	mailer, err := mail.New(mail.Config{Addr: p.addr, User: "nightkeep", Password: "correct", From: "nightkeep@example.com", TLS: &tls.Config{RootCAs: p.trust}})
	if err != nil {
		t.Fatal(err)
	}
	d := newDeskWith(t, mailer)
	d.raise(t, "a-1")
	for _, room := range []string{"", "1000000G", "0"} {
		if p.stop(); room != "" {
			p.start(room)
		}
		for range 14 { // 70 minutes
			if err := d.Climb(); err != nil {
				t.Fatal(err)
			}
			d.work(t)
			d.pass(5 * time.Minute)
		}
		if room == "" {
			continue
		}
		if got := p.count(); room != "0" && len(got) > 0 {
			t.Fatalf("a queue that is full took %v", got)
		}
	}
	// Ann is the whole rota; the owner hears when nobody has answered for an hour.
	// From 11:20 on: what waited, and the rounds of 11:30, 11:45, 12:00 and 12:15.
	got := p.count()
	lapsed := mail.Subjects()["lapsed"]
	want := map[string]int{"<ann@example.com> " + lapsed: 5, "<owner@example.com> " + lapsed: 5}
	if !maps.Equal(got, want) {
		t.Errorf("the queue holds %v, want %v", got, want)
	}
}
