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

// A certificate whose files were spoilt is told of until they are mended, though the one
// before is still shown.
func TestASpoiltCertificateIsTold(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 23, 10, 0, 0, 0, time.UTC)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	plan := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: now, NotAfter: now.AddDate(0, 3, 0), DNSNames: []string{"lenses.example.org"}}
	der, err := x509.CreateCertificate(rand.Reader, plan, plan, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	put := func(name string, raw []byte) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	whole := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	secretFile := put("key.pem", pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	pair, err := machine.NewKeyPair(put("cert.pem", whole), secretFile, slog.New(slog.DiscardHandler), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct {
		raw  []byte
		want bool
	}{{whole, false}, {[]byte("not a certificate"), true}, {whole, false}} {
		put("cert.pem", step.raw)
		now = now.Add(time.Minute) // longer than between two looks
		if got := pair.Spoilt(); got != step.want {
			t.Errorf("after %d bytes: spoilt %v, want %v", len(step.raw), got, step.want)
		}
		if shown, err := pair.Get(nil); err != nil || shown.Leaf.DNSNames[0] != "lenses.example.org" {
			t.Errorf("shown %v, %v: want the one before", shown, err)
		}
	}
}
