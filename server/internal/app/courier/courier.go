// Package courier carries messages to people over the two channels there are: it
// looks up who has which device and address, and sends. It decides neither who is
// told nor when: packages escalate and remind do.
//
// Invariant: what it sends names no family and no finding.
package courier

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/mail"
	"nightkeep/server/internal/push"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Courier carries messages to people: alerts for package escalate, reminders
// for package remind, and test messages. It looks up devices and drops
// subscriptions that are gone.
type Courier struct {
	DB   *store.DB
	Push *push.Sender
	Mail Mailer // nil when the practice has set no mail server
	Log  *slog.Logger
	Now  func() time.Time
	Base func() string // address people open
	// backoff knows the devices whose push service does not answer.
	backoff backoff
	// failing is since when no push service has taken anything, Unix milliseconds.
	failing atomic.Int64
}

// Mailer sends one mail; see package mail.
type Mailer interface {
	Send(ctx context.Context, key, to, subject, text string) error
}

// PublicKey returns the VAPID public key, base64url.
func (c *Courier) PublicKey() string { return c.Push.PublicKey() }

// Check refuses a subscription that could never be sent to.
func (c *Courier) Check(s register.Subscription) error { return c.Push.Check(push.Subscription(s)) }

// Test sends a test message to one subscription. One that the push service does
// not know any more gives a [care.Conflict] error.
func (c *Courier) Test(s register.Subscription) error {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	out := c.Push.Send(ctx, push.Subscription(s), push.Message{
		Payload: push.NewPayload(push.KindTest, "test", "", "/").Bytes(), TTL: 5 * time.Minute, Urgency: push.High,
	})
	switch out.Result {
	case push.HandedOver:
		return nil
	case push.Gone:
		return care.Errorf(care.Conflict, "subscription-gone", "this browser's permission for notifications has ended; please turn them on again")
	default:
		return fmt.Errorf("test message: %s: %w", out.Result, out.Err)
	}
}

// Deliver sends one row of the outbox.
func (c *Courier) Deliver(ctx context.Context, r escalate.Row) escalate.Result {
	carry := c.carriers()[r.Channel]
	if carry == nil {
		c.Log.Error("a message has a channel that nobody carries", "channel", r.Channel)
		return escalate.Result{Verdict: escalate.Impossible, Note: "no courier for this channel"}
	}
	return carry(ctx, r)
}

// carriers say how a message of each channel is sent.
func (c *Courier) carriers() map[escalate.Channel]func(context.Context, escalate.Row) escalate.Result {
	return map[escalate.Channel]func(context.Context, escalate.Row) escalate.Result{
		escalate.Push: c.deliverPush,
		escalate.Mail: c.deliverMail,
	}
}

func (c *Courier) deliverPush(ctx context.Context, r escalate.Row) escalate.Result {
	devices, err := c.devicesOf(r)
	if err != nil {
		c.Log.Error("read devices", "err", err)
		return escalate.Result{Verdict: escalate.TryAgain, Note: "store busy"}
	}
	tag, page, level := string(r.Alert), push.ClinicAlerts, r.Level
	if r.Kind.OfFamily() {
		page = "/" // of a family's own app
	}
	switch r.Kind {
	case escalate.KindWord, escalate.KindStop, escalate.KindDevice:
		tag = string(r.Kind) // one stands for all that wait
	case escalate.KindTaken, escalate.KindClosed:
		level = escalate.Note // nothing that must be answered at once
	}
	payload := push.NewPayload(string(r.Kind), tag, string(level), page)
	payload.Drill = r.Drill
	msg := push.Message{Payload: payload.Bytes(), TTL: time.Hour, Urgency: push.High}
	return c.toDevices(ctx, devices, msg)
}

func (c *Courier) devicesOf(r escalate.Row) (out []care.DeviceID, err error) {
	if r.Device != "" {
		return []care.DeviceID{r.Device}, nil
	}
	err = c.DB.View(func(tx *store.Tx) error {
		devices, err := tx.Register().StaffDevices(r.Target)
		for _, d := range devices {
			out = append(out, d.ID)
		}
		return err
	})
	return out, err
}

