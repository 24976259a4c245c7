package e2e_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/push/pushtest"
)

// invited is an invitation as the console shows it.
type invited struct{ Code, URL string }

// newcomers makes a family whose child wears lenses for the first time on the
// night of bedtime, as the desk and the clinician do, and returns what invites
// its parent.
func newcomers(t *testing.T, a program, c *http.Client) (invite func() invited) {
	t.Helper()
	return newcomersFrom(t, a, c, "2026-03-24", 0)
}

// newcomersFrom is newcomers with a plan whose first night is another, and with the
// refraction before it, of both eyes in dioptres, unless that is 0.
func newcomersFrom(t *testing.T, a program, c *http.Client, first string, before float64) (invite func() invited) {
	t.Helper()
	family := decoded[struct {
		ID      string
		People  []struct{ ID string }
		Wearers []struct{ ID string }
	}](t, post(t, c, a.URL()+"/api/clinic/families", map[string]any{
		"name": "Lindqvist", "zone": "Europe/London",
		"wearer": map[string]string{"name": "Tove Lindqvist", "code": "W-9100", "birth": "2015-05-04"},
		"people": []map[string]string{{"name": "Astrid Lindqvist", "role": "parent", "phone": "+44 20 7946 0301"}},
	}))
	plans := a.URL() + "/api/clinic/wearers/" + family.Wearers[0].ID + "/plan"
	plan := getJSON[struct{ Usual map[string]any }](t, c, plans).Usual
	plan["first_night"], plan["baseline_right"], plan["baseline_left"] = first, before, before
	post(t, c, plans, plan)
	return func() invited {
		return decoded[invited](t, post(t, c, a.URL()+"/api/clinic/families/"+family.ID+"/invitations", map[string]string{"person": family.People[0].ID}))
	}
}

// pushAPI has a page subscribe at a push service of this machine, and note
// whether the permission was asked for on a tap; the answer to that is the
// browser's own, which the test gives.
func pushAPI(t *testing.T, tab context.Context, endpoint string, r *pushtest.Receiver) {
	t.Helper()
	source := fmt.Sprintf(`if (globalThis.PushManager) {
		PushManager.prototype.subscribe = async () => ({toJSON: () => ({endpoint: %q, keys: {p256dh: %q, auth: %q}})});
		Notification.requestPermission = async () => {
			globalThis.askedOnATap = navigator.userActivation.isActive;
			while (Notification.permission !== 'granted') await new Promise((r) => setTimeout(r, 20));
			return 'granted';
		};
	}`, endpoint, r.P256dh(), r.AuthSecret())
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
		return chromedp.Void{}, err
	})
}

// offline cuts a tab off from every network, or joins it again.
func offline(t *testing.T, tab context.Context, cut bool) {
	t.Helper()
	var rules []*network.Conditions
	if cut {
		rules = append(rules, &network.Conditions{Offline: true, DownloadThroughput: -1, UploadThroughput: -1})
	}
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		if _, err := cdp.Call(ctx, tab, network.Enable, network.EnableParams{}); err != nil {
			return chromedp.Void{}, err
		}
		_, err := cdp.Call(ctx, tab, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: append([]*network.Conditions{}, rules...)})
		return chromedp.Void{}, err
	})
}

