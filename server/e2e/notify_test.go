package e2e_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/serviceworker"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/push"
	"nightkeep/server/internal/store"
)

// notification is what the browser shows.
type notification struct{ Title, Body, Tag, URL string }

// pushed lets a tab's service worker receive push messages from the developer
// tools, as from a push service once it has decrypted them, and returns what
// delivers one.
func pushed(t *testing.T, tab context.Context, origin string) func(data string) {
	t.Helper()
	found := make(chan serviceworker.RegistrationID, 20)
	err := chromedp.Listen(tab, func(ev any) {
		if e, ok := ev.(*serviceworker.EventWorkerRegistrationUpdated); ok {
			for _, r := range e.Registrations {
				if !r.IsDeleted && strings.HasPrefix(r.ScopeURL, origin) {
					select {
					case found <- r.RegistrationID:
					default:
					}
				}
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.CallBrowser(tab, browser.SetPermission, browser.SetPermissionParams{
		Permission: &browser.PermissionDescriptor{Name: "notifications"}, Setting: browser.PermissionSettingGranted, Origin: origin,
	}); err != nil {
		t.Fatal(err)
	}
	call := func(f func(ctx context.Context, tab *chromedp.Target) error) {
		run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
			return chromedp.Void{}, f(ctx, tab)
		})
	}
	call(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, serviceworker.Enable, cdp.Empty{})
		return err
	})
	var id serviceworker.RegistrationID
	select {
	case id = <-found:
	case <-time.After(patience):
		t.Fatal("the browser names no service worker")
	}
	return func(data string) {
		call(func(ctx context.Context, tab *chromedp.Target) error {
			_, err := cdp.Call(ctx, tab, serviceworker.DeliverPushMessage, serviceworker.DeliverPushMessageParams{Origin: origin, RegistrationID: id, Data: data})
			return err
		})
	}
}

// takeJS waits until the browser shows a notification, puts it away and returns
// what it said, once it is gone: a later one of the same tag would go with it.
// It is for after the receipt: Chromium drops a notification from its list that
// is asked for between being written there and being on the screen.
const takeJS = `new Promise((resolve) => {
	const shown = async () => (await navigator.serviceWorker.getRegistration()).getNotifications();
	const look = async () => {
		const [n] = await shown();
		if (!n) return setTimeout(look, 20);
		n.close();
		const gone = async () => (await shown()).length
			? setTimeout(gone, 20)
			: resolve({Title: n.title, Body: n.body, Tag: n.tag, URL: n.data.url});
		gone();
	};
	look();
})`

// until asks again and again until it is so.
func until(t *testing.T, what string, so func() bool) {
	t.Helper()
	deadline := time.After(patience)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for !so() {
		select {
		case <-deadline:
			t.Fatal("never: " + what)
		case <-tick.C:
		}
	}
}

// receipts is how many receipts the server has taken.
func receipts(t *testing.T, a program) int {
	t.Helper()
	res, err := http.Get(a.URL() + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`_count\{method="POST",route="/api/receipts",status="200"\} (\d+)`).FindSubmatch(raw)
	if m == nil {
		return 0
	}
	n, err := strconv.Atoi(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Every push message shows a notification, also one that cannot be read: a
// browser takes the permission away from a site that shows none. The words
// name nobody and nothing clinical, and the server hears that it was shown.
// The words are those of the design: what there is to do, and where.
func TestEveryPushShowsANotificationToTheFamily(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready())
	deliver := pushed(t, tab, a.URL())
	other := notification{"Nightkeep", "Open the app.", "other", "/"}
	for i, tc := range []struct {
		name, data string
		want       notification
	}{
		{"a reminder", string(push.NewPayload(push.KindReminder, "evening", "", "/").Bytes()), notification{"Nightkeep", "There is something to do in the app.", "evening", "/"}},
		{"a test", string(push.NewPayload(push.KindTest, "test", "", "/").Bytes()), notification{"Nightkeep", "The test message has arrived.", "test", "/"}},
		{"not JSON", "\x00\xff{", other},
		{"nothing", "", other},
		{"JSON of another form", `[1, "alert"]`, other},
		{"fields of another form", `{"kind": 7, "tag": "", "url": null, "level": {}}`, other},
		{"a kind from later", `{"kind": "constructor", "tag": "later", "body": "pain in the right eye"}`, notification{"Nightkeep", "Open the app.", "later", "/"}},
	} {
		deliver(tc.data)
		until(t, "the server hears that "+tc.name+" was shown", func() bool { return receipts(t, a) == i+1 })
		got, err := ask[notification](tab, takeJS)
		if err != nil || got != tc.want {
			t.Errorf("%s: shown %+v, %v; want %+v", tc.name, got, err, tc.want)
		}
	}
	sound(t, tab)
}

// A red flag's message at the clinic: the console's alert says that a device
// has shown it, and by whose; a second message about the same alert takes the
// place of the first.
func TestPushShowsARedFlagAtTheClinic(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	wearer := care.WearerID(wearerID(t, c, a, "W-0002"))
	err := a.DB.Update(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(wearer)
		if err != nil {
			return err
		}
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		_, err = dispatch.Apply(tx, rules, escalate.Alert{ID: "alert-of-this-test", Wearer: wearer, Family: w.Family, Rule: "pain-persists"},
			escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Entry: "e-1"})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")),
		awaited(`navigator.serviceWorker.register(trustedTypes.createPolicy('nightkeep', {createScriptURL: (u) => u}).createScriptURL('/sw.js')).then(() => true, (e) => { throw e; })`))
	run(t, tab, awaited(`navigator.serviceWorker.ready.then((r) => !!r.active)`))
	deliver := pushed(t, tab, a.URL())
	payload := string(push.NewPayload(string(escalate.KindAlert), "alert-of-this-test", string(escalate.Emergency), push.ClinicAlerts).Bytes())
	deliver(payload)
	deliver(payload)
	until(t, "the server hears that both were shown", func() bool { return receipts(t, a) == 2 })
	if n, err := ask[int](tab, `navigator.serviceWorker.getRegistration().then((r) => r.getNotifications()).then((l) => l.length)`); err != nil || n != 1 {
		t.Errorf("%d notifications of one alert, %v", n, err)
	}
	got, err := ask[notification](tab, takeJS)
	want := notification{"Nightkeep", "A family has reported something. Open to see it.", "alert-of-this-test", "/clinic#alerts"}
	if d := cmp.Diff(want, got); err != nil || d != "" {
		t.Errorf("%v (-want +got):\n%s", err, d)
	}
	until(t, "the console says that a device has shown it", func() bool {
		list := getJSON[struct {
			Alerts []struct {
				ID, Step string
				History  []struct {
					What    string
					WhoName string `json:"who_name"`
				}
			}
		}](t, c, a.URL()+"/api/clinic/alerts")
		for _, x := range list.Alerts {
			if x.ID != "alert-of-this-test" {
				continue
			}
			for _, e := range x.History {
				if e.What == "shown" {
					return e.WhoName == "Dr Imani Okafor" && strings.HasPrefix(x.Step, "shown on a device")
				}
			}
		}
		return false
	})
}

