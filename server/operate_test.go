package main

import (
	"bufio"
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/json"
	"encoding/pem"
	"errors"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// builtIn is the folder of the built program; empty before anybody asked for it.
var builtIn string

var binary = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "nightkeep")
	if err != nil {
		return "", err
	}
	builtIn = dir
	path := filepath.Join(dir, "nightkeep")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		return "", &exec.Error{Name: string(out), Err: err}
	}
	return path, nil
})

// program returns the built program, which goes after the tests.
func program(t *testing.T) string {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// command runs the program and returns what it printed on both outputs, and
// its exit code.
func command(t *testing.T, args ...string) (string, int) {
	t.Helper()
	cmd := exec.Command(program(t), args...)
	out, err := cmd.CombinedOutput()
	if err != nil && cmd.ProcessState == nil {
		t.Fatal(err)
	}
	return string(out), cmd.ProcessState.ExitCode()
}

// served is a running server and the lines of its log.
type served struct {
	t     *testing.T
	cmd   *exec.Cmd
	lines *bufio.Scanner
}

// serve starts the program on a free port.
func serve(t *testing.T, env []string, args ...string) *served {
	t.Helper()
	s := &served{t: t, cmd: exec.Command(program(t), append([]string{"serve", "-addr", "127.0.0.1:0"}, args...)...)}
	s.cmd.Env = append(os.Environ(), env...)
	out, err := s.cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	s.lines = bufio.NewScanner(out)
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.cmd.Process.Kill() })
	return s
}

// until reads the log to the line with a word and returns it, and the member
// asked for.
func (s *served) until(word, member string) string {
	s.t.Helper()
	var read []string
	for s.lines.Scan() {
		read = append(read, s.lines.Text())
		if strings.Contains(s.lines.Text(), word) {
			var line map[string]any
			if err := json.Unmarshal(s.lines.Bytes(), &line); err != nil {
				s.t.Fatal(err)
			}
			text, _ := line[member].(string)
			return text
		}
	}
	s.t.Fatalf("the server ended and never said %q:\n%s", word, strings.Join(read, "\n"))
	return ""
}

// stop ends the server as a service manager does and returns its exit code.
func (s *served) stop() int {
	s.t.Helper()
	if err := s.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		s.t.Fatal(err)
	}
	s.until("stopping: asked to", "")
	_, _ = io.Copy(io.Discard, readerOf(s.lines))
	_ = s.cmd.Wait()
	return s.cmd.ProcessState.ExitCode()
}

func readerOf(lines *bufio.Scanner) io.Reader {
	var rest bytes.Buffer
	for lines.Scan() {
		rest.Write(lines.Bytes())
	}
	return &rest
}

// begin lets a practice begin in a folder, as a first start of the server does.
func begin(t *testing.T, dir string, more ...string) {
	t.Helper()
	s := serve(t, nil, append([]string{"-data", dir}, more...)...)
	s.until("a new practice begins", "")
	s.until(`"serving"`, "")
	s.stop()
}

func exists(path string) bool { _, err := os.Stat(path); return err == nil }

