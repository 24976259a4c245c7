package pushtest

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Answer is one scripted answer of the push service.
type Answer struct {
	Status     int    // 0 means "hang up without an answer"
	RetryAfter string // header, empty for none
	Location   string // header, empty for none
	Hang       bool   // keep silent until the sender gives up
}

// Received is one message as the service saw it and the browser would read it.
type Received struct {
	ID      string // last part of the path
	Body    []byte // as sent
	Payload []byte // decrypted
	TTL     int
	Urgency string
	Topic   string
	Claims  Claims
}

// Claims are those of the sender's signed token (RFC 8292 section 2).
type Claims struct {
	Aud string `json:"aud"`
	Exp int64  `json:"exp"`
	Sub string `json:"sub"`
}

// Service is a push service on this machine. It answers 201 unless scripted,
// 400 to a malformed request and 403 to a bad token.
type Service struct {
	*httptest.Server
	Now func() time.Time // for the token's expiry; set before use

	mu        sync.Mutex
	receivers map[string]*Receiver
	script    map[string][]Answer
	received  []Received
	faults    []error
	stop      chan struct{}
}

// Start starts the service over plain HTTP, on a port of its own.
func Start(now func() time.Time) *Service {
	s := newService(now)
	s.Server = httptest.NewServer(http.HandlerFunc(s.serve))
	return s
}

// StartTLS starts the service over HTTPS; use its Client to trust it.
func StartTLS(now func() time.Time) *Service {
	s := newService(now)
	s.Server = httptest.NewTLSServer(http.HandlerFunc(s.serve))
	return s
}

func newService(now func() time.Time) *Service {
	return &Service{Now: now, receivers: map[string]*Receiver{}, script: map[string][]Answer{}, stop: make(chan struct{})}
}

// Close lets go of hanging requests and stops the service.
func (s *Service) Close() {
	close(s.stop)
	s.CloseClientConnections()
	s.Server.Close()
}

// Register makes a subscription with the id and returns its endpoint and
// receiver.
func (s *Service) Register(id string) (endpoint string, r *Receiver) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r = NewReceiver()
	s.receivers[id] = r
	return s.URL + "/push/" + id, r
}

// Script sets what the next posts to the subscription are answered with, in
// order; after that 201 again.
func (s *Service) Script(id string, answers ...Answer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.script[id] = answers
}

// Left returns how many scripted answers the subscription has not used yet.
func (s *Service) Left(id string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.script[id])
}

// Received returns what was taken with a 2xx answer, in order.
func (s *Service) Received() []Received {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]Received(nil), s.received...)
}

// Faults returns what was wrong with requests so far.
func (s *Service) Faults() []error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]error(nil), s.faults...)
}

func (s *Service) serve(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(io.LimitReader(r.Body, 64<<10))
	id := strings.TrimPrefix(r.URL.Path, "/push/")
	s.mu.Lock()
	receiver := s.receivers[id]
	answer := Answer{Status: http.StatusCreated}
	if len(s.script[id]) > 0 {
		answer, s.script[id] = s.script[id][0], s.script[id][1:]
	}
	s.mu.Unlock()
	if receiver == nil {
		w.WriteHeader(http.StatusNotFound)
		return
	}
	got, status := Received{}, 0
	if err == nil {
		got, status, err = s.examine(r, id, body, receiver)
	}
	if err != nil {
		s.mu.Lock()
		s.faults = append(s.faults, err)
		s.mu.Unlock()
		http.Error(w, err.Error(), status)
		return
	}
	s.answer(w, r, answer, got)
}

func (s *Service) answer(w http.ResponseWriter, r *http.Request, a Answer, got Received) {
	switch {
	case a.Hang:
		select {
		case <-r.Context().Done():
		case <-s.stop:
		}
		return
	case a.Status == 0:
		panic(http.ErrAbortHandler)
	case a.Status >= 200 && a.Status < 300:
		s.mu.Lock()
		s.received = append(s.received, got)
		s.mu.Unlock()
	}
	if a.RetryAfter != "" {
		w.Header().Set("Retry-After", a.RetryAfter)
	}
	if a.Location != "" {
		w.Header().Set("Location", a.Location)
	}
	w.WriteHeader(a.Status)
}

