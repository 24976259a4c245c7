package app_test

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"log"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/letsencrypt/pebble/v2/ca"
	"github.com/letsencrypt/pebble/v2/db"
	"github.com/letsencrypt/pebble/v2/va"
	"github.com/letsencrypt/pebble/v2/wfe"
	"github.com/miekg/dns"

	"nightkeep/server/internal/app"
)

// authority is Pebble, the ACME server (RFC 8555) that Let's Encrypt tests clients
// with, in this process: it checks every signature and nonce, refuses one good
// nonce in twenty so that clients must ask again, and asks its question over HTTP
// (section 8.3) or over TLS (RFC 8737).
type authority struct {
	web    *httptest.Server
	roots  *x509.CertPool
	orders atomic.Int64
	log    bytes.Buffer // to be read after web is closed
}

// newAuthority starts one that asks on these ports of this machine, where its
// resolver finds every name.
func newAuthority(t *testing.T, httpPort, tlsPort int) *authority {
	t.Helper()
	a := &authority{roots: x509.NewCertPool()}
	logger, mem := log.New(&a.log, "", 0), db.NewMemoryStore()
	issuer := ca.New(logger, mem, "", "ecdsa", 0, 1, map[string]ca.Profile{"default": {Description: "default"}})
	front := wfe.New(logger, mem, va.New(logger, httpPort, tlsPort, true, resolver(t), mem), issuer, []string{"authority.example"}, true, false, 1, 1)
	pages := front.Handler()
	a.web = httptest.NewTLSServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/order-plz") {
			a.orders.Add(1)
		}
		pages.ServeHTTP(w, r)
	}))
	t.Cleanup(a.web.Close)
	a.roots.AddCert(issuer.GetRootCert(0).Cert)
	return a
}

// trustTestServers makes this process trust the servers of net/http/httptest, as
// an operator does who has an authority of their own, and lets that authority ask
// at once: it would wait up to five seconds.
func trustTestServers() (undo func(), err error) {
	web := httptest.NewUnstartedServer(nil)
	web.StartTLS()
	defer web.Close()
	f, err := os.CreateTemp("", "*.pem")
	if err != nil {
		return nil, err
	}
	_, err = f.Write(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: web.Certificate().Raw}))
	return func() { os.Remove(f.Name()) }, errors.Join(err, f.Close(), os.Setenv("SSL_CERT_FILE", f.Name()), os.Setenv("PEBBLE_VA_NOSLEEP", "1"))
}

// resolver is a DNS server for which every name is this machine.
func resolver(t *testing.T) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	srv := &dns.Server{Listener: ln, Handler: dns.HandlerFunc(func(w dns.ResponseWriter, q *dns.Msg) {
		m := new(dns.Msg).SetReply(q)
		if name := q.Question[0]; name.Qtype == dns.TypeA {
			m.Answer = []dns.RR{&dns.A{Hdr: dns.RR_Header{Name: name.Name, Rrtype: dns.TypeA, Class: dns.ClassINET, Ttl: 1}, A: net.IPv4(127, 0, 0, 1)}}
		}
		_ = w.WriteMsg(m)
	})}
	up := make(chan struct{})
	srv.NotifyStartedFunc = func() { close(up) }
	go func() { _ = srv.ActivateAndServe() }()
	<-up
	t.Cleanup(func() { _ = srv.Shutdown() })
	return ln.Addr().String()
}

// portEighty passes a request on as port 80 would: its name has no port.
func portEighty(t *testing.T, to int) int {
	t.Helper()
	web := httptest.NewServer(&httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(&url.URL{Scheme: "http", Host: fmt.Sprintf("127.0.0.1:%d", to)})
		r.Out.Host = strings.Split(r.In.Host, ":")[0]
	}})
	t.Cleanup(web.Close)
	return web.Listener.Addr().(*net.TCPAddr).Port
}

// freePorts returns ports of this machine that nothing listens on.
func freePorts(t *testing.T) (a, b int) {
	t.Helper()
	var ports [2]int
	for i := range ports {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer ln.Close()
		ports[i] = ln.Addr().(*net.TCPAddr).Port
	}
	return ports[0], ports[1]
}

