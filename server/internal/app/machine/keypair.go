package machine

import (
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// keyPairEvery is how often the files of a certificate are looked at.
const keyPairEvery = 10 * time.Second

// KeyPair is a certificate in files, which somebody else renews: it is read
// again when the files have changed. One that cannot be read is logged, and the
// one in use stays.
type KeyPair struct {
	cert, key string // paths
	log       *slog.Logger
	now       func() time.Time

	mu     sync.Mutex
	used   *tls.Certificate
	seen   stamp
	looked time.Time
	spoilt bool // the files cannot be used since they changed
}

// stamp is by what a change of the two files is noticed.
type stamp [2]struct {
	at   time.Time
	size int64
}

// NewKeyPair reads the files; an error says which and why.
func NewKeyPair(cert, key string, log *slog.Logger, now func() time.Time) (*KeyPair, error) {
	k := &KeyPair{cert: cert, key: key, log: log, now: now, looked: now()}
	var err error
	if k.seen, err = k.stamp(); err != nil {
		return nil, err
	}
	k.used, err = k.load()
	return k, err
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

func (k *KeyPair) refresh(always bool) {
	seen, err := k.stamp()
	if err == nil && seen == k.seen && !always {
		return
	}
	fresh, loadErr := k.load()
	if err := errors.Join(err, loadErr); err != nil {
		if always || seen != k.seen {
			k.log.Error("the new certificate cannot be used, the one before stays", "err", err)
		}
		k.seen, k.spoilt = seen, true
		return
	}
	k.used, k.seen, k.spoilt = fresh, seen, false
	k.log.Info("certificate read", "names", fresh.Leaf.DNSNames, "not_after", fresh.Leaf.NotAfter.UTC())
}
