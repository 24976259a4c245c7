package pushtest_test

import (
	"crypto/ecdh"
	"encoding/base64"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"nightkeep/server/internal/push/pushtest"
)

// vector is testdata/push/rfc8291.json: RFC 8291 appendix A, whose body is the
// example of section 5.
type vector struct {
	Plaintext       string `json:"plaintext"`
	ReceiverPrivate string `json:"receiver_private"`
	ReceiverPublic  string `json:"receiver_public"`
	Auth            string `json:"auth"`
	Body            string `json:"body"`
}

func load(t *testing.T) (vector, *pushtest.Receiver, []byte) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "..", "..", "testdata", "push", "rfc8291.json"))
	if err != nil {
		t.Fatal(err)
	}
	var v vector
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	key, err := ecdh.P256().NewPrivateKey(bytesOf(t, v.ReceiverPrivate))
	if err != nil {
		t.Fatal(err)
	}
	return v, &pushtest.Receiver{Private: key, Auth: bytesOf(t, v.Auth)}, bytesOf(t, v.Body)
}

func bytesOf(t *testing.T, s string) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestDecryptPublishedVector(t *testing.T) {
	t.Parallel()
	v, r, body := load(t)
	if got := r.P256dh(); got != v.ReceiverPublic {
		t.Errorf("public key = %s, want %s", got, v.ReceiverPublic)
	}
	got, err := r.Decrypt(body)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != v.Plaintext {
		t.Errorf("plaintext = %q, want %q", got, v.Plaintext)
	}
}

func TestDecryptRefusesEveryChangedByte(t *testing.T) {
	t.Parallel()
	_, r, body := load(t)
	for i := range body {
		if i >= 16 && i < 20 {
			continue // record size: only a bound, not part of what is authenticated
		}
		changed := append([]byte(nil), body...)
		changed[i] ^= 1
		if _, err := r.Decrypt(changed); err == nil {
			t.Errorf("byte %d changed: decrypted", i)
		}
	}
	for n := range body {
		if _, err := r.Decrypt(body[:n]); err == nil {
			t.Errorf("first %d bytes: decrypted", n)
		}
	}
}
