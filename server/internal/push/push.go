// Package push sends Web Push messages (RFC 8030, 8291, 8292). It is the one
// wrapper round webpush-go, and owns what that library leaves to its caller: a
// time to live on every message, the form of topic and subject, a payload
// slice of its own for every send, whom we connect to, time limits, reading
// every status, the record size and the expiry of the signed token.
//
// It refuses to retry, to store, and to know what a message is about.
//
// Invariant: a nil error and "handed over" mean that a push service has taken
// the message, never that anybody saw it.
package push

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"time"

	webpush "github.com/SherClockHolmes/webpush-go"
)

// Limits and defaults.
const (
	// RecordSize is the size in bytes to which every message is padded, so that
	// all look alike. Half of RFC 8291's 4096, because some push services
	// re-encode and then refuse more than about 2,700 bytes.
	RecordSize = 2048
	// MaxPayload is what fits into a record, in bytes: less 86 of header, 16 of
	// authentication tag and 1 delimiter (RFC 8188 section 2, RFC 8291
	// section 4).
	MaxPayload = RecordSize - 86 - 16 - 1
	// DefaultTTL is how long a push service keeps a message that names no time
	// (our choice: a phone that was off overnight still gets it).
	DefaultTTL = 24 * time.Hour
	// MaxTTL is the longest time asked for; a large public push service cuts at
	// 30 days.
	MaxTTL = 30 * 24 * time.Hour

	timeout    = 10 * time.Second // one send, with connecting
	perService = 64               // connections to one push service, so that a burst neither floods it nor opens a new one for each message
	maxReply   = 4 << 10          // bytes of a reply read before its body is closed
	maxRetry   = time.Hour        // longest Retry-After believed
	retrySoon  = 15 * time.Second // when the push service names no time
)

// Subscription is where a browser receives, as its push subscription says.
type Subscription struct {
	Endpoint string `json:"endpoint"` // a secret: whoever has it can post to it
	P256dh   string `json:"p256dh"`   // public key, base64url
	Auth     string `json:"auth"`     // 16 bytes, base64url
}

// Urgency is how much a message is worth a phone's battery (RFC 8030 section 5.3).
type Urgency string

// The urgencies used.
const (
	Low    Urgency = "low"    // on power or Wi-Fi
	Normal Urgency = "normal" // not on a low battery
	High   Urgency = "high"   // also on a low battery: every red flag
)

// Message is one message to one subscription.
type Message struct {
	Payload []byte        // at most [MaxPayload] bytes; read only, never kept
	TTL     time.Duration // how long it is worth delivering; 0 means [DefaultTTL]
	Urgency Urgency       // empty means [Normal]
	Topic   string        // replaces an undelivered message of the same topic; may be empty, see [TopicOf]
}

// Result is what became of a send.
type Result int

// The results. The zero Result is Retry, so a forgotten answer is never taken
// for a delivery.
const (
	Retry      Result = iota // 429, 5xx, time-out or network: keep the subscription, try later
	HandedOver               // the push service has taken it
	Gone                     // 404 or 410: drop the subscription
	Refused                  // 401, 403, or a fault of ours: keep it, alarm the operator
	TooLarge                 // 413, or over [MaxPayload]
)

// String returns the result in words for the log and an alert's history.
func (r Result) String() string {
	return [...]string{"retry", "handed over", "gone", "refused", "too large"}[r]
}

// Outcome is the answer to one send.
type Outcome struct {
	Result Result
	Status int           // of the push service; 0 when it never answered
	After  time.Duration // for Retry: not sooner than this, at least one second
	Err    error         // why, for the log; never holds the endpoint; nil when handed over
}

// Sender sends. Make one with [New]; the fields may be changed before the
// first send.
type Sender struct {
	Keys    Keys
	Subject string           // contact of whoever runs the server: "mailto:" address or https URL
	Client  *http.Client     // [New] sets one that guards whom it dials
	Now     func() time.Time // for the token's expiry
	// AllowPrivate lifts every check on endpoints and addresses. Only for the
	// demo and tests, whose push service runs on this machine.
	AllowPrivate bool
}

// New returns a sender with a guarded client, or an error when keys or subject
// are not usable.
func New(keys Keys, subject string, now func() time.Time) (*Sender, error) {
	if err := keys.Check(); err != nil {
		return nil, err
	}
	subject, err := subjectURI(subject)
	if err != nil {
		return nil, err
	}
	s := &Sender{Keys: keys, Subject: subject, Now: now}
	s.Client = s.guardedClient()
	return s, nil
}

