package app

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"path/filepath"
	"sync/atomic"
	"time"

	acmeclient "golang.org/x/crypto/acme"
	"golang.org/x/crypto/acme/autocert"

	"nightkeep/server/internal/app/machine"
)

// ACME says how the server gets its own certificate (RFC 8555). The zero value
// is not to.
type ACME struct {
	Domain    string // the one name a certificate is asked for
	Contact   string // mail address the authority writes to before a certificate runs out; may be empty
	Cache     string // folder of keys and certificates; empty: acme in the data folder
	Directory string // URL of the authority's directory; empty: the one autocert uses by itself
	HTTPAddr  string // host:port that answers the authority's question over HTTP; empty: only over TLS
}

// acme is the certificate and, when there is one, the server that answers over
// HTTP. Nil does nothing.
type acme struct {
	ACME
	manager *autocert.Manager
	leaf    atomic.Pointer[x509.Certificate] // shown last
	log     *slog.Logger
	server  *http.Server
	addr    string // of that server
}

func newACME(opt Options) *acme {
	if opt.ACME.Domain == "" {
		return nil
	}
	a := &acme{ACME: opt.ACME, log: opt.Log}
	if a.Cache == "" {
		a.Cache = filepath.Join(opt.DataDir, "acme")
	}
	a.manager = &autocert.Manager{
		Prompt: autocert.AcceptTOS, // who sets acme-domain has said so, see config
		Cache:  autocert.DirCache(a.Cache), HostPolicy: autocert.HostWhitelist(a.Domain), Email: a.Contact,
	}
	if a.Directory != "" {
		a.manager.Client = &acmeclient.Client{DirectoryURL: a.Directory}
	}
	return a
}

// tlsConfig returns what the server speaks TLS with; nil when a proxy does.
func (a *App) tlsConfig() (*tls.Config, error) {
	if a.acme != nil {
		return &tls.Config{
			GetCertificate: a.acme.certificate, MinVersion: tls.VersionTLS12,
			NextProtos: []string{"http/1.1", acmeclient.ALPNProto}, // there is no HTTP/2 here
		}, nil
	}
	if a.opt.TLSCert == "" {
		return nil, nil
	}
	pair, err := machine.NewKeyPair(a.opt.TLSCert, a.opt.TLSKey, a.typedHost(), a.opt.Log, time.Now)
	if err != nil {
		return nil, err
	}
	a.keyPair.Store(pair)
	return &tls.Config{GetCertificate: pair.Get, MinVersion: tls.VersionTLS12}, nil
}

// typedHost is the name that people type and that a certificate must be for; empty
// when it is not known, or a proxy shows its own.
func (a *App) typedHost() string {
	at, err := url.Parse(a.opt.BaseURL)
	if err != nil || len(a.Server.TrustedProxies) > 0 {
		return ""
	}
	return at.Hostname()
}

// Reload reads the certificate files again and changes nothing else: what a
// SIGHUP asks for.
func (a *App) Reload() {
	if pair := a.keyPair.Load(); pair != nil {
		pair.Reload()
		return
	}
	a.opt.Log.Info("asked to read certificate files again: there are none")
}

// certificate logs why there is none. Names that are not ours are strangers'
// business.
func (c *acme) certificate(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	cert, err := c.manager.GetCertificate(hello)
	if err != nil && hello.ServerName == c.Domain {
		c.log.Error("no certificate: is the name in the DNS, and can the authority reach this server?", "domain", c.Domain, "err", err)
	}
	if err == nil && cert.Leaf != nil && hello.ServerName == c.Domain {
		c.leaf.Store(cert.Leaf)
	}
	return cert, err
}

// listen opens the address for the authority's question over HTTP, which sends
// everybody else to HTTPS.
func (c *acme) listen() error {
	if c == nil || c.HTTPAddr == "" {
		return nil
	}
	ln, err := net.Listen("tcp", c.HTTPAddr)
	if err != nil {
		return fmt.Errorf("listen on %s: %w; choose another with -acme-http, or none and answer over TLS only", c.HTTPAddr, err)
	}
	c.server = &http.Server{
		Handler:           c.manager.HTTPHandler(http.HandlerFunc(c.toHTTPS)),
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 10 * time.Second, IdleTimeout: 30 * time.Second,
		MaxHeaderBytes: 8 << 10, ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelError),
	}
	srv := c.server
	c.addr = ln.Addr().String()
	go func() {
		if err := srv.Serve(ln); !errors.Is(err, http.ErrServerClosed) {
			c.log.Error("serve the authority's question", "err", err)
		}
	}()
	return nil
}

// toHTTPS believes no name but ours.
func (c *acme) toHTTPS(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		http.Error(w, "use https", http.StatusBadRequest)
		return
	}
	http.Redirect(w, r, "https://"+c.Domain+r.URL.RequestURI(), http.StatusMovedPermanently)
}

// QuestionAddr returns the address that answers the authority over HTTP; empty
// before [App.Listen], and when there is none.
func (a *App) QuestionAddr() string {
	if a.acme == nil {
		return ""
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.acme.addr
}

func (c *acme) close() error {
	if c == nil || c.server == nil {
		return nil
	}
	ctx, stop := context.WithTimeout(context.Background(), time.Second)
	defer stop()
	if err := c.server.Shutdown(ctx); err != nil {
		return c.server.Close()
	}
	return nil
}

// obtain gets the certificate now, so that the first visitor need not wait for
// it, and logs when there is none.
func (c *acme) obtain() {
	if c == nil {
		return
	}
	_, err := c.certificate(&tls.ClientHelloInfo{
		ServerName: c.Domain, SignatureSchemes: []tls.SignatureScheme{tls.ECDSAWithP256AndSHA256},
		SupportedCurves: []tls.CurveID{tls.CurveP256}, CipherSuites: []uint16{tls.TLS_ECDHE_ECDSA_WITH_AES_128_GCM_SHA256},
	})
	if err == nil {
		c.log.Info("certificate", "domain", c.Domain)
	}
}
