// Package pushtest is the other side of Web Push, for tests: a browser's
// receiver that decrypts messages, and a push service that takes them over
// HTTP. Both are written from RFC 8030, 8188, 8291 and 8292 alone and share no
// code with the sender, so that they can judge it.
package pushtest

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/ecdh"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
)

// Receiver holds the secrets of one browser's push subscription.
type Receiver struct {
	Private *ecdh.PrivateKey // on P-256
	Auth    []byte           // 16 bytes
}

// NewReceiver returns a receiver with fresh secrets.
func NewReceiver() *Receiver {
	k, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		panic(err) // the system's random source does not fail
	}
	auth := make([]byte, 16)
	rand.Read(auth) // never fails, by its documentation
	return &Receiver{k, auth}
}

// P256dh returns the public key as a browser gives it, base64url.
func (r *Receiver) P256dh() string {
	return base64.RawURLEncoding.EncodeToString(r.Private.PublicKey().Bytes())
}

// AuthSecret returns the authentication secret as a browser gives it, base64url.
func (r *Receiver) AuthSecret() string { return base64.RawURLEncoding.EncodeToString(r.Auth) }

// Decrypt opens the body of a push message: one aes128gcm record (RFC 8188
// section 2) under the keys of RFC 8291 section 3.4, without its padding.
func (r *Receiver) Decrypt(body []byte) ([]byte, error) {
	if len(body) < 21 || len(body) < 21+int(body[20]) {
		return nil, errors.New("pushtest: header too short")
	}
	salt, record := body[:16], binary.BigEndian.Uint32(body[16:20])
	senderKey, sealed := body[21:21+int(body[20])], body[21+int(body[20]):]
	if record < 18 || len(sealed) > int(record) {
		return nil, fmt.Errorf("pushtest: %d bytes do not fit one record of %d", len(sealed), record)
	}
	key, nonce, err := r.keys(salt, senderKey)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	gcm, err := cipher.NewGCM(block)
	if err != nil {
		return nil, err
	}
	plain, err := gcm.Open(nil, nonce, sealed, nil)
	if err != nil {
		return nil, fmt.Errorf("pushtest: open: %w", err)
	}
	for i := len(plain) - 1; i >= 0; i-- {
		switch plain[i] {
		case 0:
		case 2: // delimiter of the last record
			return plain[:i], nil
		default:
			return nil, errors.New("pushtest: bad padding")
		}
	}
	return nil, errors.New("pushtest: no delimiter")
}

func (r *Receiver) keys(salt, senderKey []byte) (key, nonce []byte, err error) {
	sender, err := ecdh.P256().NewPublicKey(senderKey)
	if err != nil {
		return nil, nil, fmt.Errorf("pushtest: sender's key: %w", err)
	}
	shared, err := r.Private.ECDH(sender)
	if err != nil {
		return nil, nil, err
	}
	info := "WebPush: info\x00" + string(r.Private.PublicKey().Bytes()) + string(senderKey)
	ikm, err := hkdf.Key(sha256.New, shared, r.Auth, info, 32)
	if err != nil {
		return nil, nil, err
	}
	if key, err = hkdf.Key(sha256.New, ikm, salt, "Content-Encoding: aes128gcm\x00", 16); err != nil {
		return nil, nil, err
	}
	nonce, err = hkdf.Key(sha256.New, ikm, salt, "Content-Encoding: nonce\x00", 12)
	return key, nonce, err
}
