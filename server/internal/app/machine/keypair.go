package machine

import (
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"strings"
	"sync"
	"time"
)

// keyPairEvery is how often the files of a certificate are looked at.
const keyPairEvery = 10 * time.Second

// KeyPair is a certificate in files, which somebody else renews: it is read
// again when the files have changed. One that cannot be read, or that browsers
// would refuse, is logged and does not drive out one that they take.
type KeyPair struct {
	cert, key string // paths
	host      string // the name that people type; empty: not known here
	log       *slog.Logger
	now       func() time.Time

	mu      sync.Mutex
	used    *tls.Certificate
	seen    stamp
	looked  time.Time
	spoilt  bool   // the files cannot be used since they changed
	waiting string // why the certificate in the files was not taken; empty: it was
}

// stamp is by what a change of the two files is noticed.
type stamp [2]struct {
	at   time.Time
	size int64
}

// NewKeyPair reads the files; an error says which and why. host is the name or
// address that people type, without a port; empty when a proxy answers to it.
func NewKeyPair(cert, key, host string, log *slog.Logger, now func() time.Time) (*KeyPair, error) {
	k := &KeyPair{cert: cert, key: key, host: host, log: log, now: now, looked: now()}
	var err error
	if k.seen, err = k.stamp(); err != nil {
		return nil, err
	}
	if k.used, err = k.load(); err != nil {
		return nil, err
	}
	if why := k.refused(k.used); why != "" {
		log.Error("browsers and phones refuse this certificate", "why", why)
	}
	return k, nil
}

func (k *KeyPair) stamp() (s stamp, err error) {
	for i, path := range []string{k.cert, k.key} {
		info, err := os.Stat(path)
		if err != nil {
			return s, err
		}
		s[i].at, s[i].size = info.ModTime(), info.Size()
	}
	return s, nil
}

func (k *KeyPair) load() (*tls.Certificate, error) {
	c, err := tls.LoadX509KeyPair(k.cert, k.key)
	if err != nil {
		return nil, fmt.Errorf("certificate %s with key %s: %w", k.cert, k.key, err)
	}
	return &c, nil
}

// Get returns the certificate for a connection.
func (k *KeyPair) Get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if now := k.now(); now.Sub(k.looked) >= keyPairEvery || now.Before(k.looked) {
		k.looked = now
		k.refresh(false)
	}
	return k.used, nil
}

// Reload reads the files whether they seem changed or not.
func (k *KeyPair) Reload() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.refresh(true)
}

// Ends returns when the certificate in use ends.
func (k *KeyPair) Ends() time.Time {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.used.Leaf.NotAfter
}

// Spoilt reports whether the files were changed, or are gone, so that they cannot be
// used: the next start would fail. It looks at them as a connection does.
func (k *KeyPair) Spoilt() bool {
	_, _ = k.Get(nil)
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.spoilt
}

// Wrong says why browsers refuse the certificate that is shown, and why the one in
// the files was not taken in its place; each is empty when there is nothing to say.
func (k *KeyPair) Wrong() (shown, waiting string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.refused(k.used), k.waiting
}

// refused says why browsers refuse a certificate, as far as it says so itself: whom
// they trust is not known here. RFC 5280, 4.1.2.5 (validity); RFC 9525 (names).
func (k *KeyPair) refused(c *tls.Certificate) string {
	now, leaf := k.now(), c.Leaf
	switch {
	case !now.Before(leaf.NotAfter):
		return "it ended on " + leaf.NotAfter.UTC().Format("2 January 2006")
	case now.Before(leaf.NotBefore):
		return "it is valid only from " + leaf.NotBefore.UTC().Format("2 January 2006, 15:04 UTC")
	case k.host != "" && leaf.VerifyHostname(k.host) != nil:
		return fmt.Sprintf("it is for %s, not for %s", namesOf(c), k.host)
	}
	return ""
}

func namesOf(c *tls.Certificate) string {
	names := c.Leaf.DNSNames
	for _, ip := range c.Leaf.IPAddresses {
		names = append(names, ip.String())
	}
	if len(names) == 0 {
		return "no name"
	}
	return strings.Join(names, ", ")
}

func (k *KeyPair) refresh(always bool) {
	seen, err := k.stamp()
	changed := always || seen != k.seen
	if err == nil && !changed && k.waiting == "" {
		return
	}
	fresh, loadErr := k.load()
	if err := errors.Join(err, loadErr); err != nil {
		if changed {
			k.log.Error("the new certificate cannot be used, the one before stays", "err", err)
		}
		k.seen, k.spoilt, k.waiting = seen, true, ""
		return
	}
	k.seen, k.spoilt, k.waiting = seen, false, k.refused(fresh)
	if k.waiting != "" && k.refused(k.used) == "" { // looked at again until its day comes, or that of the one before
		if changed {
			k.log.Error("browsers refuse the new certificate, the one before stays", "why", k.waiting)
		}
		return
	}
	if k.waiting != "" {
		k.log.Error("browsers and phones refuse this certificate", "why", k.waiting)
	}
	k.used, k.waiting = fresh, ""
	k.log.Info("certificate read", "names", fresh.Leaf.DNSNames, "not_after", fresh.Leaf.NotAfter.UTC())
}
