package push_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/push"
	"nightkeep/server/internal/push/pushtest"
)

func now() time.Time { return time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC) }

func newSender(t *testing.T) *push.Sender {
	t.Helper()
	keys, err := push.GenerateKeys()
	if err != nil {
		t.Fatal(err)
	}
	s, err := push.New(keys, "mailto:operator@example.com", now)
	if err != nil {
		t.Fatal(err)
	}
	s.AllowPrivate = true
	return s
}

func subscribe(svc *pushtest.Service, id string) push.Subscription {
	endpoint, r := svc.Register(id)
	return push.Subscription{Endpoint: endpoint, P256dh: r.P256dh(), Auth: r.AuthSecret()}
}

func TestSendIsReadableAndSigned(t *testing.T) {
	t.Parallel()
	svc := pushtest.StartTLS(now)
	defer svc.Close()
	s := newSender(t)
	s.Client = svc.Client()
	payload := push.NewPayload(push.KindAlert, "a-1", "emergency", push.ClinicAlerts).Bytes()
	got := s.Send(t.Context(), subscribe(svc, "a"), push.Message{
		Payload: payload, TTL: 90 * time.Minute, Urgency: push.High, Topic: push.TopicOf("a-1"),
	})
	if got != (push.Outcome{Result: push.HandedOver, Status: 201}) {
		t.Fatalf("Send = %+v; service says %v", got, svc.Faults())
	}
	rec := svc.Received()[0]
	if string(rec.Payload) != `{"v":1,"tag":"a-1","kind":"alert","level":"emergency","url":"/clinic#alerts"}` {
		t.Errorf("payload = %s", rec.Payload)
	}
	if rec.TTL != 5400 || rec.Urgency != "high" || len(rec.Topic) != 32 {
		t.Errorf("TTL %d, urgency %q, topic %q", rec.TTL, rec.Urgency, rec.Topic)
	}
	want := pushtest.Claims{Aud: svc.URL, Exp: now().Add(2 * time.Hour).Unix(), Sub: "mailto:operator@example.com"}
	if diff := cmp.Diff(want, rec.Claims); diff != "" {
		t.Error(diff)
	}
}

// RFC 8030 section 5.2 makes TTL mandatory; 0 would lose the message when the
// phone is asleep.
func TestEveryMessageHasTTLAndOneSize(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	s := newSender(t)
	sub := subscribe(svc, "a")
	for _, c := range []struct {
		name string
		ttl  time.Duration
		n    int
		want int
	}{
		{"not said", 0, 0, 86400},
		{"negative", -time.Hour, 1, 86400},
		{"part of a second", time.Millisecond, 100, 1},
		{"longest", 365 * 24 * time.Hour, push.MaxPayload, 30 * 86400},
	} {
		if got := s.Send(t.Context(), sub, push.Message{Payload: bytes.Repeat([]byte("x"), c.n), TTL: c.ttl}); got.Result != push.HandedOver {
			t.Fatalf("%s: %+v, faults %v", c.name, got, svc.Faults())
		}
		rec := svc.Received()
		last := rec[len(rec)-1]
		if last.TTL != c.want || len(last.Payload) != c.n || len(last.Body) != 2048 || last.Urgency != "normal" {
			t.Errorf("%s: TTL %d, payload %d, body %d bytes, urgency %q", c.name, last.TTL, len(last.Payload), len(last.Body), last.Urgency)
		}
	}
	big := s.Send(t.Context(), sub, push.Message{Payload: make([]byte, 1946)}) // 2048-86-16-1 = 1945 fit
	if big.Result != push.TooLarge || big.Status != 0 {
		t.Errorf("1946 bytes: %+v, want too large without asking", big)
	}
}