// toDevices sends to each device at once and sums up: one that took it makes the
// message handed over; those that may yet are left, each to be tried on its own.
func (c *Courier) toDevices(ctx context.Context, devices []care.DeviceID, m push.Message) escalate.Result {
	type answer struct {
		out push.Outcome
		ok  bool
	}
	answers := make([]answer, len(devices))
	var wg sync.WaitGroup
	for i, d := range devices {
		wg.Go(func() { answers[i].out, answers[i].ok = c.toDevice(ctx, d, m) })
	}
	wg.Wait()
	sum := escalate.Result{Verdict: escalate.Impossible, Note: "no device with notifications"}
	for i, a := range answers {
		switch {
		case !a.ok:
		case a.out.Result == push.HandedOver:
			sum.Verdict, sum.Note = escalate.HandedOver, "handed over"
		case a.out.Result == push.Retry:
			sum.Left = append(sum.Left, escalate.Left{Device: devices[i], After: a.out.After})
		case sum.Verdict == escalate.Impossible:
			sum.Note = "push " + a.out.Result.String()
		}
	}
	if sum.Verdict == escalate.Impossible && len(sum.Left) > 0 {
		soonest := slices.MinFunc(sum.Left, func(a, b escalate.Left) int { return cmp.Compare(a.After, b.After) })
		return escalate.Result{Verdict: escalate.TryAgain, After: soonest.After, Note: "push service busy"}
	}
	return sum
}

// toDevice sends to one device; ok is false when it has no subscription.
func (c *Courier) toDevice(ctx context.Context, d care.DeviceID, m push.Message) (out push.Outcome, ok bool) {
	var sub register.Subscription
	err := c.DB.View(func(tx *store.Tx) (err error) { sub, err = tx.Access().Subscription(d); return err })
	switch {
	case care.KindOf(err) == care.NotFound:
		return out, false
	case store.IsUnreadable(err): // and will not be read later either: whoever it is hears by other ways
		c.Log.Error("read subscription", "err", err)
		return out, false
	case err != nil:
		c.Log.Error("read subscription", "err", err)
		return push.Outcome{Result: push.Retry}, true
	}
	if wait := c.backoff.enter(ctx, d, c.Now); wait > 0 {
		return push.Outcome{Result: push.Retry, After: wait}, true
	}
	out = c.Push.Send(ctx, push.Subscription(sub), m)
	c.backoff.leave(d, c.Now(), out)
	c.noteAnswer(out)
	switch out.Result {
	case push.Gone:
		if err := c.DB.Write(func(tx *store.Tx) error { return tx.Access().DropSubscription(d) }); err != nil {
			c.Log.Error("drop subscription", "err", err)
		}
	case push.Refused, push.TooLarge:
		c.Log.Error("push refused: check the VAPID keys", "status", out.Status, "err", out.Err)
	}
	return out, true
}

func (c *Courier) deliverMail(ctx context.Context, r escalate.Row) escalate.Result {
	l, err := c.letter(r)
	if err != nil && care.KindOf(err) != care.NotFound {
		c.Log.Error("read mail address", "err", err)
		return escalate.Result{Verdict: escalate.TryAgain, Note: "store busy"}
	}
	if l.to == "" && len(l.former) > 0 {
		l.to, l.former = l.former[0], l.former[1:]
	}
	if l.to == "" || c.Mail == nil {
		return escalate.Result{Verdict: escalate.Impossible, Note: "no mail address or no mail server set"}
	}
	subject, text := mailWords(r.Kind, l, c.Now())
	c.toFormer(ctx, r, l, subject, text)
	err = c.Mail.Send(ctx, r.Key(), l.to, subject, text)
	switch {
	case err == nil:
		return escalate.Result{Verdict: escalate.HandedOver, Note: "mailed"}
	case mail.Temporary(err):
		c.Log.Warn("mail not sent, will be tried again", "err", err)
		return escalate.Result{Verdict: escalate.TryAgain, Note: "mail server did not take it"}
	}
	c.Log.Error("mail refused for good: check the mail settings and the address of who should get it", "person", r.Target, "err", err)
	return escalate.Result{Verdict: escalate.Impossible, Note: "mail server refused it for good"}
}

