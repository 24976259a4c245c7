// Package config reads the settings of `serve`: one table, from flags and
// environment, units in the values, secrets also from a file. Every fault is
// reported at once.
package config

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/mail"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"filippo.io/age"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/seal"
)

// Config is how a practice's server runs.
type Config struct {
	Addr        string
	Data        string
	BaseURL     string
	Contact     string // mail address of whoever runs the server
	SMTP        string // host:port; empty: no mail
	SMTPUser    string
	SMTPPass    string
	MailFrom    string
	BackupDir   string
	BackupEvery time.Duration
	BackupKeep  int
	// BackupRecipients are the public keys scheduled backups are encrypted for;
	// none: they are not encrypted.
	BackupRecipients []age.Recipient
	TLSCert          string
	TLSKey           string
	// The server's own certificate; an empty domain: none is asked for.
	ACMEDomain, ACMEContact, ACMECache, ACMEDirectory, ACMEHTTP, acmeTerms string
	// TrustedProxies are the proxies whose forwarded addresses are believed.
	TrustedProxies []netip.Prefix
	MetricsToken   string
	PrintConfig    bool
	// Rehearsal serves a backup restored to be tried: nothing leaves.
	Rehearsal bool
	values    map[string]string // as given, by name
}

// setting is one row of the table.
type setting struct {
	name, usual, doc string
	secret           bool
	set              func(*Config, string) error
}

// text makes the setter of a plain text.
func text(field func(*Config) *string) func(*Config, string) error {
	return func(c *Config, v string) error { *field(c) = v; return nil }
}

func table() []setting {
	return []setting{
		{"addr", "127.0.0.1:8080", "address to listen on", false, text(func(c *Config) *string { return &c.Addr })},
		{"data", "data", "folder of the data file", false, text(func(c *Config) *string { return &c.Data })},
		{"base-url", "", "address as people type it, e.g. https://lenses.example.org", false, text(func(c *Config) *string { return &c.BaseURL })},
		{"contact", "", "mail address of whoever runs the server; push services ask for it", false, text(func(c *Config) *string { return &c.Contact })},
		{"smtp", "", "mail server as host:port, with STARTTLS or TLS; empty: no mail is sent", false, text(func(c *Config) *string { return &c.SMTP })},
		{"smtp-user", "", "user name at the mail server", false, text(func(c *Config) *string { return &c.SMTPUser })},
		{"smtp-password", "", "password at the mail server", true, text(func(c *Config) *string { return &c.SMTPPass })},
		{"mail-from", "", "sender address of mails", false, text(func(c *Config) *string { return &c.MailFrom })},
		{"backup-dir", "", "folder for scheduled backups, on a local disk; empty: none", false, text(func(c *Config) *string { return &c.BackupDir })},
		{"backup-every", "24h", "time between scheduled backups, e.g. 12h; 1h or more", false, func(c *Config, v string) (err error) {
			if c.BackupEvery, err = time.ParseDuration(v); err != nil {
				return errors.New("want a time with its unit, e.g. 12h")
			}
			return nil
		}},
		{"backup-keep", "14", "how many scheduled backups are kept", false, func(c *Config, v string) (err error) {
			if c.BackupKeep, err = strconv.Atoi(v); err != nil {
				return errors.New("want a whole number")
			}
			return nil
		}},
		{"backup-recipient", "", "public key (age1…), or a file of such keys, that scheduled backups are encrypted for; empty: not encrypted", false, func(c *Config, v string) (err error) {
			c.BackupRecipients, err = seal.Recipients(v)
			return err
		}},
		{"tls-cert", "", "certificate file, when the server speaks TLS itself", false, text(func(c *Config) *string { return &c.TLSCert })},
		{"tls-key", "", "key file of the certificate", false, text(func(c *Config) *string { return &c.TLSKey })},
		{"acme-domain", "", "name to get a certificate for from an ACME authority (RFC 8555), e.g. lenses.example.org; empty: none", false, text(func(c *Config) *string { return &c.ACMEDomain })},
		{"acme-accept-terms", "", "yes: you accept the authority's terms of service", false, text(func(c *Config) *string { return &c.acmeTerms })},
		{"acme-contact", "", "mail address the authority writes to when a certificate is about to run out; empty: none", false, text(func(c *Config) *string { return &c.ACMEContact })},
		{"acme-cache", "", "folder for the certificate and its key; empty: acme in the data folder", false, text(func(c *Config) *string { return &c.ACMECache })},
		{"acme-directory", "", "address of the authority's directory; empty: Let's Encrypt", false, text(func(c *Config) *string { return &c.ACMEDirectory })},
		{"acme-http", ":80", "address that answers the authority's question over HTTP and sends everybody else to HTTPS; none: answer over TLS only, on port 443", false, func(c *Config, v string) error {
			if c.ACMEHTTP = v; v == "none" {
				c.ACMEHTTP = ""
			}
			return nil
		}},
		{"trusted-proxies", "", "addresses or networks of proxies whose X-Forwarded-For is believed, separated by commas, e.g. 127.0.0.1", false, setProxies},
		{"metrics-token", "", "bearer token that /metrics asks for; empty: this machine only, and only without a public base-url", true, text(func(c *Config) *string { return &c.MetricsToken })},
	}
}