func TestScriptedAnswers(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	s := newSender(t)
	for _, c := range []struct {
		name   string
		answer pushtest.Answer
		want   push.Result
		after  time.Duration
	}{
		{"200", pushtest.Answer{Status: 200}, push.HandedOver, 0},
		{"201", pushtest.Answer{Status: 201}, push.HandedOver, 0},
		{"202", pushtest.Answer{Status: 202}, push.HandedOver, 0},
		{"400", pushtest.Answer{Status: 400}, push.Refused, 0},
		{"401", pushtest.Answer{Status: 401}, push.Refused, 0},
		{"403", pushtest.Answer{Status: 403}, push.Refused, 0},
		{"404", pushtest.Answer{Status: 404}, push.Gone, 0},
		{"408", pushtest.Answer{Status: 408}, push.Retry, 15 * time.Second},
		{"410", pushtest.Answer{Status: 410}, push.Gone, 0},
		{"413", pushtest.Answer{Status: 413}, push.TooLarge, 0},
		{"429 bare", pushtest.Answer{Status: 429}, push.Retry, 15 * time.Second},
		{"429 seconds", pushtest.Answer{Status: 429, RetryAfter: "120"}, push.Retry, 2 * time.Minute},
		{"429 date", pushtest.Answer{Status: 429, RetryAfter: "Sat, 28 Mar 2026 22:05:00 GMT"}, push.Retry, 5 * time.Minute},
		{"429 date gone by", pushtest.Answer{Status: 429, RetryAfter: "Sat, 28 Mar 2026 21:00:00 GMT"}, push.Retry, time.Second},
		{"429 a day", pushtest.Answer{Status: 429, RetryAfter: "86400"}, push.Retry, time.Hour},
		{"429 overflow", pushtest.Answer{Status: 429, RetryAfter: "9223372036854775807"}, push.Retry, time.Hour},
		{"429 nonsense", pushtest.Answer{Status: 429, RetryAfter: "soon"}, push.Retry, 15 * time.Second},
		{"500", pushtest.Answer{Status: 500}, push.Retry, 15 * time.Second},
		{"502", pushtest.Answer{Status: 502}, push.Retry, 15 * time.Second},
		{"503 seconds", pushtest.Answer{Status: 503, RetryAfter: "30"}, push.Retry, 30 * time.Second},
		{"hangs up", pushtest.Answer{}, push.Retry, 15 * time.Second},
	} {
		t.Run(c.name, func(t *testing.T) {
			sub := subscribe(svc, "s-"+strings.ReplaceAll(c.name, " ", "-"))
			svc.Script(sub.Endpoint[strings.LastIndexByte(sub.Endpoint, '/')+1:], c.answer)
			got := s.Send(t.Context(), sub, push.Message{Payload: []byte("x")})
			if got.Result != c.want || got.After != c.after || got.Status != c.answer.Status {
				t.Errorf("Send = %+v, want %v after %v", got, c.want, c.after)
			}
			if (got.Err == nil) != (c.want == push.HandedOver) {
				t.Errorf("error = %v", got.Err)
			}
			if got.Err != nil && strings.Contains(got.Err.Error(), "/push/") {
				t.Errorf("the error shows the endpoint: %v", got.Err)
			}
		})
	}
}

func TestSilentServiceIsRetried(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	sub := subscribe(svc, "a")
	svc.Script("a", pushtest.Answer{Hang: true})
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if got := newSender(t).Send(ctx, sub, push.Message{}); got.Result != push.Retry || got.Err == nil {
		t.Errorf("Send = %+v, want retry", got)
	}
	svc2 := pushtest.Start(now)
	gone := subscribe(svc2, "a")
	svc2.Close()
	if got := newSender(t).Send(t.Context(), gone, push.Message{}); got.Result != push.Retry {
		t.Errorf("nobody listening: %+v, want retry", got)
	}
}

func TestClientHasATimeLimit(t *testing.T) {
	t.Parallel()
	if c := newSender(t).Client; c.Timeout <= 0 || c.Timeout > 30*time.Second {
		t.Errorf("client's time limit = %v", c.Timeout)
	}
}

// One payload goes to many devices at once; the library pads in place.
func TestConcurrentSendsShareNoSlice(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	s := newSender(t)
	buf := bytes.Repeat([]byte("z"), 4096)
	payload := buf[:5] // spare capacity on purpose
	copy(payload, "hello")
	before := bytes.Clone(buf)
	var wg sync.WaitGroup
	for i := range 20 {
		sub := subscribe(svc, fmt.Sprint(i))
		wg.Go(func() {
			if got := s.Send(t.Context(), sub, push.Message{Payload: payload}); got.Result != push.HandedOver {
				t.Errorf("send %d: %+v", i, got)
			}
		})
	}
	wg.Wait()
	if !bytes.Equal(buf, before) {
		t.Error("the caller's buffer was written to")
	}
	for _, r := range svc.Received() {
		if string(r.Payload) != "hello" {
			t.Errorf("device %s read %q", r.ID, r.Payload)
		}
	}
}