// certificate writes a self-signed certificate for a name, and others, and its key.
func certificate(t *testing.T, dir, name string, others ...string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: name}, DNSNames: append([]string{name}, others...),
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, c, c, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for file, block := range map[string]*pem.Block{"cert.pem": {Type: "CERTIFICATE", Bytes: der}, "key.pem": {Type: "PRIVATE KEY", Bytes: raw}} {
		if err := os.WriteFile(filepath.Join(dir, file), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// shown is the first name on the certificate a server shows.
func shown(t *testing.T, addr string) string {
	t.Helper()
	conn, err := tls.Dial("tcp", addr, &tls.Config{InsecureSkipVerify: true}) // whose certificate it is, is what is asked
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	return conn.ConnectionState().PeerCertificates[0].DNSNames[0]
}

// A renewed certificate is taken up at a SIGHUP; a broken one and one for another name
// are logged and the one before stays; none ends the server; SIGTERM does, with a line in
// the log and exit code 0.
func TestSignalsAndCertificates(t *testing.T) {
	t.Parallel()
	certs := t.TempDir()
	certificate(t, certs, "old.example.org")
	s := serve(t, []string{"NIGHTKEEP_ADRR=:1"}, "-data", t.TempDir(), "-base-url", "https://old.example.org",
		"-tls-cert", filepath.Join(certs, "cert.pem"), "-tls-key", filepath.Join(certs, "key.pem"))
	s.until("NIGHTKEEP_ADRR, which is no setting", "")
	addr := s.until(`"serving"`, "addr")
	if got := shown(t, addr); got != "old.example.org" {
		t.Errorf("the server shows a certificate of %s at first", got)
	}
	certificate(t, certs, "new.example.org", "old.example.org")
	_ = s.cmd.Process.Signal(syscall.SIGHUP)
	s.until("certificate read", "")
	if got := shown(t, addr); got != "new.example.org" {
		t.Errorf("after SIGHUP the server shows a certificate of %s", got)
	}
	certificate(t, certs, "foreign.example.org")
	_ = s.cmd.Process.Signal(syscall.SIGHUP)
	s.until("browsers refuse the new certificate", "")
	if got := shown(t, addr); got != "new.example.org" {
		t.Errorf("after one for another name the server shows a certificate of %s, want the one before", got)
	}
	if err := os.WriteFile(filepath.Join(certs, "cert.pem"), []byte("half a file"), 0o600); err != nil {
		t.Fatal(err)
	}
	_ = s.cmd.Process.Signal(syscall.SIGHUP)
	s.until("cannot be used", "")
	if got := shown(t, addr); got != "new.example.org" {
		t.Errorf("after a broken file the server shows a certificate of %s, want the one before", got)
	}
	if code := s.stop(); code != 0 {
		t.Errorf("SIGTERM ended the server with %d", code)
	}
}

// A backup is tried without anything leaving it: from the backup to a served
// page with its banner, phones refused; and a practice's own file is never
// served so, nor a rehearsal's to families.
func TestRehearsal(t *testing.T) {
	t.Parallel()
	own, copies, tried := t.TempDir(), filepath.Join(t.TempDir(), "copy.db"), t.TempDir()
	begin(t, own, "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1")
	for _, step := range [][]string{{"backup", "-data", own, "-to", copies}, {"restore", "-rehearsal", "-from", copies, "-data", tried}} {
		if out, code := command(t, step...); code != 0 {
			t.Fatal(step, out)
		}
	}
	if out, code := command(t, "staff", "add", "-data", tried, "-name", "Dr B"); code != 0 || strings.Contains(out, "lenses.example.org") {
		t.Errorf("a link into a rehearsal leads to the practice's own server: %d, %s", code, out)
	}
	for _, wrong := range []struct {
		args []string
		says string
	}{
		{[]string{"serve", "-addr", "127.0.0.1:0", "-data", tried}, "restored for a rehearsal"},
		{[]string{"serve", "-addr", "127.0.0.1:0", "-rehearsal", "-data", own}, "not restored for a rehearsal"},
		{[]string{"restore", "-rehearsal", "-from", copies, "-data", own}, "holds data already"},
	} {
		if out, code := command(t, wrong.args...); code == 0 || !strings.Contains(out, wrong.says) {
			t.Errorf("%v: %d, %s; want a refusal with %q", wrong.args, code, out, wrong.says)
		}
	}
	s := serve(t, nil, "-rehearsal", "-data", tried)
	base := "http://" + s.until(`"serving"`, "addr")
	for path, want := range map[string]struct {
		status int
		says   string
	}{
		"/status": {200, "copy of a backup that is being tried"}, "/healthz": {200, `"rehearsal":true`},
		"/clinic": {200, "Nothing leaves it"}, "/": {200, "Nothing leaves it"},
		"/sw.js": {404, ""}, "/api/sync": {503, "rehearsal"}, "/api/join": {503, "rehearsal"}, "/calendar/x.ics": {503, "rehearsal"},
	} {
		res, err := http.Post(base+path, "application/json", strings.NewReader("{}"))
		if want.status != 503 {
			res, err = http.Get(base + path)
		}
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(res.Body)
		res.Body.Close()
		if res.StatusCode != want.status || !strings.Contains(string(body), want.says) {
			t.Errorf("%s answered %d %.200s, want %d with %q", path, res.StatusCode, body, want.status, want.says)
		}
	}
	if code := s.stop(); code != 0 {
		t.Errorf("the rehearsal ended with %d", code)
	}
}

// The steps of setting up are walked in order, each open one with its reason,
// by asking the running server; without one the command says so.
func TestCheckSetup(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if out, code := command(t, "check", "-setup", "-data", dir); code != 2 || !strings.Contains(out, "start serve on this folder first") {
		t.Errorf("without a server: %d, %s", code, out)
	}
	s := serve(t, nil, "-data", dir)
	if at := s.until(`"serving"`, "base_url"); !strings.HasPrefix(at, "http://localhost:") { // passkeys take no address
		t.Errorf("on this machine it is opened at %s", at)
	}
	out, code := command(t, "check", "-setup", "-data", dir)
	last := -1
	for _, word := range []string{"1. OPEN  Zone, country and languages: Nights, hours", "No time zone", "No country", "No languages", "2. OPEN  Name and telephone numbers", "nothing to call", "3. OPEN  Hours", "4. OPEN  Staff", "staff add -role clinician lets them in at once", "No clinician", "5. OPEN  Rota", "7. OPEN  Mail, tested", "8. OPEN  A backup, read back", "set backup-dir", "9. OPEN  A second administrator"} {
		at := strings.Index(out, word)
		if at <= last {
			t.Errorf("%q is not said, or not in its place", word)
		}
		last = at
	}
	if code != 1 || !strings.Contains(out, "steps are open") {
		t.Errorf("%d\n%s", code, out)
	}
	if out, code := command(t, "check", "-data", dir); code == 0 {
		t.Errorf("a check of a file that is served: %s", out)
	}
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr A", "-mail", "a@b"); code != 2 || !strings.Contains(out, "want one mail address") {
		t.Errorf("an address of no domain: %d, %s", code, out)
	}
	if out, code := command(t, "staff", "link", "-data", dir, "-id", "nobody"); code != 2 {
		t.Errorf("a link for nobody: %d, %s", code, out)
	}
	if got := s.until("a command was refused", "command"); got != "staff link" {
		t.Errorf("the first refusal of the log is of %q: what check -setup finds is none", got)
	}
}

// What an administrator types at the command line is answered in words: the
// program as it was called, what was built, a mail address that is none, data
// of another user, a link with the address that was last served.
func TestCommandLine(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if out, code := command(t, "help"); code != 0 || !strings.Contains(out, "usage: nightkeep COMMAND") {
		t.Errorf("help: %d, %s", code, out)
	}
	if out, code := command(t, "version"); code != 0 || !strings.Contains(out, "rule table") {
		t.Errorf("version: %d, %s", code, out)
	}
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr A", "-mail", "dr a at example"); code != 2 || !strings.Contains(out, "want one mail address") {
		t.Errorf("a mail address that is none: %d, %s", code, out)
	}
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr A"); code != 2 || !strings.Contains(out, "there is no practice in "+dir) || exists(filepath.Join(dir, "nightkeep.db")) {
		t.Errorf("a folder that was mistyped: %d, %s", code, out)
	}
	foreign := t.TempDir()
	if err := os.WriteFile(filepath.Join(foreign, "letter.txt"), []byte("not ours"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"serve", "-addr", "127.0.0.1:0"}, {"restore", "-from", filepath.Join(foreign, "letter.txt")}} {
		if out, code := command(t, append(args, "-data", foreign)...); code != 2 || !strings.Contains(out, "holds letter.txt") || exists(filepath.Join(foreign, "nightkeep.db")) {
			t.Errorf("%s into a folder of something else: %d, %s", args[0], code, out)
		}
	}
	damaged, one, other := t.TempDir(), t.TempDir(), t.TempDir()
	certificate(t, one, "lenses.example.org")
	certificate(t, other, "lenses.example.org")
	if err := os.WriteFile(filepath.Join(damaged, "nightkeep.db"), bytes.Repeat([]byte("no data file\n"), 9000), 0o600); err != nil {
		t.Fatal(err)
	}
	for word, args := range map[string][]string{ // starting again would not help: 2, which a service manager heeds
		"repair -file": {"-data", damaged}, "contact": {"-data", t.TempDir(), "-contact", "a@practice.local"},
		"tls-cert, tls-key": {"-data", t.TempDir(), "-tls-cert", filepath.Join(one, "cert.pem"), "-tls-key", filepath.Join(other, "key.pem")},
	} {
		if out, code := command(t, append([]string{"serve", "-addr", "127.0.0.1:0"}, args...)...); code != 2 || !strings.Contains(out, word) || strings.Contains(out, "-addr") {
			t.Errorf("serve %v: %d, %s; want 2 and a word of %s", args, code, out, word)
		}
	}
	begin(t, dir)
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr A"); code != 0 || !strings.Contains(out, "address, which is not known here") {
		t.Errorf("a link before any address is known: %d, %s", code, out)
	}
	s := serve(t, nil, "-data", dir, "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1")
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr Early"); code != 0 {
		t.Errorf("while the server starts: %d, %s", code, out)
	}
	s.until(`"serving"`, "")
	s.stop()
	if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr B"); code != 0 || !strings.Contains(out, "https://lenses.example.org/staff#") {
		t.Errorf("a link while nobody serves: %d, %s", code, out)
	}
	if os.Geteuid() == 0 { // only root may give a file away
		if err := os.Chown(filepath.Join(dir, "nightkeep.db"), 12345, 12345); err != nil {
			t.Fatal(err)
		}
		if out, code := command(t, "staff", "add", "-data", dir, "-name", "Dr C"); code != 2 || !strings.Contains(out, "belongs to the user #12345") {
			t.Errorf("data of another user: %d, %s", code, out)
		}
		shutOut(t)
	}
	if _, err := net.Dial("unix", filepath.Join(dir, "control.sock")); err == nil {
		t.Error("the socket for commands still answers after the server has ended")
	}
}

// shutOut has another user, who may not look into the folder, ask for its staff: that
// is said, and not that there is no practice.
func shutOut(t *testing.T) {
	t.Helper()
	dir, err := os.MkdirTemp("", "nightkeep-shut-") // others may reach the folder, and not look into it
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	binary, err := os.ReadFile(program(t))
	if err != nil {
		t.Fatal(err)
	}
	err = errors.Join(os.Chmod(dir, 0o711), os.Mkdir(filepath.Join(dir, "data"), 0o700), os.WriteFile(filepath.Join(dir, "nightkeep"), binary, 0o755), os.Chmod(filepath.Join(dir, "nightkeep"), 0o755))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), filepath.Join(dir, "nightkeep"), "staff", "list", "-data", filepath.Join(dir, "data"))
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 12345, Gid: 12345}}
	cmd.Dir = "/"
	out, _ := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != 2 || !strings.Contains(string(out), "belongs to the user root") || strings.Contains(string(out), "no practice") {
		t.Errorf("a folder that may not be looked into: %d, %s", cmd.ProcessState.ExitCode(), out)
	}
}

// TestMain removes the built program.
func TestMain(m *testing.M) {
	code := m.Run()
	_ = os.RemoveAll(builtIn)
	os.Exit(code)
}