// setProxies reads addresses and networks.
func setProxies(c *Config, v string) error {
	for item := range strings.SplitSeq(v, ",") {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		if a, err := netip.ParseAddr(item); err == nil {
			c.TrustedProxies = append(c.TrustedProxies, netip.PrefixFrom(a, a.BitLen()))
			continue
		}
		p, err := netip.ParsePrefix(item)
		if err != nil {
			return fmt.Errorf("%q: want an address such as 127.0.0.1 or a network such as 10.0.0.0/8", item)
		}
		c.TrustedProxies = append(c.TrustedProxies, p)
	}
	return nil
}

// Env returns the environment variable of a setting.
func Env(name string) string {
	return "NIGHTKEEP_" + strings.ToUpper(strings.ReplaceAll(name, "-", "_"))
}

// Load reads flags, then the environment, then the usual values, and checks
// them all. getenv is os.Getenv outside tests. The flag package's ErrHelp comes
// back as it is.
func Load(args []string, getenv func(string) string, out io.Writer) (Config, error) {
	c := Config{values: map[string]string{}}
	fs := flag.NewFlagSet("serve", flag.ContinueOnError)
	fs.SetOutput(out)
	given := map[string]*string{}
	for _, s := range table() {
		given[s.name] = fs.String(s.name, s.usual, s.doc+" ("+s.from()+")")
	}
	fs.BoolVar(&c.Rehearsal, "rehearsal", false, "serve a backup put in place by restore -rehearsal: everything runs, nothing leaves")
	fs.BoolVar(&c.PrintConfig, "print-config", false, "print the settings, secrets hidden, and end")
	if err := fs.Parse(args); err != nil {
		return c, err
	}
	set := map[string]bool{}
	fs.Visit(func(f *flag.Flag) { set[f.Name] = true })
	var faults []error
	if fs.NArg() > 0 {
		faults = append(faults, fmt.Errorf("unexpected argument %q", fs.Arg(0)))
	}
	for _, s := range table() {
		v := *given[s.name]
		if set[s.name] && s.secret {
			faults = append(faults, fmt.Errorf("%s: a flag shows in the machine's list of processes; set it %s", s.name, s.from()))
			v = ""
		} else if !set[s.name] {
			env, err := fromEnv(s.name, getenv)
			if err != nil {
				faults = append(faults, err)
			}
			if env != "" {
				v = env
			}
		}
		c.values[s.name] = v
		if err := s.set(&c, v); err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", s.name, err))
		}
	}
	return c, errors.Join(append(faults, c.check()...)...)
}

// from says where a setting may stand beside its flag; a secret has no flag.
func (s setting) from() string {
	places := Env(s.name) + ", or a file named in " + Env(s.name) + "_FILE"
	if s.secret {
		return "only in " + places
	}
	return places
}

func fromEnv(name string, getenv func(string) string) (string, error) {
	if path := getenv(Env(name) + "_FILE"); path != "" {
		raw, err := os.ReadFile(path)
		if err != nil {
			return "", fmt.Errorf("%s_FILE: %w", Env(name), err)
		}
		return strings.TrimSpace(string(raw)), nil
	}
	return getenv(Env(name)), nil
}