// examine holds a request against RFC 8030 section 5, RFC 8291 and RFC 8292.
func (s *Service) examine(r *http.Request, id string, body []byte, receiver *Receiver) (Received, int, error) {
	got := Received{ID: id, Body: body, Urgency: r.Header.Get("Urgency"), Topic: r.Header.Get("Topic")}
	ttl, err := strconv.Atoi(r.Header.Get("TTL"))
	switch {
	case r.Method != http.MethodPost:
		return got, 405, errors.New("pushtest: want POST")
	case err != nil || ttl < 0:
		return got, 400, errors.New("pushtest: TTL is missing or no number")
	case r.Header.Get("Content-Encoding") != "aes128gcm":
		return got, 400, errors.New("pushtest: want content encoding aes128gcm")
	case len(body) > 4096:
		return got, 413, errors.New("pushtest: body over 4096 bytes")
	case len(got.Topic) > 32:
		return got, 400, errors.New("pushtest: topic over 32 characters")
	}
	got.TTL = ttl
	if got.Claims, err = s.verify(r); err != nil {
		return got, 403, err
	}
	if got.Payload, err = receiver.Decrypt(body); err != nil {
		return got, 400, err
	}
	return got, 0, nil
}

// verify checks the Authorization header: ES256 over the first two parts of
// the token (RFC 7515), by the key beside it (RFC 8292 section 3), for this
// origin, not expired and at most 24 hours ahead, with a contact.
func (s *Service) verify(r *http.Request) (Claims, error) {
	var c Claims
	token, key, ok := strings.Cut(strings.TrimPrefix(r.Header.Get("Authorization"), "vapid t="), ", k=")
	parts := strings.Split(token, ".")
	if !ok || len(parts) != 3 {
		return c, errors.New("pushtest: want authorization of the form vapid t=TOKEN, k=KEY")
	}
	if err := verifySignature(parts, key); err != nil {
		return c, err
	}
	raw, err := base64.RawURLEncoding.DecodeString(parts[1])
	if err != nil {
		return c, fmt.Errorf("pushtest: claims: %w", err)
	}
	if err := json.Unmarshal(raw, &c); err != nil {
		return c, fmt.Errorf("pushtest: claims: %w", err)
	}
	left := time.Unix(c.Exp, 0).Sub(s.Now())
	switch {
	case c.Aud != s.URL:
		return c, fmt.Errorf("pushtest: aud %q, want %q", c.Aud, s.URL)
	case left <= 0 || left > 24*time.Hour:
		return c, fmt.Errorf("pushtest: token expires in %v", left)
	case !strings.HasPrefix(c.Sub, "https://") && (!strings.HasPrefix(c.Sub, "mailto:") || strings.Count(c.Sub, ":") != 1):
		return c, fmt.Errorf("pushtest: sub %q", c.Sub)
	}
	return c, nil
}

func verifySignature(parts []string, key string) error {
	head, err1 := base64.RawURLEncoding.DecodeString(parts[0])
	sig, err2 := base64.RawURLEncoding.DecodeString(parts[2])
	point, err3 := base64.RawURLEncoding.DecodeString(key)
	if err := errors.Join(err1, err2, err3); err != nil {
		return fmt.Errorf("pushtest: token: %w", err)
	}
	var h struct{ Typ, Alg string }
	if json.Unmarshal(head, &h) != nil || h.Alg != "ES256" || len(sig) != 64 {
		return errors.New("pushtest: want an ES256 token")
	}
	pub, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), point)
	if err != nil {
		return errors.New("pushtest: want an uncompressed P-256 key")
	}
	hash := sha256.Sum256([]byte(parts[0] + "." + parts[1]))
	if !ecdsa.Verify(pub, hash[:], new(big.Int).SetBytes(sig[:32]), new(big.Int).SetBytes(sig[32:])) {
		return errors.New("pushtest: signature does not verify")
	}
	return nil
}
