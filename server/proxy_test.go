package main

import (
	"bufio"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// nginx starts nginx with the server block of the operator's guide, its names
// and files replaced by this test's, before a server at backend, with http: or
// https:, and returns the address it listens on and its log.
func nginx(t *testing.T, backend string) (addr, log string) {
	t.Helper()
	tool, err := exec.LookPath("nginx")
	if err != nil {
		t.Fatal("the test of proxies needs nginx, which the test command installs:", err)
	}
	guide, err := os.ReadFile("OPERATING.md")
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile("(?s)```nginx\n(.*?)```").FindSubmatch(guide)
	if block == nil {
		t.Fatal("the guide has no example for nginx")
	}
	dir := t.TempDir()
	certificate(t, dir, "lenses.example.org")
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr, log = free.Addr().String(), filepath.Join(dir, "access.log")
	free.Close()
	site := strings.NewReplacer("listen 443 ssl", "listen "+addr+" ssl", "listen 80;", "listen unix:"+filepath.Join(dir, "80")+";", "/etc/ssl/lenses.example.org.pem", filepath.Join(dir, "cert.pem"),
		"/etc/ssl/private/lenses.example.org.key", filepath.Join(dir, "key.pem"), "/var/log/nginx/nightkeep.log", log,
		"http://127.0.0.1:8080", backend).Replace(string(block[1]))
	conf := filepath.Join(dir, "nginx.conf")
	whole := fmt.Sprintf("daemon off;\nmaster_process off;\npid %[1]s/pid;\nerror_log stderr notice;\nevents {}\nhttp {\nclient_body_temp_path %[1]s/body;\nproxy_temp_path %[1]s/proxy;\nfastcgi_temp_path %[1]s/f;\nuwsgi_temp_path %[1]s/u;\nscgi_temp_path %[1]s/s;\n%[2]s}\n", dir, site)
	if err := os.WriteFile(conf, []byte(whole), 0o600); err != nil {
		t.Fatal(err)
	}
	var heard []string
	cmd := exec.Command(tool, "-c", conf, "-e", "stderr")
	said, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	lines := bufio.NewScanner(said)
	for lines.Scan() {
		if strings.Contains(lines.Text(), "using the") { // the sockets are open by then
			go func() { _, _ = io.Copy(io.Discard, said) }()
			return addr, log
		}
		heard = append(heard, lines.Text())
	}
	t.Fatalf("nginx ended: %s", strings.Join(heard, "\n"))
	return "", ""
}

// A server behind nginx, set up as the guide says: the console and a write from
// our own page get through, one from another site is refused, and nginx' log
// holds no path.
func TestBehindNginx(t *testing.T) {
	t.Parallel()
	s := serve(t, nil, "-data", t.TempDir(), "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1")
	backend := s.until(`"serving"`, "addr")
	addr, log := nginx(t, "http://"+backend)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: "lenses.example.org"}}}
	ask := func(method, path, origin string) (int, string) {
		t.Helper()
		req, err := http.NewRequest(method, "https://"+addr+path, strings.NewReader(`{"code":"AAAA-BBBB-CCCC"}`))
		if err != nil {
			t.Fatal(err)
		}
		req.Host = "lenses.example.org"
		req.Header.Set("Content-Type", "application/json")
		if origin != "" {
			req.Header.Set("Origin", origin)
		}
		res, err := client.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		body, _ := io.ReadAll(res.Body)
		return res.StatusCode, string(body)
	}
	if code, body := ask("GET", "/clinic", ""); code != 200 || !strings.Contains(body, "Nightkeep") {
		t.Errorf("the console: %d %.100s", code, body)
	}
	ours, said := ask("POST", "/api/join", "https://lenses.example.org")
	if ours == 403 {
		t.Errorf("a write of our own page: %d %s", ours, said)
	}
	if code, body := ask("POST", "/api/join", "https://elsewhere.example.org"); code != 403 {
		t.Errorf("a write of another site: %d %s, want 403", code, body)
	}
	req, err := http.NewRequest("POST", "http://"+backend+"/api/join", strings.NewReader("{}")) // as a proxy sends it that passes no host on
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Origin", "https://lenses.example.org")
	req.Header.Set("Content-Type", "application/json")
	if res, err := http.DefaultClient.Do(req); err != nil || res.StatusCode == 403 {
		t.Errorf("a write of our own page through a proxy that keeps the host to itself: %v %v", res, err)
	}
	ask("GET", "/calendar/secret.ics?of=somebody", "")
	raw, err := os.ReadFile(log)
	if err != nil || len(raw) == 0 || strings.Contains(string(raw), "calendar") || strings.Contains(string(raw), "somebody") {
		t.Errorf("nginx logged %q, %v; want lines without paths", raw, err)
	}
}