// Put off from the notification itself, with no page of the app open: the phone
// writes it for each child it reminds of, half an hour from then by its own
// clock, and the server has it.
func TestPutOffFromTheNotification(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready())
	family, err := ask[struct {
		Wearers []struct {
			ID   care.WearerID
			Plan any
		}
	}](tab, `fetch('/api/family').then((r) => r.json())`)
	if err != nil {
		t.Fatal(err)
	}
	deliver := pushed(t, tab, a.URL())
	deliver(string(push.NewPayload(push.KindReminder, "evening", "", "/").Bytes()))
	until(t, "the server hears that the reminder was shown", func() bool { return receipts(t, a) == 1 })
	worker := workerOf(t, tab, a.URL())
	run(t, tab, chromedp.Navigate("about:blank"))
	zone, err := ask[string](worker, fmt.Sprintf(pressLaterJS, bedtime.UnixMilli()))
	if err != nil {
		t.Fatal(err)
	}
	home, err := time.LoadLocation(zone)
	if err != nil {
		t.Fatal(err)
	}
	want := bedtime.Add(30 * time.Minute).In(home).Format("15:04")
	for _, w := range family.Wearers {
		if w.Plan == nil {
			continue
		}
		until(t, "reminders of each child are put off to "+want, func() bool { return slices.Contains(putOffTo(t, a, w.ID, bedtime.In(home)), want) })
	}
}

// pressLaterJS has a service worker see that "In 30 minutes" was pressed on the
// notification that stands, at a time in Unix milliseconds, and returns the zone
// it takes itself to be in.
const pressLaterJS = `(async () => {
	const Real = Date, now = %d;
	globalThis.Date = class extends Real {
		constructor(...a) { if (a.length) super(...a); else super(now); }
		static now() { return now; }
	};
	const [notification] = await registration.getNotifications();
	if (!notification.actions.some((a) => a.action === 'later')) throw new Error('the notification offers no "later"');
	dispatchEvent(new NotificationEvent('notificationclick', {notification, action: 'later'}));
	return new Intl.DateTimeFormat().resolvedOptions().timeZone;
})()`

// workerOf attaches to the service worker of an origin in a tab's browser.
func workerOf(t *testing.T, tab context.Context, origin string) context.Context {
	t.Helper()
	var id target.ID
	until(t, "the browser names the service worker", func() bool {
		list, err := chromedp.Targets(tab)
		if err != nil {
			t.Fatal(err)
		}
		for _, info := range list {
			if info.Type == "service_worker" && strings.HasPrefix(info.URL, origin) {
				id = info.TargetID
			}
		}
		return id != ""
	})
	worker, stop := chromedp.NewContext(tab, chromedp.WithTargetID(id))
	t.Cleanup(stop)
	return worker
}

// putOffTo returns the clock times that a wearer's reminders of the night are
// put off to on the server.
func putOffTo(t *testing.T, a program, w care.WearerID, now time.Time) (to []string) {
	t.Helper()
	night := civil.NightOf(now, now.Location())
	err := a.DB.View(func(tx *store.Tx) error {
		return tx.Log().WearerEntries(w, night, night, func(e care.Entry) bool {
			var body struct{ Until string }
			if e.Kind == care.Snooze && json.Unmarshal(e.Body, &body) == nil {
				to = append(to, body.Until)
			}
			return true
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return to
}
