package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/app"
	"nightkeep/server/internal/app/courier"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/mail"
	"nightkeep/server/internal/push/pushtest"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// desk is a practice with Ann on duty, who has three devices, and Ben, who has
// one, a push service, and a mail server, all on this machine.
type desk struct {
	*app.App
	opt     app.Options
	service *pushtest.Service
	mails   *mails
	log     *bytes.Buffer
	mu      sync.Mutex
	now     time.Time
}

// mails takes mails, or answers as told.
type mails struct {
	mu     sync.Mutex
	answer error
	keys   []string // of every try
	sent   []string // recipient and subject
	texts  []string // of those sent
}

func (m *mails) Send(_ context.Context, key, to, subject, text string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.keys = append(m.keys, key)
	if m.answer == nil {
		m.sent, m.texts = append(m.sent, to+" "+subject), append(m.texts, text)
	}
	return m.answer
}

// monday is a Monday morning; the practice is in UTC.
var monday = time.Date(2026, 3, 23, 9, 0, 0, 0, time.UTC)

func newDesk(t *testing.T) *desk {
	t.Helper()
	return newDeskWith(t, nil)
}

// newDeskWith is a desk with a mail server of its own; nil for one that keeps
// what it is given.
func newDeskWith(t *testing.T, mailer courier.Mailer) *desk {
	t.Helper()
	d := &desk{mails: &mails{}, log: &bytes.Buffer{}, now: monday}
	if mailer == nil {
		mailer = d.mails
	}
	d.service = pushtest.Start(d.time)
	t.Cleanup(d.service.Close)
	d.opt = app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Dev: true, AllowPrivatePush: true, Now: d.time, Mail: mailer,
		Log: slog.New(slog.NewTextHandler(d.log, nil))}
	d.start(t)
	err := d.DB.Update(func(tx *store.Tx) error {
		all := escalate.Rota{Zone: "UTC"}
		for day := range 7 {
			all.Slots = append(all.Slots, escalate.Slot{Weekday: day, Person: "ann"})
		}
		err := errors.Join(
			tx.Register().PutPractice(care.Practice{Name: "P", Zone: "UTC", OwnerMail: "owner@example.com", Contacts: care.Contacts{Zone: "UTC"}}),
			tx.Register().AddPerson(care.Person{ID: "ann", Name: "Ann", Role: care.Clinician, Mail: "ann@example.com"}),
			tx.Register().AddPerson(care.Person{ID: "ben", Name: "Ben", Role: care.Clinician, Mail: "ben@example.com"}),
			tx.Register().AddPerson(care.Person{ID: "cem", Name: "Cem", Role: care.Administrator, Mail: "cem@example.com"}),
			tx.Register().AddFamily(care.Family{ID: "f1", Zone: "UTC"}),
			tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "W", Code: "W-1"}),
			tx.Register().SetSetting("rota", all), tx.Register().SetSetting("canary", civil.DateOf(monday)),
		)
		for device, person := range map[string]care.PersonID{"phone": "ann", "tablet": "ann", "old": "ann", "ben": "ben"} {
			endpoint, receiver := d.service.Register(device)
			err = errors.Join(err, tx.Register().AddDevice(care.Device{ID: care.DeviceID(device), Person: person, Name: device, Created: tx.Now}),
				tx.Access().AddCredential("token-"+device, register.Credential{Device: care.DeviceID(device), Created: tx.Now}),
				tx.Access().PutSubscription(care.DeviceID(device), register.Subscription{Endpoint: endpoint, P256dh: receiver.P256dh(), Auth: receiver.AuthSecret()}))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func (d *desk) start(t *testing.T) {
	t.Helper()
	a, err := app.New(d.opt)
	if err != nil {
		t.Fatal(err)
	}
	d.App = a
	t.Cleanup(func() { _ = a.Stop() })
}

func (d *desk) time() time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.now
}

func (d *desk) pass(by time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.now = d.now.Add(by)
}

