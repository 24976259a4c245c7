package push

import (
	"bytes"
	"crypto/ecdh"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/mail"
	"net/url"
	"strings"
	"time"
)

// tokenLife is how long a signed token is good for. RFC 8292 section 2 allows
// 24 hours; less leaves room for a clock that is wrong.
const tokenLife = 2 * time.Hour

// Keys is the VAPID key pair of the server, for the life of the practice:
// changing it silently cuts off every device. It belongs in every backup.
type Keys struct {
	Public  string `json:"public"`  // uncompressed P-256 point, base64url without padding
	Private string `json:"private"` // 32 bytes, base64url without padding
}

// GenerateKeys returns a new key pair.
func GenerateKeys() (Keys, error) {
	k, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		return Keys{}, fmt.Errorf("push: generate keys: %w", err)
	}
	b64 := base64.RawURLEncoding
	return Keys{b64.EncodeToString(k.PublicKey().Bytes()), b64.EncodeToString(k.Bytes())}, nil
}

// Check reports whether both keys are well formed and belong together; the
// library takes a mismatched pair and every push service then refuses it.
func (k Keys) Check() error {
	_, err := k.private()
	return err
}

func (k Keys) private() (*ecdsa.PrivateKey, error) {
	d, err := base64.RawURLEncoding.DecodeString(k.Private)
	if err != nil {
		return nil, errors.New("push: private key: want 32 bytes as base64url without padding")
	}
	key, err := ecdsa.ParseRawPrivateKey(elliptic.P256(), d)
	if err != nil {
		return nil, errors.New("push: private key: not a P-256 key of 32 bytes")
	}
	point, err := key.PublicKey.Bytes()
	if err != nil {
		return nil, fmt.Errorf("push: public key: %w", err)
	}
	if pub, err := base64.RawURLEncoding.DecodeString(k.Public); err != nil || !bytes.Equal(pub, point) {
		return nil, errors.New("push: public key does not belong to the private key")
	}
	return key, nil
}

// authorization returns the header of RFC 8292: a token for the endpoint's
// origin, signed with ES256 (RFC 7515, RFC 7518 section 3.4).
func (s *Sender) authorization(endpoint string) (string, error) {
	key, err := s.Keys.private()
	if err != nil {
		return "", err
	}
	u, err := url.Parse(endpoint)
	if err != nil {
		return "", errors.New("push: endpoint is not a URL")
	}
	claims, err := json.Marshal(struct {
		Aud string `json:"aud"`
		Exp int64  `json:"exp"`
		Sub string `json:"sub"`
	}{u.Scheme + "://" + u.Host, s.Now().Add(tokenLife).Unix(), s.Subject})
	if err != nil {
		return "", fmt.Errorf("push: claims: %w", err)
	}
	b64 := base64.RawURLEncoding
	signed := b64.EncodeToString([]byte(`{"typ":"JWT","alg":"ES256"}`)) + "." + b64.EncodeToString(claims)
	hash := sha256.Sum256([]byte(signed))
	r, v, err := ecdsa.Sign(rand.Reader, key, hash[:])
	if err != nil {
		return "", fmt.Errorf("push: sign: %w", err)
	}
	sig := make([]byte, 64)
	r.FillBytes(sig[:32])
	v.FillBytes(sig[32:])
	return "vapid t=" + signed + "." + b64.EncodeToString(sig) + ", k=" + s.Keys.Public, nil
}

// subjectURI returns the contact as a URI. It takes a bare address, a mailto:
// address or an https URL, at a host that exists in public: one large push
// service answers 403 to made-up ones.
func subjectURI(s string) (string, error) {
	bad := fmt.Errorf("push: subject %q: want a mail address or an https URL at a public host", s)
	host := ""
	if strings.HasPrefix(s, "https:") {
		u, err := url.Parse(s)
		if err != nil {
			return "", bad
		}
		host = u.Hostname()
	} else {
		addr := strings.TrimPrefix(s, "mailto:")
		a, err := mail.ParseAddress(addr)
		if err != nil || a.Address != addr {
			return "", bad
		}
		host, s = addr[strings.LastIndexByte(addr, '@')+1:], "mailto:"+addr
	}
	if !publicName(host) {
		return "", bad
	}
	return s, nil
}
