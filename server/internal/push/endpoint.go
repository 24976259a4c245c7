package push

import (
	"context"
	"crypto/ecdh"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"syscall"
	"time"
)

const (
	maxEndpoint = 2048 // characters
	maxTopic    = 32   // characters, RFC 8030 section 5.4
)

// CheckEndpoint refuses an address that this server must not post to: a
// subscription comes from a browser, so it could name anything (server-side
// request forgery). Accepted: https, port 443, a public host name, no user
// name, no fragment. The address behind the name is checked when dialling.
func CheckEndpoint(endpoint string) error {
	bad := func(want string) error { return errors.New("push: endpoint: " + want) }
	u, err := url.Parse(endpoint)
	switch {
	case err != nil || len(endpoint) > maxEndpoint || strings.ContainsAny(endpoint, "\\ \t\r\n"):
		return bad("want the URL a browser's push subscription gives")
	case u.Scheme != "https" || u.Opaque != "":
		return bad("want https")
	case u.User != nil || u.Fragment != "":
		return bad("want no user name and no fragment")
	case u.Port() != "" && u.Port() != "443":
		return bad("want port 443")
	case !publicName(u.Hostname()):
		return bad("want the public host name of a push service")
	}
	return nil
}

// CheckEndpoint is [CheckEndpoint], or with AllowPrivate only a check that it
// is an http or https URL.
func (s *Sender) CheckEndpoint(endpoint string) error {
	if !s.AllowPrivate {
		return CheckEndpoint(endpoint)
	}
	if u, err := url.Parse(endpoint); err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return errors.New("push: endpoint: want an http or https URL")
	}
	return nil
}

// publicName reports whether host is a name of at least two labels outside the
// domains kept for private use, tests and this machine (RFC 6761, 6762, 8375,
// 9476). An address in any spelling is not a name.
func publicName(host string) bool {
	labels := strings.Split(strings.ToLower(host), ".")
	last := labels[len(labels)-1]
	if len(labels) < 2 || len(host) > 253 || slices.Contains(labels, "") {
		return false
	}
	if strings.HasSuffix(strings.ToLower(host), ".home.arpa") {
		return false
	}
	for _, c := range strings.ToLower(host) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' && c != '.' {
			return false
		}
	}
	private := []string{"local", "localhost", "internal", "invalid", "test", "onion", "alt", "lan", "intranet", "corp", "home"}
	return !slices.Contains(private, last) && (last[0] < '0' || last[0] > '9')
}

// special are blocks of the IANA special-purpose address registries that the
// methods of [netip.Addr] do not cover.
func special() []netip.Prefix {
	var out []netip.Prefix
	for _, s := range []string{
		"0.0.0.0/8", "100.64.0.0/10", "192.0.0.0/24", "192.0.2.0/24", "192.88.99.0/24", "198.18.0.0/15",
		"198.51.100.0/24", "203.0.113.0/24", "240.0.0.0/4",
		"2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20",
	} {
		out = append(out, netip.MustParsePrefix(s))
	}
	return out
}

// publicAddr reports whether an address is on the open Internet. Of IPv6 only
// 2000::/3 is (RFC 4291), which leaves out every form that wraps an IPv4
// address.
func publicAddr(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	if !a.IsGlobalUnicast() || a.IsPrivate() || a.IsLinkLocalUnicast() || a.IsLoopback() {
		return false
	}
	if a.Is6() && !netip.MustParsePrefix("2000::/3").Contains(a) {
		return false
	}
	return !slices.ContainsFunc(special(), func(p netip.Prefix) bool { return p.Contains(a) })
}

// guardedClient returns a client with time limits that follows no redirect,
// uses no proxy, and looks at every address just before it connects, so that
// neither a name that resolves inwards nor one that changes gets through.
func (s *Sender) guardedClient() *http.Client {
	dialer := &net.Dialer{Timeout: timeout / 2, ControlContext: func(_ context.Context, _, addr string, _ syscall.RawConn) error {
		return s.checkDial(addr)
	}}
	return &http.Client{
		Timeout:       timeout,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{
			DialContext: dialer.DialContext, ForceAttemptHTTP2: true, TLSHandshakeTimeout: timeout / 2,
			MaxIdleConnsPerHost: perService, MaxConnsPerHost: perService, IdleConnTimeout: 90 * time.Second, MaxResponseHeaderBytes: 64 << 10,
		},
	}
}

func (s *Sender) checkDial(addr string) error {
	if s.AllowPrivate {
		return nil
	}
	ap, err := netip.ParseAddrPort(addr)
	if err != nil || ap.Port() != 443 || !publicAddr(ap.Addr()) {
		return errors.New("push: address is not on the open Internet, or not port 443")
	}
	return nil
}

// checkKeys reports whether the browser's keys have the form of RFC 8291
// section 3: a point on P-256, and 16 bytes.
func (s Subscription) checkKeys() error {
	point, err := decode(s.P256dh)
	if err == nil {
		_, err = ecdh.P256().NewPublicKey(point)
	}
	if err != nil {
		return errors.New("push: p256dh: want a P-256 public key as base64url")
	}
	if auth, err := decode(s.Auth); err != nil || len(auth) != 16 {
		return errors.New("push: auth: want 16 bytes as base64url")
	}
	return nil
}

// Check refuses a subscription that could never be sent to.
func (s *Sender) Check(sub Subscription) error {
	if err := s.CheckEndpoint(sub.Endpoint); err != nil {
		return err
	}
	return sub.checkKeys()
}

// decode reads base64url with or without padding.
func decode(s string) ([]byte, error) {
	return base64.RawURLEncoding.DecodeString(strings.TrimRight(s, "="))
}

// TopicOf returns a topic for a tag: 32 characters of base64url that tell the
// push service nothing. Messages with one tag replace each other.
func TopicOf(tag string) string {
	sum := sha256.Sum256([]byte(tag))
	return base64.RawURLEncoding.EncodeToString(sum[:24])
}

// checkTopic allows at most 32 characters of base64url (RFC 8030 section 5.4).
// One large push service decodes the topic, so a length that no encoding has
// is refused here rather than there.
func checkTopic(t string) error {
	if len(t) > maxTopic || len(t)%4 == 1 {
		return fmt.Errorf("push: topic of %d characters: want at most %d, and not one more than a multiple of four", len(t), maxTopic)
	}
	for _, c := range t {
		if !strings.ContainsRune("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_", c) {
			return errors.New("push: topic: want letters, digits, - and _ only")
		}
	}
	return nil
}