func TestMalformedSubscriptionsAreRefusedUnsent(t *testing.T) {
	t.Parallel()
	svc := pushtest.Start(now)
	defer svc.Close()
	s := newSender(t)
	good := subscribe(svc, "a")
	for _, c := range []struct {
		name string
		sub  push.Subscription
		m    push.Message
	}{
		{"short auth", push.Subscription{Endpoint: good.Endpoint, P256dh: good.P256dh, Auth: "AAAA"}, push.Message{}},
		{"no auth", push.Subscription{Endpoint: good.Endpoint, P256dh: good.P256dh}, push.Message{}},
		{"point not on the curve", push.Subscription{Endpoint: good.Endpoint, P256dh: "B" + strings.Repeat("A", 86), Auth: good.Auth}, push.Message{}},
		{"no endpoint", push.Subscription{P256dh: good.P256dh, Auth: good.Auth}, push.Message{}},
		{"topic too long", good, push.Message{Topic: strings.Repeat("a", 33)}},
		{"topic with a space", good, push.Message{Topic: "a b"}},
		{"topic no base64 has", good, push.Message{Topic: "new_event"}}, // 9 = 4n+1 characters
	} {
		if got := s.Send(t.Context(), c.sub, c.m); got.Result != push.Refused || got.Err == nil {
			t.Errorf("%s: %+v, want refused", c.name, got)
		}
	}
	if n := len(svc.Received()) + len(svc.Faults()); n != 0 {
		t.Errorf("%d requests were made", n)
	}
	if got := s.Send(t.Context(), good, push.Message{Topic: "newEvent"}); got.Result != push.HandedOver {
		t.Errorf("good topic: %+v", got)
	}
}

func TestNewChecksKeysAndSubject(t *testing.T) {
	t.Parallel()
	a, errA := push.GenerateKeys()
	b, errB := push.GenerateKeys()
	if errA != nil || errB != nil || a == b {
		t.Fatal("two key pairs wanted", errA, errB)
	}
	for _, c := range []struct {
		name    string
		keys    push.Keys
		subject string
		want    string // subject as sent; empty for an error
	}{
		{"bare address", a, "operator@example.com", "mailto:operator@example.com"},
		{"mailto", a, "mailto:operator@example.com", "mailto:operator@example.com"},
		{"page", a, "https://example.com/contact", "https://example.com/contact"},
		{"twice mailto", a, "mailto:mailto:operator@example.com", ""},
		{"empty", a, "", ""},
		{"this machine", a, "mailto:root@localhost", ""},
		{"made-up domain", a, "mailto:a@clinic.invalid", ""},
		{"local page", a, "https://clinic.local/", ""},
		{"plain http", a, "http://example.com", ""},
		{"with a name", a, "Operator <operator@example.com>", ""},
		{"keys of two pairs", push.Keys{Public: a.Public, Private: b.Private}, "operator@example.com", ""},
		{"no keys", push.Keys{}, "operator@example.com", ""},
	} {
		s, err := push.New(c.keys, c.subject, now)
		switch {
		case c.want == "" && err == nil:
			t.Errorf("%s: accepted", c.name)
		case c.want != "" && (err != nil || s.Subject != c.want || s.PublicKey() != a.Public):
			t.Errorf("%s: %v, subject %+v", c.name, err, s)
		}
	}
}

func TestPayloadSaysNothingPersonal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, level, want string }{
		{"emergency", "emergency", "emergency"}, {"urgent", "urgent", ""}, {"no level", "", ""},
	} {
		var got map[string]any
		if err := json.Unmarshal(push.NewPayload(push.KindReminder, "t", c.level, "/").Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		want := map[string]any{"v": 1.0, "tag": "t", "kind": "reminder", "url": "/"}
		if c.want != "" {
			want["level"] = c.want
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestTopicsDiffer(t *testing.T) {
	t.Parallel()
	if a, b := push.TopicOf("a"), push.TopicOf("b"); a == b || a != push.TopicOf("a") {
		t.Errorf("topics %q and %q", a, b)
	}
}

func BenchmarkSend(b *testing.B) {
	svc := pushtest.Start(now)
	defer svc.Close()
	keys, err := push.GenerateKeys()
	if err != nil {
		b.Fatal(err)
	}
	s, err := push.New(keys, "operator@example.com", now)
	if err != nil {
		b.Fatal(err)
	}
	s.AllowPrivate = true
	sub := subscribe(svc, "a")
	for b.Loop() {
		if got := s.Send(b.Context(), sub, push.Message{Payload: []byte("x")}); got.Result != push.HandedOver {
			b.Fatal(got)
		}
	}
}