// The whole first run: an invitation, typed as it stands in the letter or from
// the address in the QR code; what is agreed to; the home screen; why
// notifications, the permission on a tap, and a test message that has to arrive,
// through a push service and really encrypted; the zone and the quiet hours;
// and then the one thing to do on the first night.
func TestFirstRunFromAnInvitation(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, lang, agree, why, sent, arrived, zone, quiet, first string
		byAddress                                                 bool
	}{
		{"typed", "en", "It does not diagnose", "remind you of lenses", "It should arrive within a minute", "The test message has arrived.", "Time zone: Europe/London", "Quiet from 22:30 to 06:30", "Lenses in", false},
		{"by the address in the QR code", "es", "No diagnostica", "recordarle lentes de contacto", "Debería llegar en un minuto", "El mensaje de prueba ha llegado.", "Europe/London", "22:30", "Poner las lentes de contacto", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			a := demoAt(t, bedtime)
			inv := newcomers(t, a, clinician(t, a))()
			service := pushtest.Start(a.Now)
			t.Cleanup(service.Close)
			endpoint, receiver := service.Register("phone")
			tr := &tour{t: t, a: a, tab: newBrowser(t)}
			width(t, tr.tab, 390, 844)
			at(t, tr.tab, bedtime)
			pushAPI(t, tr.tab, endpoint, receiver)
			run(t, tr.tab, chromedp.Navigate(a.URL()+"/status"))
			tr.eval(fmt.Sprintf(`localStorage.setItem('lang', %q)`, tc.lang))
			shoot := func(name string) { shot(t, tr.tab, "first-run-"+tc.lang+"-"+name) }

			if tc.byAddress {
				run(t, tr.tab, chromedp.Navigate(inv.URL), chromedp.WaitVisible(sel("join")))
			} else {
				run(t, tr.tab, chromedp.Navigate(a.URL()+"/join"), chromedp.WaitVisible(sel("join")), chromedp.SendKeys(sel("join-code"), strings.ToLower(inv.Code)))
			}
			run(t, tr.tab, seeIn("main", tc.agree), tap("join"), chromedp.WaitVisible(chromedp.CSS("#consent-fault"))) // not without agreeing
			shoot("1-join")
			run(t, tr.tab, tap("join-agree"), chromedp.WaitNotPresent(chromedp.CSS("#consent-fault")), tap("join"), chromedp.WaitVisible(sel("first-1"))) // the button moves up once the fault is gone
			shoot("2-install")
			run(t, tr.tab, tap("first-next"), see("first-2", tc.why), chromedp.WaitVisible(sel("push-on")), chromedp.WaitNotPresent(sel("first-next")))
			shoot("3-notify")
			run(t, tr.tab, tap("push-on"))
			until(t, "the permission is asked for on a tap", func() bool {
				on, err := ask[bool](tr.tab, `globalThis.askedOnATap === true`)
				return err == nil && on
			})
			deliver := pushed(t, tr.tab, a.URL())
			run(t, tr.tab, see("push-said", tc.sent), chromedp.WaitNotPresent(sel("first-next")))
			deliver(string(received(t, service).Payload))
			run(t, tr.tab, see("push-said", tc.arrived))
			shoot("4-arrived")
			run(t, tr.tab, tap("first-next"), see("first-3", tc.zone), see("first-3", tc.quiet))
			shoot("5-times")
			run(t, tr.tab, tap("first-next"), chromedp.WaitVisible(sel("wear-in")), seeIn(".now", tc.first))
			shoot("6-home")
			if where, err := ask[string](tr.tab, `location.pathname + location.hash`); err != nil || where != "/#/" {
				t.Errorf("the address is %q after joining, %v: the code must not stay in it", where, err)
			}
			for _, err := range service.Faults() {
				t.Error("push service:", err)
			}
			sound(t, tr.tab)
		})
	}
}