const acmeDomain = "lenses.example.org"

// visit is a browser that trusts the authority and asks a name of an address.
func (a *authority) visit(name, addr, path string) (*http.Response, error) {
	client := http.Client{Transport: &http.Transport{
		DisableKeepAlives: true, ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: a.roots},
		DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) {
			return new(net.Dialer).DialContext(ctx, "tcp", addr)
		},
	}}
	return client.Get("https://" + name + path)
}

// A server that gets its own certificate is reached over HTTPS by its name and
// by no other, says so to browsers for a year (RFC 6797), keeps key and
// certificate where only its owner reads them, and asks the authority once:
// after a restart it has what it needs.
func TestOwnCertificate(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"http-01", "tls-alpn-01"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			web, secure := freePorts(t)
			auth := newAuthority(t, 0, secure)
			if kind == "http-01" {
				closed, _ := freePorts(t) // another server has the name's port 443: over TLS nothing answers
				auth = newAuthority(t, portEighty(t, web), closed)
			}
			opt := app.Options{
				Addr: fmt.Sprintf("127.0.0.1:%d", secure), DataDir: t.TempDir(), Dev: true, BaseURL: "https://" + acmeDomain, Secure: true, Log: slog.New(slog.DiscardHandler),
				ACME: app.ACME{Domain: acmeDomain, Contact: "ops@example.org", Directory: auth.web.URL + "/dir"},
			}
			if kind == "http-01" {
				opt.ACME.HTTPAddr = fmt.Sprintf("127.0.0.1:%d", web)
			}
			visitOwn(t, auth, opt)
			asked := auth.orders.Load()
			if visitOwn(t, auth, opt); asked == 0 || auth.orders.Load() != asked {
				t.Errorf("%d orders, and %d after a restart; want some, and no more", asked, auth.orders.Load())
			}
			cache := filepath.Join(opt.DataDir, "acme")
			for _, name := range files(t, cache) {
				info, err := os.Stat(filepath.Join(cache, name))
				if err != nil || info.Mode().Perm() != 0o600 {
					t.Errorf("%s has mode %v, %v; want 0600", name, info.Mode().Perm(), err)
				}
			}
			if info, err := os.Stat(cache); err != nil || info.Mode().Perm() != 0o700 {
				t.Errorf("the folder has mode %v, %v; want 0700", info.Mode().Perm(), err)
			}
		})
	}
}

func visitOwn(t *testing.T, auth *authority, opt app.Options) {
	t.Helper()
	a, err := app.New(opt)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := a.Stop(); err != nil {
			t.Error(err)
		}
	}()
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	res, err := auth.visit(acmeDomain, a.Addr(), "/api/openapi.json")
	if err != nil {
		auth.web.Close()
		t.Fatalf("%v; the authority says:\n%s", err, auth.log.String())
	}
	res.Body.Close()
	if hsts := res.Header.Get("Strict-Transport-Security"); res.StatusCode != 200 || res.ProtoMajor != 1 || !strings.HasPrefix(hsts, "max-age=31536000") {
		t.Errorf("answered %s over HTTP/%d, HSTS %q", res.Status, res.ProtoMajor, hsts)
	}
	if res, err := auth.visit("other.example.org", a.Addr(), "/"); err == nil {
		res.Body.Close()
		t.Error("it answers under another name")
	}
	if addr := a.QuestionAddr(); addr != "" {
		sendsToHTTPS(t, addr)
	}
}

// Over HTTP nothing is answered but where to go, whatever name was asked.
func sendsToHTTPS(t *testing.T, addr string) {
	t.Helper()
	req, err := http.NewRequest("GET", "http://"+addr+"/join?x=1", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Host = "evil.example"
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if to := res.Header.Get("Location"); res.StatusCode != 301 || to != "https://lenses.example.org/join?x=1" {
		t.Errorf("answered %s to %q", res.Status, to)
	}
}
