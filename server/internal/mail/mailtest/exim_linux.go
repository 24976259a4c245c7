// Package mailtest is a mail server of the system's packages, for tests: Exim as
// providers run it, with STARTTLS, a password, and a queue of its own that keeps
// what it takes.
package mailtest

import (
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"net"
	"net/http/httptest"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Office is Exim on this machine. It takes mails of the user "nightkeep" with the
// password "correct".
type Office struct {
	Addr     string         // host:port
	Trust    *x509.CertPool // of its certificate
	CertFile string         // with its certificate and key
	t        *testing.T
	dir      string
	running  *exec.Cmd
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

func New(t *testing.T) *Office {
	t.Helper()
	if _, err := exec.LookPath("exim4"); err != nil {
		t.Fatalf("%v; .ci/test installs it", err)
	}
	p := &Office{t: t, dir: t.TempDir(), Trust: x509.NewCertPool()}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p.Addr = free.Addr().String()
	free.Close()
	web := httptest.NewUnstartedServer(nil) // for its certificate, good for 127.0.0.1
	web.StartTLS()
	defer web.Close()
	p.Trust.AddCert(web.Certificate())
	key, err := x509.MarshalPKCS8PrivateKey(web.TLS.Certificates[0].PrivateKey)
	if err != nil {
		t.Fatal(err)
	}
	text := append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: web.Certificate().Raw}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: key})...)
	p.CertFile = filepath.Join(p.dir, "cert.pem")
	if err := os.WriteFile(p.CertFile, text, 0o644); err != nil {
		t.Fatal(err)
	}
	p.open()
	t.Cleanup(p.Stop)
	return p
}

// open makes its folders and lets the user it runs as into them.
func (p *Office) open() {
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

func (p *Office) command(args ...string) string {
	out, err := asRoot(args...).CombinedOutput()
	if err != nil {
		p.t.Fatalf("%q: %v: %s", args, err, out)
	}
	return string(out)
}

func (p *Office) conf() string { return filepath.Join(p.dir, "conf") }

// Start begins to listen. room is how much space the queue asks for.
func (p *Office) Start(room string) {
	_, port, _ := net.SplitHostPort(p.Addr)
	if err := os.WriteFile(p.conf(), fmt.Appendf(nil, eximConf, p.dir, port, room), 0o644); err != nil {
		p.t.Fatal(err)
	}
	p.command("chown", "root", p.conf())
	p.running = asRoot("exim4", "-C", p.conf(), "-bdf")
	if err := p.running.Start(); err != nil {
		p.t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); ; {
		c, err := net.Dial("tcp", p.Addr)
		if err == nil {
			c.Close()
			return
		}
		if time.Now().After(deadline) {
			p.t.Fatal(err)
		}
	}
}

// Stop ends it; the queue stays.
func (p *Office) Stop() {
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

// Queued returns every message of the queue as it would be passed on.
func (p *Office) Queued() (out []string) {
	for _, id := range strings.Fields(p.command("exim4", "-C", p.conf(), "-bpru")) {
		if len(id) == len("1vPgbN-000000-0X") && strings.Count(id, "-") == 2 {
			out = append(out, p.command("exim4", "-C", p.conf(), "-Mvc", id))
		}
	}
	return out
}

// Count is how many mails of the queue go to each person, by subject.
func (p *Office) Count() map[string]int {
	out := map[string]int{}
	for _, raw := range p.Queued() {
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