// What can go wrong on joining is said in words, and nothing that was typed is
// lost: a slip in the code, no network, a code that was used, one that is too
// old. "Something is wrong" is there all the while.
func TestJoiningThatFailsSaysWhy(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	invite := newcomers(t, a, clinician(t, a))
	tab := phoneAt(t, bedtime)
	good := invite()
	run(t, tab, chromedp.Navigate(good.URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), awaited(`navigator.serviceWorker.ready.then(r => !!r.active)`))

	offline(t, tab, true)
	run(t, tab, tap("join"), seeIn("main", "No connection. Joining needs one"), focused("el.id === 'code' && el.getBoundingClientRect().top >= 0"))
	shot(t, tab, "join-offline")
	run(t, tab, tap("wrong"), see("outside", "Take the lenses out of both eyes now"), chromedp.WaitNotVisible(sel("join")),
		// the numbers came with the page, so they are there without a network; nothing is promised to be sent
		see("outside", "Rinse the eye now. Then go."), chromedp.WaitVisible(sel("call-after")), chromedp.WaitVisible(sel("call-clinic")), see("call-emergency", "Emergency number: "), see("place", "Nobody answers within 10 minutes?"),
		becomes(`document.title.startsWith('Eye not right?') && !/does not have this yet/.test(document.querySelector('[data-test=outside]').innerText)`))
	shot(t, tab, "join-offline-wrong")
	run(t, tab, tap("outside-back"), chromedp.WaitVisible(sel("join")))
	offline(t, tab, false)

	used := invite()
	post(t, &http.Client{}, a.URL()+"/api/join", map[string]string{"code": used.Code, "device_name": "Another", "consent": "2"})
	slip := "ABCD-EFGH-JKLM"
	for _, code := range []string{slip, used.Code} {
		run(t, tab, retyped(code), chromedp.WaitNotPresent(chromedp.CSS(".entry-fault")), tap("join"),
			seeIn(".entry-fault", "This code does not work: perhaps it was used, is too old, or has a slip in it."))
	}
	shot(t, tab, "join-refused")

	a.clock.Set(bedtime.Add(access.InvitationLife + time.Minute))
	run(t, tab, retyped(good.Code), chromedp.WaitNotPresent(chromedp.CSS(".entry-fault")), tap("join"), seeIn(".entry-fault", "is too old"))
	a.clock.Set(bedtime.Add(time.Minute))
	run(t, tab, tap("join"), chromedp.WaitVisible(sel("first-1")))
	sound(t, tab)
}

// retyped types a code in place of another.
func retyped(code string) step {
	return chromedp.Steps(awaited(`Promise.resolve(document.querySelector('`+css("join-code")+`').select()).then(() => true)`), chromedp.SendKeys(sel("join-code"), code))
}

// In each kind of browser the way to the home screen is another.
func TestInstallStepIsThatOfThePlatform(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, agent, join, step string
		push                    bool // permission can be asked for
	}{
		{"iPhone", "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1", "put Nightkeep on the home screen first", "Tap “Add to Home Screen”, then “Add”", false},
		{"Android", "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/126.0 Mobile Safari/537.36", "", "Open the browser’s menu and choose “Install”", true},
		{"computer", "Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/126.0 Safari/537.36", "", "On a computer this is optional", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			a := demoAt(t, bedtime)
			tab := phoneAt(t, bedtime)
			run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
				_, err := cdp.Call(ctx, tab, emulation.SetUserAgentOverride, emulation.SetUserAgentOverrideParams{UserAgent: tc.agent})
				return chromedp.Void{}, err
			})
			run(t, tab, chromedp.Navigate(a.URL()+"/join"), chromedp.WaitVisible(sel("join")))
			if there, err := ask[string](tab, `document.querySelector('`+css("join-ios")+`')?.innerText ?? ''`); err != nil || !strings.Contains(there, tc.join) || there != "" && tc.join == "" {
				t.Errorf("before joining it says %q, %v; want %q", there, err, tc.join)
			}
			shot(t, tab, "install-"+tc.name+"-join")
			run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.Navigate(a.URL()+"/#/first"), see("first-1", tc.step))
			shot(t, tab, "install-"+tc.name)
			run(t, tab, tap("first-next"), chromedp.WaitVisible(sel("first-2")))
			if there, err := ask[bool](tab, `!!document.querySelector('`+css("push-on")+`, `+css("push-test")+`') || Notification.permission === 'denied'`); err != nil || there != tc.push {
				t.Errorf("notifications offered: %v, %v; want %v", there, err, tc.push)
			}
			sound(t, tab)
		})
	}
}
