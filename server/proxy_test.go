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
	"sync"
	"testing"
)

var untrusting = &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, ServerName: "lenses.example.org"}}}

// proxy is a web server of the packages, set up as the operator's guide says.
type proxy struct {
	addr  string        // host:port where it speaks HTTPS
	wrote func() string // all that it has logged, wherever
}

// example is what the operator's guide gives as an example in a language.
func example(t *testing.T, language string) string {
	t.Helper()
	guide, err := os.ReadFile("OPERATING.md")
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile("(?s)```" + language + "\n(.*?)```").FindSubmatch(guide)
	if block == nil {
		t.Fatalf("the guide has no example for %s", language)
	}
	return string(block[1])
}

// launch starts a program of the packages, waits until its standard error says
// that it listens, and returns what it says there from then on.
func launch(t *testing.T, cmd *exec.Cmd, listens string) (said func() string) {
	t.Helper()
	pipe, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal("the test of proxies needs what the test command installs:", err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	var mu sync.Mutex
	var heard strings.Builder
	up := make(chan bool, 1)
	go func() {
		for lines := bufio.NewScanner(pipe); lines.Scan(); {
			mu.Lock()
			heard.WriteString(lines.Text() + "\n")
			mu.Unlock()
			if strings.Contains(lines.Text(), listens) {
				select {
				case up <- true:
				default:
				}
			}
		}
		close(up)
	}()
	said = func() string {
		mu.Lock()
		defer mu.Unlock()
		return heard.String()
	}
	if !<-up {
		t.Fatalf("%s ended: %s", cmd.Path, said())
	}
	return said
}

// freeAddress is one of this machine where nobody listens.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// nginx starts nginx with the server block of the operator's guide, its names
// and files replaced by this test's, before a server at backend, with http: or
// https:.
func nginx(t *testing.T, backend string) proxy {
	t.Helper()
	dir, addr := t.TempDir(), freeAddress(t)
	certificate(t, dir, "lenses.example.org")
	log := filepath.Join(dir, "access.log")
	site := strings.NewReplacer("listen 443 ssl", "listen "+addr+" ssl", "listen 80;", "listen unix:"+filepath.Join(dir, "80")+";", "/etc/ssl/lenses.example.org.pem", filepath.Join(dir, "cert.pem"),
		"/etc/ssl/private/lenses.example.org.key", filepath.Join(dir, "key.pem"), "/var/log/nginx/nightkeep.log", log,
		"http://127.0.0.1:8080", backend).Replace(example(t, "nginx"))
	conf := filepath.Join(dir, "nginx.conf")
	whole := fmt.Sprintf("daemon off;\nmaster_process off;\npid %[1]s/pid;\nerror_log stderr notice;\nevents {}\nhttp {\nclient_body_temp_path %[1]s/body;\nproxy_temp_path %[1]s/proxy;\nfastcgi_temp_path %[1]s/f;\nuwsgi_temp_path %[1]s/u;\nscgi_temp_path %[1]s/s;\n%[2]s}\n", dir, site)
	if err := os.WriteFile(conf, []byte(whole), 0o600); err != nil {
		t.Fatal(err)
	}
	said := launch(t, exec.Command("nginx", "-c", conf, "-e", "stderr"), "using the") // the sockets are open by then
	return proxy{addr, func() string {
		raw, err := os.ReadFile(log)
		if err != nil || len(raw) == 0 {
			t.Errorf("nginx keeps no log of what it was asked: %q, %v", raw, err)
		}
		return said() + string(raw)
	}}
}

// caddy is the same for Caddy, with a certificate of this test's in place of one
// that it would get for itself.
func caddy(t *testing.T, backend string) proxy {
	t.Helper()
	dir, addr := t.TempDir(), freeAddress(t)
	certificate(t, dir, "lenses.example.org")
	_, port, _ := net.SplitHostPort(addr)
	site := strings.NewReplacer("{\n    log default", "{\n    admin off\n    auto_https disable_redirects\n    https_port "+port+"\n    log default",
		"lenses.example.org {", fmt.Sprintf("lenses.example.org {\n    bind 127.0.0.1\n    tls %s %s", filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")),
		"127.0.0.1:8080", strings.TrimPrefix(backend, "http://")).Replace(example(t, "caddy"))
	conf := filepath.Join(dir, "Caddyfile")
	if err := os.WriteFile(conf, []byte(site), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("caddy", "run", "--config", conf, "--adapter", "caddyfile")
	cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_DATA_HOME="+dir)
	return proxy{addr, launch(t, cmd, "serving initial configuration")}
}

// A server behind each proxy of the guide, set up as it says: the console and a
// write from our own page get through, one from another site is refused, and
// nothing that the proxy logs holds a path, also when the server does not answer:
// that of a calendar is its key.
func TestBehindAProxy(t *testing.T) {
	t.Parallel()
	for name, start := range map[string]func(*testing.T, string) proxy{"nginx": nginx, "caddy": caddy} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := serve(t, nil, "-data", t.TempDir(), "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1")
			backend := s.until(`"serving"`, "addr")
			front := start(t, "http://"+backend)
			ask := func(method, path, origin string) (int, string) {
				t.Helper()
				req, err := http.NewRequest(method, "https://"+front.addr+path, strings.NewReader(`{"code":"AAAA-BBBB-CCCC"}`))
				if err != nil {
					t.Fatal(err)
				}
				req.Host = "lenses.example.org"
				req.Header.Set("Content-Type", "application/json")
				if origin != "" {
					req.Header.Set("Origin", origin)
				}
				res, err := untrusting.Do(req)
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
			// No such code, and no refusal as another site's.
			if code, said := ask("POST", "/api/join", "https://lenses.example.org"); code == 403 || code >= 500 {
				t.Errorf("a write of our own page: %d %s", code, said)
			}
			if code, body := ask("POST", "/api/join", "https://elsewhere.example.org"); code != 403 {
				t.Errorf("a write of another site: %d %s, want 403", code, body)
			}
			ask("GET", "/calendar/secret.ics?of=somebody", "")
			s.stop()
			if code, body := ask("GET", "/calendar/secret.ics?of=somebody", ""); code != 502 {
				t.Errorf("without a server: %d %s, want 502", code, body)
			}
			if raw := front.wrote(); raw == "" || strings.Contains(raw, "calendar") || strings.Contains(raw, "somebody") {
				t.Errorf("%s logged %s; want words without paths", name, raw)
			}
		})
	}
}

// A write of our own page through a proxy that does not pass the name on by which
// it was asked.
func TestAProxyMayKeepTheHostToItself(t *testing.T) {
	t.Parallel()
	s := serve(t, nil, "-data", t.TempDir(), "-base-url", "https://lenses.example.org", "-trusted-proxies", "127.0.0.1")
	req, err := http.NewRequest("POST", "http://"+s.until(`"serving"`, "addr")+"/api/join", strings.NewReader("{}"))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Origin", "https://lenses.example.org")
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode == 403 {
		t.Errorf("refused: %s", res.Status)
	}
}
