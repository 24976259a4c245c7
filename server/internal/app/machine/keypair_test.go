package machine_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"log/slog"
	"math/big"
	"os"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/app/machine"
)

// files are a certificate and its key in a folder of the test.
type files struct {
	t   *testing.T
	dir string
	key *ecdsa.PrivateKey
}

func newFiles(t *testing.T) files {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	f := files{t, t.TempDir(), key}
	f.put("key.pem", pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	return f
}

func (f files) put(name string, raw []byte) {
	f.t.Helper()
	if err := os.WriteFile(filepath.Join(f.dir, name), raw, 0o600); err != nil {
		f.t.Fatal(err)
	}
}

// certificate returns one for a name, valid between two instants.
func (f files) certificate(name string, from, until time.Time) []byte {
	f.t.Helper()
	plan := &x509.Certificate{SerialNumber: big.NewInt(from.Unix()), NotBefore: from, NotAfter: until, DNSNames: []string{name}}
	der, err := x509.CreateCertificate(rand.Reader, plan, plan, f.key.Public(), f.key)
	if err != nil {
		f.t.Fatal(err)
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
}

func (f files) pair(now *time.Time) *machine.KeyPair {
	f.t.Helper()
	pair, err := machine.NewKeyPair(filepath.Join(f.dir, "cert.pem"), filepath.Join(f.dir, "key.pem"), "lenses.example.org",
		slog.New(slog.DiscardHandler), func() time.Time { return *now })
	if err != nil {
		f.t.Fatal(err)
	}
	return pair
}

// A certificate whose files were spoilt is told of until they are mended, though the one
// before is still shown.
func TestASpoiltCertificateIsTold(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 23, 10, 0, 0, 0, time.UTC)
	f := newFiles(t)
	whole := f.certificate("lenses.example.org", now, now.AddDate(0, 3, 0))
	f.put("cert.pem", whole)
	pair := f.pair(&now)
	for _, step := range []struct {
		raw  []byte
		want bool
	}{{whole, false}, {[]byte("not a certificate"), true}, {whole, false}} {
		f.put("cert.pem", step.raw)
		now = now.Add(time.Minute) // longer than between two looks
		if got := pair.Spoilt(); got != step.want {
			t.Errorf("after %d bytes: spoilt %v, want %v", len(step.raw), got, step.want)
		}
		if shown, err := pair.Get(nil); err != nil || shown.Leaf.DNSNames[0] != "lenses.example.org" {
			t.Errorf("shown %v, %v: want the one before", shown, err)
		}
	}
}

// A certificate that browsers refuse, for another name (RFC 9525), not valid yet or no
// more (RFC 5280, 4.1.2.5), does not drive out one that they take, and is named. The new
// one is taken on its day, and once the one before has ended. One that is refused from
// the start is named as well.
func TestACertificateThatBrowsersRefuse(t *testing.T) {
	t.Parallel()
	begin := time.Date(2026, 3, 23, 10, 0, 0, 0, time.UTC)
	now := begin
	f := newFiles(t)
	f.put("cert.pem", f.certificate("lenses.example.org", begin.AddDate(0, 0, -1), begin.AddDate(0, 0, 30)))
	pair := f.pair(&now)
	step := func(at time.Time, raw []byte, from int, wantShown, wantWaits string) {
		t.Helper()
		if raw != nil {
			f.put("cert.pem", raw)
			pair.Reload()
		}
		now = at
		got, err := pair.Get(nil)
		shown, waits := pair.Wrong()
		if err != nil || !got.Leaf.NotBefore.Equal(begin.AddDate(0, 0, from)) || shown != wantShown || waits != wantWaits {
			t.Errorf("at %s: from %s, %q, %q, %v; want from day %d, %q, %q", at, got.Leaf.NotBefore, shown, waits, err, from, wantShown, wantWaits)
		}
	}
	day := func(n int) time.Time { return begin.AddDate(0, 0, n) }
	step(day(0).Add(time.Minute), nil, -1, "", "")
	step(day(0).Add(2*time.Minute), f.certificate("other.example.org", day(-2), day(60)), -1, "", "it is for other.example.org, not for lenses.example.org")
	step(day(0).Add(3*time.Minute), f.certificate("lenses.example.org", day(-3), day(0)), -1, "", "it ended on 23 March 2026")
	step(day(0).Add(4*time.Minute), f.certificate("lenses.example.org", day(2), day(60)), -1, "", "it is valid only from 25 March 2026, 10:00 UTC")
	step(day(1), nil, -1, "", "it is valid only from 25 March 2026, 10:00 UTC")
	step(day(2), nil, 2, "", "")
	step(day(3), f.certificate("other.example.org", day(-4), day(90)), 2, "", "it is for other.example.org, not for lenses.example.org")
	step(day(60), nil, -4, "it is for other.example.org, not for lenses.example.org", "") // the one before has ended: none is better

	if shown, _ := f.pair(&now).Wrong(); shown != "it is for other.example.org, not for lenses.example.org" {
		t.Errorf("at the start: %q", shown)
	}
}
