package app_test

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base64"
	"encoding/json"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"nightkeep/server/internal/app"
)

// authority is an ACME server after RFC 8555 with one order at a time. It
// believes who sends what, and asks the one question it is made for: over HTTP
// (section 8.3) or over TLS (RFC 8737).
type authority struct {
	t    *testing.T
	kind string // http-01 or tls-alpn-01
	web  *httptest.Server
	key  *ecdsa.PrivateKey
	cert *x509.Certificate

	mu       sync.Mutex
	ask      string // address the question goes to
	thumb    string // of the account's key, RFC 7638
	orders   int
	valid    bool
	issued   []byte
	question error // what was wrong with the answer
}

const acmeToken = "LoqXcYV8q5ONbJQxbmR7SCTNo3tiAXDfowyjxAjEuX0" // the token of RFC 8555, section 8.3

func newAuthority(t *testing.T, kind string) *authority {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	root := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test authority"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(24 * time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign,
	}
	raw, err := x509.CreateCertificate(rand.Reader, root, root, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	a := &authority{t: t, kind: kind, key: key}
	if a.cert, err = x509.ParseCertificate(raw); err != nil {
		t.Fatal(err)
	}
	a.web = httptest.NewServer(http.HandlerFunc(a.serve))
	t.Cleanup(a.web.Close)
	return a
}

// jws reads what a client signed; the signature is not this test's matter.
func jws(r *http.Request, payload any) (jwk map[string]string) {
	var body struct{ Protected, Payload string }
	var head struct {
		JWK map[string]string `json:"jwk"`
	}
	raw, _ := io.ReadAll(r.Body)
	_ = json.Unmarshal(raw, &body)
	text, _ := base64.RawURLEncoding.DecodeString(body.Protected)
	_ = json.Unmarshal(text, &head)
	text, _ = base64.RawURLEncoding.DecodeString(body.Payload)
	_ = json.Unmarshal(text, payload)
	return head.JWK
}

func (a *authority) serve(w http.ResponseWriter, r *http.Request) {
	a.mu.Lock()
	defer a.mu.Unlock()
	w.Header().Set("Replay-Nonce", rand.Text())
	at := a.web.URL
	order := func(status string) map[string]any {
		o := map[string]any{"status": status, "authorizations": []string{at + "/authz"}, "finalize": at + "/finalize", "identifiers": []any{map[string]string{"type": "dns", "value": acmeDomain}}}
		if status == "valid" {
			o["certificate"] = at + "/cert"
		}
		w.Header().Set("Location", at+"/order")
		return o
	}
	challenge := func() map[string]any {
		return map[string]any{"type": a.kind, "url": at + "/challenge", "token": acmeToken, "status": map[bool]string{true: "valid", false: "pending"}[a.valid]}
	}
	answer := func(status int, v any) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(status)
		_ = json.NewEncoder(w).Encode(v)
	}
	switch r.URL.Path {
	case "/directory":
		answer(200, map[string]any{"newNonce": at + "/nonce", "newAccount": at + "/account", "newOrder": at + "/new-order", "revokeCert": at + "/revoke", "keyChange": at + "/key",
			"meta": map[string]string{"termsOfService": at + "/terms"}})
	case "/nonce":
		w.WriteHeader(200)
	case "/account":
		var agreed struct {
			TermsOfServiceAgreed bool     `json:"termsOfServiceAgreed"`
			Contact              []string `json:"contact"`
		}
		if jwk := jws(r, &agreed); jwk != nil {
			sum := sha256.Sum256(fmt.Appendf(nil, `{"crv":%q,"kty":%q,"x":%q,"y":%q}`, jwk["crv"], jwk["kty"], jwk["x"], jwk["y"]))
			a.thumb = base64.RawURLEncoding.EncodeToString(sum[:])
		}
		w.Header().Set("Location", at+"/account/1")
		answer(201, map[string]any{"status": "valid", "contact": agreed.Contact})
	case "/new-order":
		a.orders++
		a.valid = false
		answer(201, order("pending"))
	case "/order":
		switch {
		case a.issued != nil:
			answer(200, order("valid"))
		case a.valid:
			answer(200, order("ready"))
		default:
			answer(200, order("pending"))
		}
	case "/authz":
		answer(200, map[string]any{"status": map[bool]string{true: "valid", false: "pending"}[a.valid], "identifier": map[string]string{"type": "dns", "value": acmeDomain}, "challenges": []any{challenge()}})
	case "/challenge":
		if a.question = a.check(); a.question == nil {
			a.valid = true
		}
		answer(200, challenge())
	case "/finalize":
		var p struct{ CSR string }
		jws(r, &p)
		a.issue(p.CSR)
		answer(200, order("valid"))
	case "/cert":
		w.Header().Set("Content-Type", "application/pem-certificate-chain")
		_, _ = w.Write(a.issued)
	default:
		answer(200, map[string]any{"status": "deactivated"})
	}
}