func (d *desk) work(t *testing.T) {
	t.Helper()
	if _, err := d.Worker.Work(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// raise raises a red flag, as a report does.
func (d *desk) raise(t *testing.T, id care.AlertID) {
	t.Helper()
	err := d.DB.Update(func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		_, err = dispatch.Apply(tx, rules, escalate.Alert{ID: id, Wearer: "w1", Family: "f1", Rule: "pain"},
			escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Entry: care.EntryID("e-" + id)})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// put puts rows straight into the outbox.
func (d *desk) put(t *testing.T, rows ...escalate.Row) {
	t.Helper()
	err := d.DB.Update(func(tx *store.Tx) error {
		for _, r := range rows {
			r.Created, r.Due = tx.Now, tx.Now
			if err := tx.Duty().PutRow(r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// shown counts the messages a push service has taken, by device.
func (d *desk) shown() map[string]int {
	out := map[string]int{}
	for _, m := range d.service.Received() {
		out[m.ID]++
	}
	return out
}

// A red flag reaches every subscribed device of the person on duty: one that
// took it is told once, one whose service was busy is tried again until it
// takes it, one that is gone loses its subscription. Once somebody has
// acknowledged, nobody is told any more. What each status means is RFC 8030,
// sections 5 and 8.
func TestEveryDeviceShowsARedFlag(t *testing.T) {
	t.Parallel()
	for _, busy := range []int{http.StatusTooManyRequests, http.StatusServiceUnavailable, 0} {
		for _, acknowledged := range []bool{false, true} {
			t.Run(fmt.Sprintf("%d, acknowledged %v", busy, acknowledged), func(t *testing.T) {
				t.Parallel()
				d := newDesk(t)
				d.service.Script("tablet", pushtest.Answer{Status: busy}, pushtest.Answer{Status: busy})
				d.service.Script("old", pushtest.Answer{Status: http.StatusGone})
				d.raise(t, "a-1")
				d.work(t)
				if got, want := d.shown(), map[string]int{"phone": 1}; !maps.Equal(got, want) {
					t.Fatalf("at first %v, want %v", got, want)
				}
				want := map[string]int{"phone": 1, "tablet": 1}
				if acknowledged {
					want = map[string]int{"phone": 1}
					err := d.DB.Update(func(tx *store.Tx) error {
						a, err := tx.Duty().Alert("a-1")
						if err != nil {
							return err
						}
						_, err = dispatch.Apply(tx, escalate.Rules{}, a, escalate.Event{Kind: escalate.Acknowledge, By: "ann", Name: "Ann", Role: care.Clinician})
						return err
					})
					if err != nil {
						t.Fatal(err)
					}
				}
				for range 20 {
					d.pass(10 * time.Second)
					d.work(t)
				}
				if got := d.shown(); !maps.Equal(got, want) {
					t.Errorf("in the end %v, want %v", got, want)
				}
				_ = d.DB.View(func(tx *store.Tx) error {
					if _, err := tx.Access().Subscription("old"); care.KindOf(err) != care.NotFound {
						t.Errorf("the subscription that is gone: %v", err)
					}
					if at, _ := tx.Duty().OldestOutbox(); !at.IsZero() {
						t.Error("the outbox is not empty")
					}
					return nil
				})
			})
		}
	}
}

// dying is the outbox of a program that dies before it has stored what became of
// a row, or before it was told that it has leased one.
type dying struct {
	dispatch.Outbox
	at string
}

func (o dying) Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error) {
	rows, err := o.Outbox.Lease(now, n, lease)
	if o.at == "lease" {
		return nil, errors.New("died")
	}
	return rows, err
}

func (o dying) Done(escalate.Row, time.Time, string, ...escalate.Row) error {
	return errors.New("died")
}
func (o dying) Retry(escalate.Row, time.Time, string) error { return errors.New("died") }
func (o dying) Drop(escalate.Row, time.Time, string) error  { return errors.New("died") }

// The program dies at each step of sending a red flag and is started anew: every
// device gets it, and what one gets twice carries the same tag, so that it shows
// once (Notifications API: a notification takes the place of one with its tag).
func TestAProgramThatDiesWhileSending(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, at string
		tablet   []pushtest.Answer
		want     map[string]int
	}{
		{"once it had leased it", "lease", nil, map[string]int{"phone": 1, "tablet": 1, "old": 1}},
		{"once everybody had it", "done", nil, map[string]int{"phone": 2, "tablet": 2, "old": 2}},
		{"once some had it", "done", []pushtest.Answer{{Status: 503}, {Status: 503}}, map[string]int{"phone": 2, "tablet": 1, "old": 2}},
		{"once nobody had it", "retry", []pushtest.Answer{{Status: 503}}, map[string]int{"phone": 1, "tablet": 1, "old": 1}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			d.service.Script("tablet", tc.tablet...)
			if tc.at == "retry" {
				d.service.Script("phone", tc.tablet...)
				d.service.Script("old", tc.tablet...)
			}
			d.raise(t, "a-1")
			w := escalate.Worker{Outbox: dying{dispatch.Outbox{DB: d.DB}, tc.at}, Deliverer: d.Worker.Deliverer, Now: d.time}
			_, _ = w.Work(t.Context()) // nobody hears of its error
			if err := d.Stop(); err != nil {
				t.Fatal(err)
			}
			d.start(t)
			for range 30 { // five minutes: the lease of two, and the longest wait here
				d.work(t)
				d.pass(10 * time.Second)
			}
			if got := d.shown(); !maps.Equal(got, tc.want) {
				t.Errorf("sent %v, want %v", got, tc.want)
			}
			for _, m := range d.service.Received() {
				if !strings.Contains(string(m.Payload), `"tag":"a-1"`) {
					t.Errorf("payload %s", m.Payload)
				}
			}
			_ = d.DB.View(func(tx *store.Tx) error {
				if at, _ := tx.Duty().OldestOutbox(); !at.IsZero() {
					t.Error("the outbox is not empty")
				}
				return nil
			})
		})
	}
}

// A push service that keeps silent about one device does not hold up another
// one's alerts, however many wait for the first: they arrive while the silent
// one still has not answered a single message.
func TestASilentDeviceHoldsUpNobody(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.service.Script("phone", slices.Repeat([]pushtest.Answer{{Hang: true}}, 1000)...)
	var rows []escalate.Row
	for i := range 220 {
		r := escalate.Row{Alert: "a-1", Device: "phone", Delivery: escalate.Delivery{
			Step: i, Channel: escalate.Push, Target: "ann", Kind: escalate.KindAlert, Level: escalate.Emergency}}
		if i >= 200 { // the last ones are for Ben, and less pressing
			r.Device, r.Target, r.Level = "ben", "ben", escalate.Urgent
		}
		rows = append(rows, r)
	}
	d.put(t, rows...)
	d.StartWorkers()
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for d.shown()["ben"] < 20 {
		<-tick.C
	}
	// By count, not by the clock: a silent message is given up after 10 s, so Ann's
	// 200 take minutes, and Ben's must not have stood behind them.
	if tried := 1000 - d.service.Left("phone"); tried >= 200 {
		t.Errorf("Ben had his messages after %d tries of Ann's, want them before all 200", tried)
	}
}

// What a mail server refuses for good (RFC 5321 section 4.2.1: 5yz) is not
// tried again and the operator is told, without an address; what it refuses for
// now is, under the same key.
func TestMailThatIsRefused(t *testing.T) {
	t.Parallel()
	row := escalate.Row{Alert: "a-1", Delivery: escalate.Delivery{Step: 2, Channel: escalate.Mail, Target: "ann", Kind: escalate.KindAlert, Level: escalate.Emergency}}
	for _, tc := range []struct {
		name  string
		err   error
		tries int
		log   string
	}{
		{"no such mailbox", &mail.Error{Code: 550, Stage: "send"}, 1, "level=ERROR"},
		{"mailbox full", &mail.Error{Code: 452, Stage: "send", Temporary: true}, 2, "level=WARN"},
		{"no network", errors.New("unreachable"), 2, "level=WARN"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			d.put(t, row)
			d.mails.answer = tc.err
			d.work(t)
			d.mails.answer = nil
			d.pass(time.Minute)
			d.work(t)
			if len(d.mails.keys) != tc.tries || len(d.mails.sent) != tc.tries-1 || len(slices.Compact(d.mails.keys)) != 1 {
				t.Errorf("tried %q, sent %q; want %d tries of one key", d.mails.keys, d.mails.sent, tc.tries)
			}
			if text := d.log.String(); !strings.Contains(text, tc.log) || strings.Contains(text, "@example") {
				t.Errorf("log %q, want %s and no address", text, tc.log)
			}
		})
	}
}

// A message is never given up because the store could not be read just then:
// only a person without a device or an address is past telling.
func TestAnUnreadableStoreGivesUpNoMessage(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	if err := d.DB.Close(); err != nil {
		t.Fatal(err)
	}
	for _, del := range []escalate.Delivery{
		{Channel: escalate.Push, Target: "ann", Kind: escalate.KindAlert, Level: escalate.Emergency},
		{Channel: escalate.Mail, Target: "ann", Kind: escalate.KindAlert, Level: escalate.Emergency},
	} {
		for _, device := range []care.DeviceID{"", "phone"} {
			got := d.Worker.Deliverer.Deliver(t.Context(), escalate.Row{Alert: "a-1", Device: device, Delivery: del})
			if got.Verdict != escalate.TryAgain {
				t.Errorf("%s to device %q: %+v, want it tried again", del.Channel, device, got)
			}
		}
	}
}

// The last step of the ladder, a reminder to whoever has an alert, and the
// notices of the day each go out once, although the program is started anew
// between any two moments, and looks twice each time.
func TestARestartSendsNothingTwice(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.raise(t, "a-1")
	for range 14 { // 09:00 to 10:05
		for range 2 {
			if err := d.Climb(); err != nil {
				t.Fatal(err)
			}
		}
		d.work(t)
		if err := d.Stop(); err != nil {
			t.Fatal(err)
		}
		d.start(t)
		d.work(t)
		d.pass(5 * time.Minute)
	}
	// Steps of the default policy that mail: everybody at 5 min (Ann alone is on
	// the rota, so the deputy's step at 3 min is hers), at 10, 25, 40 and 55, and
	// at 60 the owner too.
	count := map[string]int{}
	for _, m := range d.mails.sent {
		count[m]++
	}
	want := map[string]int{"ann@example.com emergency": 5, "ann@example.com lapsed": 1, "owner@example.com lapsed": 1}
	if !maps.Equal(count, want) {
		t.Errorf("mails %v, want %v", count, want)
	}
}

// When no backup was tried for a quarter of a year the owner and the
// administrators are told by mail, and again after a fortnight; a server that has
// made no backup has nothing to try.
func TestARehearsalIsRemindedOf(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		backup string        // file of a scheduled backup; empty: none was made
		tried  time.Duration // how long ago one worked; 0: never
		mails  int           // in 16 evenings, to two addresses
	}{
		{"no backup", "", 0, 0},
		{"never tried", "nightkeep-20260301T000000Z.db", 0, 4},
		{"tried lately", "nightkeep-20260301T000000Z.db", time.Hour, 0},
		{"tried a quarter ago", "nightkeep-20260301T000000Z.db", 93 * 24 * time.Hour, 4},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d, dir := newDesk(t), t.TempDir()
			if tc.backup != "" {
				if err := os.WriteFile(filepath.Join(dir, tc.backup), nil, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			d.MakesBackups(dir)
			if tc.tried > 0 {
				if err := d.DB.Update(func(tx *store.Tx) error { return tx.Register().SetReadBack(tx.Now.Add(-tc.tried)) }); err != nil {
					t.Fatal(err)
				}
			}
			d.pass(10 * time.Hour) // past six in the evening
			for range 16 {
				for range 2 {
					if err := d.Climb(); err != nil {
						t.Fatal(err)
					}
					d.work(t)
				}
				d.pass(24 * time.Hour)
			}
			got := slices.DeleteFunc(d.mails.sent, func(s string) bool { return !strings.HasSuffix(s, " rehearse") })
			if len(got) != tc.mails {
				t.Errorf("%d mails: %q, want %d", len(got), got, tc.mails)
			}
		})
	}
}

// Every evening at six the rota of the next seven days is looked at, and the
// owner and the administrators are told when hours of the clinic have nobody.
func TestRotaIsCheckedNightly(t *testing.T) {
	t.Parallel()
	hours := func(to civil.Clock) []care.Hours {
		return []care.Hours{{Weekday: 2, From: civil.MustClock("09:00"), To: to}}
	}
	for _, tc := range []struct {
		name  string
		hours []care.Hours
		slots []escalate.Slot
		told  bool
	}{
		{"nobody after five on Tuesday", hours(civil.MustClock("18:00")), []escalate.Slot{{Weekday: 2, From: civil.MustClock("09:00"), To: civil.MustClock("17:00"), Person: "ann"}}, true},
		{"every hour of the clinic", hours(civil.MustClock("17:00")), []escalate.Slot{{Weekday: 2, From: civil.MustClock("09:00"), To: civil.MustClock("17:00"), Person: "ann"}}, false},
		{"no hours given, a rota of one day", nil, []escalate.Slot{{Weekday: 2, Person: "ann"}}, true},
		{"no rota at all", hours(civil.MustClock("17:00")), nil, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			err := d.DB.Update(func(tx *store.Tx) error {
				p, err := tx.Register().Practice()
				p.Contacts.Hours = tc.hours
				return errors.Join(err, tx.Register().PutPractice(p), tx.Register().SetSetting("rota", escalate.Rota{Zone: "UTC", Slots: tc.slots}))
			})
			if err != nil {
				t.Fatal(err)
			}
			look := func() {
				if err := d.Climb(); err != nil {
					t.Fatal(err)
				}
				d.work(t)
			}
			d.pass(8*time.Hour + 59*time.Minute) // 17:59
			look()
			if len(d.mails.sent) != 0 {
				t.Errorf("before six: %q", d.mails.sent)
			}
			d.pass(time.Minute)
			look()
			look()
			slices.Sort(d.mails.sent)
			want := []string{"cem@example.com rota", "owner@example.com rota"}
			if !tc.told {
				want = nil
			}
			if !slices.Equal(d.mails.sent, want) {
				t.Errorf("told %q, want %q", d.mails.sent, want)
			}
			d.pass(24 * time.Hour)
			look()
			if n := len(d.mails.sent); n != 2*len(want) {
				t.Errorf("the next evening: %d in all, want %d", n, 2*len(want))
			}
		})
	}
}

// A clinic device that takes the daily test message and never shows it is named
// once half a day has gone by; any message it shows settles it.
func TestADeviceThatShowsNothingIsNamed(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	named := func() (out []string) {
		var got struct {
			NotSet []struct{ What, Text string } `json:"not_set"`
		}
		d.get(t, "ben", "/api/clinic/settings", &got)
		for _, n := range got.NotSet {
			if n.What == "unheard" {
				out = append(out, strings.Fields(n.Text)[2])
			}
		}
		slices.Sort(out)
		return out
	}
	d.pass(23 * time.Hour) // Tuesday 08:00
	if err := d.Climb(); err != nil {
		t.Fatal(err)
	}
	d.work(t)
	d.post(t, "phone", "/api/receipts", `{"tag":"canary-2026-03-24","event":"shown"}`)
	d.pass(12 * time.Hour)
	if got := named(); len(got) != 0 {
		t.Errorf("after 12 hours: %q", got)
	}
	d.pass(time.Minute)
	if got, want := named(), []string{`"ben"`, `"old"`, `"tablet"`}; !slices.Equal(got, want) {
		t.Errorf("after 12 hours and a minute: %q, want %q", got, want)
	}
	d.post(t, "tablet", "/api/receipts", `{"tag":"test","event":"shown"}`)
	if got, want := named(), []string{`"ben"`, `"old"`}; !slices.Equal(got, want) {
		t.Errorf("after a test message was shown: %q, want %q", got, want)
	}
}

// "Test this device" sends one message that says it is a test, and in words what
// is wrong when it cannot: not turned on, gone (RFC 8030 section 7.3), or busy.
func TestTestThisDevice(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name   string
		answer []pushtest.Answer
		status int
		code   string
	}{
		{"taken", nil, http.StatusOK, ""},
		{"busy", []pushtest.Answer{{Status: http.StatusServiceUnavailable}}, http.StatusServiceUnavailable, "push-failed"},
		{"gone", []pushtest.Answer{{Status: http.StatusGone}}, http.StatusConflict, "subscription-gone"},
		{"and so not turned on any more", nil, http.StatusConflict, "no-subscription"},
	} {
		d.service.Script("tablet", tc.answer...)
		status, raw := d.try(t, http.MethodPost, "tablet", "/api/clinic/push/test", "")
		if status != tc.status || !strings.Contains(raw, tc.code) {
			t.Errorf("%s: %d %s, want %d %s", tc.name, status, raw, tc.status, tc.code)
		}
	}
	if got := d.service.Received(); len(got) != 1 || !strings.Contains(string(got[0].Payload), `"kind":"test"`) {
		t.Errorf("the push service got %+v, want the one test", got)
	}
}

// A subscription whose keys no message can be encrypted for (RFC 8291 section 3: a
// point on P-256, and 16 bytes) is refused when it is made, not when an alert is to
// go to it; the one that was there stays.
func TestUnusablePushKeysAreRefused(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	endpoint, receiver := d.service.Register("new")
	for _, keys := range [][2]string{{"AAAA", receiver.AuthSecret()}, {receiver.P256dh(), "AAAA"}, {"not base64!", receiver.AuthSecret()}} {
		body := fmt.Sprintf(`{"endpoint":%q,"p256dh":%q,"auth":%q}`, endpoint, keys[0], keys[1])
		if status, raw := d.try(t, http.MethodPost, "tablet", "/api/push/subscription", body); status != http.StatusUnprocessableEntity || !strings.Contains(raw, "base64url") {
			t.Errorf("%s: %d %s", body, status, raw)
		}
	}
	if status, raw := d.try(t, http.MethodPost, "tablet", "/api/clinic/push/test", ""); status != http.StatusOK {
		t.Errorf("the old subscription: %d %s", status, raw)
	}
}

func (d *desk) get(t *testing.T, device, path string, into any) {
	t.Helper()
	d.call(t, http.MethodGet, device, path, "", into)
}

func (d *desk) post(t *testing.T, device, path, body string) {
	t.Helper()
	d.call(t, http.MethodPost, device, path, body, nil)
}

// call makes a request as a staff device, and wants it to succeed.
func (d *desk) call(t *testing.T, method, device, path, body string, into any) {
	t.Helper()
	status, raw := d.try(t, method, device, path, body)
	if status != http.StatusOK {
		t.Fatalf("%s %s: %d %s", method, path, status, raw)
	}
	if into != nil {
		if err := json.Unmarshal([]byte(raw), into); err != nil {
			t.Fatal(err)
		}
	}
}

// try makes a request as a staff device.
func (d *desk) try(t *testing.T, method, device, path, body string) (int, string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, d.URL()+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	req.AddCookie(&http.Cookie{Name: "nightkeep_staff", Value: "token-" + device})
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(raw)
}