// toFormer mails the same to the addresses that the person had until of late, once each.
func (c *Courier) toFormer(ctx context.Context, r escalate.Row, l letter, subject, text string) {
	for i, to := range l.former {
		if r.Attempt > 1 || to == l.to {
			continue
		}
		if err := c.Mail.Send(ctx, fmt.Sprint(r.Key(), "\x00former", i), to, subject, text); err != nil {
			c.Log.Warn("mail not sent to a former address", "person", r.Target, "err", err)
		}
	}
}

// Remind sends one reminder to the devices of those it is for. The message
// names nothing, and what is due only where the family chose plain words.
func (c *Courier) Remind(ctx context.Context, m remind.Message) error {
	devices, err := c.remindable(m)
	if err != nil {
		return err
	}
	if len(devices) == 0 {
		return remind.ErrNobody
	}
	ttl := m.UsefulUntil.Sub(c.Now())
	if ttl < time.Minute {
		ttl = 4 * time.Hour
	}
	payload := push.NewPayload(push.KindReminder, m.Tag, "", "/")
	for _, it := range m.Items {
		if due := dueWord(it.Item); m.Words == "plain" && !slices.Contains(payload.Due, due) {
			payload.Due = append(payload.Due, due)
		}
	}
	res := c.toDevices(ctx, devices, push.Message{
		Payload: payload.Bytes(), TTL: ttl, Urgency: push.Normal,
	})
	switch res.Verdict {
	case escalate.HandedOver:
		return nil
	case escalate.TryAgain:
		return remind.Later{After: res.After, Err: errors.New("reminder: " + res.Note)}
	}
	return errors.New("reminder: " + res.Note)
}

// dueWord names what is due on a locked phone. Of two eyes of which one may have
// no lens it names the other: "Lenses in" would ask for both.
func dueWord(it schedule.Item) string {
	if it.Eye != "" {
		return it.Rule + "-" + it.Eye
	}
	return it.Rule
}

// remindable returns the devices with notifications of those a reminder is
// for; when they have none, the family's other ones, so that it is not lost.
func (c *Courier) remindable(m remind.Message) (theirs []care.DeviceID, err error) {
	var others []care.DeviceID
	err = c.DB.View(func(tx *store.Tx) error {
		all, err := tx.Register().Devices(m.Family)
		if err != nil {
			return err
		}
		for _, d := range all {
			p, err := tx.Register().Person(d.Person)
			if err != nil || d.Revoked {
				continue
			}
			if last, err := tx.Access().LastConsent(p.ID); err != nil || last.Withdrawn {
				continue // nobody is reminded who took their consent back
			}
			if _, err := tx.Access().Subscription(d.ID); err != nil {
				continue
			}
			if isFor(m, p) {
				theirs = append(theirs, d.ID)
			} else {
				others = append(others, d.ID)
			}
		}
		return nil
	})
	if len(theirs) == 0 {
		return others, err
	}
	return theirs, err
}

// isFor reports whether a reminder is for a person: a teen is reminded of
// their own lenses, not of those of a brother or sister, and nobody of what they
// leave to the others.
func isFor(m remind.Message, p care.Person) bool {
	if !slices.ContainsFunc(m.Items, func(it remind.WearerItem) bool { return !slices.Contains(p.Mute, it.Rule) }) {
		return false
	}
	if p.Role == care.Teen && p.Wearer != "" && !slices.ContainsFunc(m.Items, func(it remind.WearerItem) bool { return it.Wearer == p.Wearer }) {
		return false
	}
	return m.To == "all" || string(p.Role) == m.To
}

// TestMail returns what sends a test mail; nil when no mail server is set. In a
// rehearsal none leaves.
func TestMail(m Mailer, rehearsal bool) func(to, number string) error {
	if m == nil {
		return nil
	}
	if rehearsal {
		return func(string, string) error { return errors.New(rehearsalNote) }
	}
	return func(to, number string) error {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		text := "This is a test of Nightkeep's mails: alerts that nobody answers come this way.\n\nPlease tell your administrator this code, or enter it under Staff: " + number + "\n"
		err := m.Send(ctx, number, to, "test", text)
		var known *mail.Error
		if errors.As(err, &known) {
			return errors.New(known.Words())
		}
		return err
	}
}