// PublicKey returns the VAPID public key that a browser subscribes with,
// base64url.
func (s *Sender) PublicKey() string { return s.Keys.Public }

// Send posts one message. It never panics and always returns within ten
// seconds. The payload is copied, so one slice may go to many subscriptions at
// once.
func (s *Sender) Send(ctx context.Context, sub Subscription, m Message) Outcome {
	if err := s.check(sub, m); err != nil {
		return Outcome{Result: Refused, Err: err}
	}
	if len(m.Payload) > MaxPayload {
		return Outcome{Result: TooLarge, Err: fmt.Errorf("push: payload of %d bytes, want at most %d", len(m.Payload), MaxPayload)}
	}
	token, err := s.authorization(sub.Endpoint)
	if err != nil {
		return Outcome{Result: Refused, Err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, timeout)
	defer cancel()
	payload := make([]byte, len(m.Payload)) // the library appends in place: no spare capacity
	copy(payload, m.Payload)
	reply, err := webpush.SendNotificationWithContext(ctx, payload,
		&webpush.Subscription{Endpoint: sub.Endpoint, Keys: webpush.Keys{Auth: sub.Auth, P256dh: sub.P256dh}},
		&webpush.Options{
			HTTPClient: signedClient{s.Client, token}, RecordSize: RecordSize, Topic: m.Topic,
			TTL: ttlSeconds(m.TTL), Urgency: urgency(m.Urgency), Subscriber: s.Subject,
			VAPIDPublicKey: s.Keys.Public, VAPIDPrivateKey: s.Keys.Private,
		})
	if err != nil {
		return Outcome{Result: Retry, After: retrySoon, Err: withoutURL(err)}
	}
	defer reply.Body.Close()
	io.Copy(io.Discard, io.LimitReader(reply.Body, maxReply)) // so that the connection can be used again
	return s.judge(reply)
}

func (s *Sender) check(sub Subscription, m Message) error {
	if err := s.CheckEndpoint(sub.Endpoint); err != nil {
		return err
	}
	if err := sub.checkKeys(); err != nil {
		return err
	}
	return checkTopic(m.Topic)
}

// judge turns a status into an outcome (RFC 8030 section 5, RFC 8292
// section 4.2). Services also use 410 for gone. Anything else that is not a
// success is a fault of ours and must reach the operator.
func (s *Sender) judge(reply *http.Response) Outcome {
	o := Outcome{Status: reply.StatusCode}
	switch code := reply.StatusCode; {
	case code >= 200 && code < 300:
		o.Result = HandedOver
		return o
	case code == http.StatusNotFound || code == http.StatusGone:
		o.Result = Gone
	case code == http.StatusRequestEntityTooLarge:
		o.Result = TooLarge
	case code == http.StatusTooManyRequests || code == http.StatusRequestTimeout || code >= 500:
		o.Result, o.After = Retry, retryAfter(reply.Header.Get("Retry-After"), s.Now())
	default:
		o.Result = Refused
	}
	o.Err = fmt.Errorf("push: push service answered %d", reply.StatusCode)
	return o
}

// retryAfter reads a Retry-After header: seconds or an HTTP date (RFC 9110
// section 10.2.3). The result is between one second and one hour.
func retryAfter(header string, now time.Time) time.Duration {
	after := retrySoon
	if sec, err := strconv.Atoi(header); err == nil {
		after = time.Duration(min(max(sec, 0), int(maxRetry/time.Second))) * time.Second
	} else if at, err := http.ParseTime(header); err == nil {
		after = at.Sub(now)
	}
	return min(max(after, time.Second), maxRetry)
}

// signedClient puts our own token in place of the library's, whose expiry
// cannot be set.
type signedClient struct {
	client *http.Client
	token  string
}

func (c signedClient) Do(r *http.Request) (*http.Response, error) {
	r.Header.Set("Authorization", c.token)
	return c.client.Do(r)
}

// withoutURL strips the endpoint from an error of net/http.
func withoutURL(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		err = u.Err
	}
	return fmt.Errorf("push: %w", err)
}

func ttlSeconds(d time.Duration) int {
	if d <= 0 {
		d = DefaultTTL
	}
	return int((min(d, MaxTTL) + time.Second - 1) / time.Second)
}

func urgency(u Urgency) webpush.Urgency {
	if u == "" {
		u = Normal
	}
	return webpush.Urgency(u)
}
