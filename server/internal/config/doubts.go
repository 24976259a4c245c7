package config

import (
	"fmt"
	"net"
	"net/url"
	"slices"
	"strings"
)

// Doubts says what may be meant otherwise: an address that others reach without
// TLS, a port that is not the one in base-url, a variable of the environment
// that no setting has. Nothing of it is refused, since it can be meant.
func (c *Config) Doubts(environ []string) []string {
	var out []string
	ownTLS := c.TLSCert != "" || c.ACMEDomain != ""
	_, port, _ := net.SplitHostPort(c.Addr)
	if !OwnMachine(c.Addr) && !ownTLS && len(c.TrustedProxies) == 0 {
		out = append(out, "OTHERS CAN READ WHAT IS SENT: "+c.Addr+" can be reached from other machines, without TLS and without a proxy that is named; see the three ways to HTTPS in the operator's guide")
	}
	if u, err := url.Parse(c.BaseURL); err == nil && c.BaseURL != "" && len(c.TrustedProxies) == 0 && port != "0" && portOf(u) != port {
		out = append(out, fmt.Sprintf("base-url %s leads to port %s and the server listens on %s: name the proxy between them with trusted-proxies, or links will not reach it", c.BaseURL, portOf(u), port))
	}
	if u, err := url.Parse(c.BaseURL); err == nil && u.Scheme == "http" && !thisMachine(u.Hostname()) {
		out = append(out, "base-url "+c.BaseURL+" begins with http://: a browser takes no passkey there, keeps no app for offline use and shows no notification, and others on the way can read what is sent; want https://, see the three ways to HTTPS in the operator's guide")
	}
	return append(out, strange(environ)...)
}

// OwnMachine reports whether an address to listen on is reached from this
// machine only.
func OwnMachine(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	return err == nil && thisMachine(host)
}

func portOf(u *url.URL) string {
	switch {
	case u.Port() != "":
		return u.Port()
	case u.Scheme == "https":
		return "443"
	}
	return "80"
}

// strange names variables that look like settings and are none.
func strange(environ []string) []string {
	known := []string{Env("backup-identity") + "_FILE"}
	for _, s := range table() {
		known = append(known, Env(s.name), Env(s.name)+"_FILE")
	}
	var out []string
	for _, kv := range environ {
		if name, _, _ := strings.Cut(kv, "="); strings.HasPrefix(name, "NIGHTKEEP_") && !slices.Contains(known, name) {
			out = append(out, "the environment has "+name+", which is no setting and changes nothing; serve -print-config lists those that are")
		}
	}
	slices.Sort(out)
	return out
}