// check asks the question of the challenge.
func (a *authority) check() error {
	want := acmeToken + "." + a.thumb
	if a.kind == "http-01" {
		req, err := http.NewRequest("GET", "http://"+a.ask+"/.well-known/acme-challenge/"+acmeToken, nil)
		if err != nil {
			return err
		}
		req.Host = acmeDomain
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			return err
		}
		defer res.Body.Close()
		if raw, err := io.ReadAll(res.Body); err != nil || string(raw) != want {
			return fmt.Errorf("answered %d %q, %w; want %q", res.StatusCode, raw, err, want)
		}
		return nil
	}
	c, err := tls.Dial("tcp", a.ask, &tls.Config{ServerName: acmeDomain, NextProtos: []string{"acme-tls/1"}, InsecureSkipVerify: true}) //nolint:gosec // RFC 8737: the answer stands in the certificate
	if err != nil {
		return err
	}
	defer c.Close()
	sum := sha256.Sum256([]byte(want))
	for _, x := range c.ConnectionState().PeerCertificates[0].Extensions {
		if x.Id.String() == "1.3.6.1.5.5.7.1.31" && string(x.Value) == "\x04\x20"+string(sum[:]) {
			return nil
		}
	}
	return errors.New("the certificate holds no answer")
}

func (a *authority) issue(csr string) {
	raw, err := base64.RawURLEncoding.DecodeString(csr)
	if err != nil {
		a.t.Error(err)
	}
	req, err := x509.ParseCertificateRequest(raw)
	if err != nil {
		a.t.Error(err)
		return
	}
	leaf := &x509.Certificate{SerialNumber: big.NewInt(2), DNSNames: req.DNSNames, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().AddDate(0, 0, 90), ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	der, err := x509.CreateCertificate(rand.Reader, leaf, a.cert, req.PublicKey, a.key)
	if err != nil {
		a.t.Error(err)
	}
	a.issued = append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.cert.Raw})...)
}

const acmeDomain = "lenses.example.org"

// visit is a browser that trusts the authority and asks a name of an address.
func (a *authority) visit(name, addr, path string) (*http.Response, error) {
	roots := x509.NewCertPool()
	roots.AddCert(a.cert)
	client := http.Client{Transport: &http.Transport{
		DisableKeepAlives: true, ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: roots},
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
			auth := newAuthority(t, kind)
			opt := app.Options{
				Addr: "127.0.0.1:0", DataDir: t.TempDir(), Dev: true, BaseURL: "https://" + acmeDomain, Secure: true, Log: slog.New(slog.DiscardHandler),
				ACME: app.ACME{Domain: acmeDomain, Contact: "ops@example.org", Directory: auth.web.URL + "/directory"},
			}
			if kind == "http-01" {
				opt.ACME.HTTPAddr = "127.0.0.1:0"
			}
			for range 2 {
				visitOwn(t, auth, opt)
			}
			auth.mu.Lock()
			defer auth.mu.Unlock()
			if auth.orders != 1 {
				t.Errorf("%d orders, want 1", auth.orders)
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
	auth.mu.Lock()
	if auth.ask = a.QuestionAddr(); auth.ask == "" {
		auth.ask = a.Addr()
	}
	auth.mu.Unlock()
	res, err := auth.visit(acmeDomain, a.Addr(), "/api/openapi.json")
	if err != nil {
		auth.mu.Lock()
		defer auth.mu.Unlock()
		t.Fatalf("%v; the authority says: %v", err, auth.question)
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