func (c *Config) check() []error {
	var faults []error
	want := func(ok bool, name, accepts string) {
		if !ok {
			faults = append(faults, fmt.Errorf("%s: want %s", name, accepts))
		}
	}
	hostPort := func(s string) bool {
		_, port, err := net.SplitHostPort(s)
		if err == nil {
			_, err = net.LookupPort("tcp", port)
		}
		return err == nil
	}
	address := func(s string) bool {
		a, err := mail.ParseAddress(s)
		return err == nil && care.ReachableDomain(a.Address)
	}
	want(hostPort(c.Addr), "addr", "host:port, e.g. 127.0.0.1:8080")
	want(c.Data != "", "data", "a folder")
	u, err := url.Parse(c.BaseURL)
	want(c.BaseURL == "" || err == nil && u.Host != "" && slices.Contains([]string{"http", "https"}, u.Scheme) && bare(u), "base-url", "an address such as https://lenses.example.org")
	want(c.Contact == "" || address(c.Contact), "contact", "a mail address such as you@example.org")
	want(c.SMTP == "" || hostPort(c.SMTP), "smtp", "host:port")
	want(c.SMTP == "" || address(c.MailFrom), "mail-from", "a mail address such as nightkeep@example.org, because smtp is set")
	want(c.BackupDir == "" || !SamePlace(c.BackupDir, c.Data), "backup-dir", "another folder than that of the data, on another disk if there is one: a copy beside the file goes with it")
	want(c.BackupEvery >= time.Hour || c.BackupDir == "", "backup-every", "1h or more")
	want(c.BackupKeep >= 1, "backup-keep", "1 or more")
	want(c.MetricsToken == "" || len(c.MetricsToken) >= 16, "metrics-token", "16 characters or more")
	want((c.TLSCert == "") == (c.TLSKey == ""), "tls-cert", "both tls-cert and tls-key, or neither")
	faults = append(faults, unread("tls-cert", c.TLSCert), unread("tls-key", c.TLSKey))
	if c.ACMEDomain == "" {
		return faults
	}
	want(err == nil && u.Scheme == "https" && u.Hostname() == c.ACMEDomain, "acme-domain", "the name in base-url, which must begin with https://")
	want(c.TLSCert == "", "acme-domain", "either a certificate of its own or tls-cert, not both")
	want(c.acmeTerms == "yes", "acme-accept-terms", "yes, because acme-domain is set")
	want(c.ACMEContact == "" || address(c.ACMEContact), "acme-contact", "a mail address")
	want(c.ACMEHTTP == "" || hostPort(c.ACMEHTTP), "acme-http", "host:port such as :80, or none")
	d, err := url.Parse(c.ACMEDirectory)
	want(c.ACMEDirectory == "" || err == nil && d.Host != "" && (d.Scheme == "https" || d.Scheme == "http" && thisMachine(d.Hostname())), "acme-directory", "an https address")
	return faults
}

// SamePlace reports whether two paths are one folder.
func SamePlace(a, b string) bool {
	if x, err := os.Stat(a); err == nil {
		if y, err := os.Stat(b); err == nil {
			return os.SameFile(x, y)
		}
	}
	x, errX := filepath.Abs(a)
	y, errY := filepath.Abs(b)
	return errX == nil && errY == nil && x == y
}

// unread is the fault of a file that cannot be read; nil for none named.
func unread(name, path string) error {
	if path == "" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("%s: %w; want a file that this user may read", name, err)
	}
	return f.Close()
}

// bare reports whether an address is a scheme, a host and perhaps a port: it
// stands in links, in front of a path.
func bare(u *url.URL) bool {
	return strings.Trim(u.Path, "/") == "" && u.User == nil && u.RawQuery == "" && !u.ForceQuery && u.Fragment == ""
}

func thisMachine(host string) bool {
	a, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && a.IsLoopback()
}

// Print writes every setting as an environment file, secrets hidden.
func (c *Config) Print(w io.Writer) {
	for _, s := range table() {
		v := c.values[s.name]
		if s.secret && v != "" {
			v = "(set)"
		}
		fmt.Fprintf(w, "%s=%s\n", Env(s.name), strings.Join(strings.Fields(v), " "))
	}
}
