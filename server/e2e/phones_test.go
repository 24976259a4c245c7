package e2e_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/push"
)

const iPhone = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1"

// asIPhone makes a tab call itself an iPhone, opened from the home screen or not.
func asIPhone(t *testing.T, tab context.Context, installed bool) {
	t.Helper()
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetUserAgentOverride, emulation.SetUserAgentOverrideParams{UserAgent: iPhone})
		return chromedp.Void{}, err
	})
	if installed {
		preload(t, tab, `Object.defineProperty(navigator, 'standalone', {value: true})`)
	}
}

// preload runs a script in every page of a tab before its own.
func preload(t *testing.T, tab context.Context, source string) {
	t.Helper()
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
		return chromedp.Void{}, err
	})
}

// summer is an evening on which London and Reykjavik are an hour apart (IANA tz
// database 2025b).
var summer = time.Date(2026, 4, 7, 20, 20, 0, 0, time.UTC)

// A browser that says Reykjavik to everybody is not believed: nights go by the
// clock at home, the question is asked once, and what is written afterwards
// stands in the zone that was answered.
func TestAHiddenTimeZoneIsAskedAboutOnce(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, summer)
		w := &window{t: t, driver: e.start(t, 390, 844, "Atlantic/Reykjavik"), engine: e}
		t.Cleanup(w.close)
		w.at(summer)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.see("zone-ask", "Is it 20:20 where you are?")
		w.see("zone-ask", "the clock at home: 21:20")
		w.shot("zone-asked")
		w.tap("zone-other")
		w.until(`[...document.querySelectorAll('` + css("zone-pick") + ` option')].some((o) => o.textContent.includes('Asia/Tokyo') && o.textContent.startsWith('05:20'))`)
		w.tap("zone-home")
		w.gone(css("zone-ask"))
		w.again()
		w.goTo(a.URL() + "/#/child")
		w.ready()
		w.gone(css("zone-ask"))
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		if last := lastOn(t, a, care.Insertion, "2026-04-07"); last.Zone != "Europe/London" || !strings.HasSuffix(last.Wall[:16], "T21:20") {
			t.Errorf("the entry stands at %s in %s, want 21:20 in Europe/London", last.Wall, last.Zone)
		}
		w.sound()
	})
}

// On a small phone whose time zone is to be asked about, an eye with a chemical in it is
// reported: what to do and whom to phone stand before that question, which waits below.
func TestTheNumbersComeBeforeTheClock(t *testing.T) {
	t.Parallel()
	a := demoAt(t, summer)
	tab := newBrowser(t)
	run(t, tab, chromedp.EmulateViewport(375, 667, chromedp.EmulateMobile))
	atIn(t, tab, summer, "Atlantic/Reykjavik")
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), see("zone-ask", "where you are?"),
		tap("wrong"), tap("now-chemical"), see("advice", "Rinse the eye now"), sent(), tap("home"), see("zone-ask", "where you are?"))
	const places = `(() => {
		const top = (of) => Math.round(document.querySelector(of).getBoundingClientRect().top + scrollY);
		return [top('main h1'), top('main a[href^="tel:"]'), top('[data-test=zone-ask]')];
	})()`
	got, err := ask[[]int](tab, places)
	if err != nil || len(got) != 3 || got[0] > got[2] || got[1] > got[2] {
		t.Errorf("from the top of the page, in px: what to do, the first number, the question: %v, %v; want the question last", got, err)
	}
	shot(t, tab, "numbers-before-clock")
	sound(t, tab)
}

// A family that began in Safari on an iPhone comes to the home screen: what is
// not sent is warned of, with the day, and goes first; then one more code, with
// which the app on the home screen has the whole log.
func TestFromSafariToTheHomeScreen(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	safari := phoneAt(t, bedtime)
	asIPhone(t, safari, false)
	run(t, safari, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), seeIn(css("logged"), "Evening sight"))
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	run(t, safari, tap("wear-in"), tap("confirm"), see("fragile", "Not yet sent: 1. Safari may clear this if the page is not opened again by Tue 31 Mar"))
	shot(t, safari, "iphone-fragile")
	run(t, safari, awaited(`Promise.resolve(location.hash = '#/more').then(() => true)`), see("ios-home", "Safari may clear the log"), see("ios-home", "square with the arrow"), see("ios-unsent", "only on this page: 1"))
	shot(t, safari, "iphone-unsent")
	if there, err := ask[bool](safari, `!!document.querySelector('`+css("ios-make")+`')`); err != nil || there {
		t.Errorf("a code is offered while an entry waits: %v, %v", there, err)
	}
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	run(t, safari, tap("ios-send"), tap("ios-make"), chromedp.WaitVisible(sel("ios-code")))
	shot(t, safari, "iphone-code")
	code, err := ask[string](safari, `document.querySelector('`+css("ios-code")+` strong').textContent`)
	if err != nil {
		t.Fatal(err)
	}
	before, err := ask[int](safari, countJS)
	if err != nil {
		t.Fatal(err)
	}

	home := phoneAt(t, bedtime)
	asIPhone(t, home, true)
	run(t, home, chromedp.Navigate(a.URL()+"/"), see("join-again", "You joined in the browser on this phone before?"))
	shot(t, home, "iphone-again")
	run(t, home, chromedp.SendKeys(sel("join-code"), code), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")))
	run(t, home, chromedp.Navigate(a.URL()+"/#/child"), seeIn(css("logged"), "Evening sight"))
	run(t, home, awaited(countJS+fmt.Sprintf(`.then((n) => { if (n < %d) throw new Error(n + ' entries'); return true; })`, before)))
	sound(t, safari)
	sound(t, home)
}

// Where a notification has no buttons, the tap opens a page that has "later":
// pressed there, reminders of every child are put off as from the button.
func TestLaterWhereNotificationsHaveNoButtons(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready())
	deliver := pushed(t, tab, a.URL())
	worker := workerOf(t, tab, a.URL())
	if _, err := ask[bool](worker, `(Object.defineProperty(Notification, 'maxActions', {value: 0}), true)`); err != nil {
		t.Fatal(err)
	}
	deliver(string(push.NewPayload(push.KindReminder, "evening", "", "/").Bytes()))
	until(t, "the server hears that the reminder was shown", func() bool { return receipts(t, a) == 1 })
	if got, err := ask[notification](tab, takeJS); err != nil || got.URL != "/#/due" {
		t.Errorf("the notification opens %q, %v; want /#/due", got.URL, err)
	}
	run(t, tab, awaited(`Promise.resolve(location.hash = '#/due').then(() => true)`), tap("due-later"), see("due-said", "Reminders put off until 21:50."), sent())
	shot(t, tab, "iphone-later")
	family, err := ask[struct {
		Wearers []struct {
			ID   care.WearerID
			Plan any
		}
	}](tab, `fetch('/api/family').then((r) => r.json())`)
	if err != nil || len(family.Wearers) < 2 {
		t.Fatalf("%d wearers, %v", len(family.Wearers), err)
	}
	for _, w := range family.Wearers {
		if w.Plan != nil && !slices.Contains(putOffTo(t, a, w.ID, bedtime), "21:50") {
			t.Errorf("reminders of %s are not put off", w.ID)
		}
	}
	sound(t, tab)
}

// The number on the icon is how many tasks are due: one fewer after one is done.
func TestTheIconCountsWhatIsDue(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	preload(t, tab, `globalThis.badges = []; navigator.setAppBadge = (n) => { badges.push(n); return Promise.resolve(); };`)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), awaited(`new Promise((done) => { const look = () => badges.length ? done(true) : setTimeout(look, 20); look(); })`))
	before, err := ask[int](tab, `badges.at(-1)`)
	if err != nil || before < 1 {
		t.Fatalf("%d due, %v; lenses are to go in", before, err)
	}
	run(t, tab, tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")))
	run(t, tab, awaited(fmt.Sprintf(`new Promise((done) => { const look = () => badges.at(-1) === %d ? done(true) : setTimeout(look, 20); look(); })`, before-1)))
	sound(t, tab)
}

// three phones, upright, in CSS px, with the bars that the system lays over the
// page above and below when the app is opened from the home screen (from memory):
// the smallest that is still sold, a common one, and the largest.
var threePhones = []struct {
	name                     string
	wide, high, above, below int
}{{"small", 375, 667, 20, 0}, {"common", 393, 852, 59, 34}, {"large", 430, 932, 59, 34}, {"on its side", 852, 393, 0, 21}}

// keyboard is how much of the page's height is left by a keyboard that is laid
// out as part of the window (from memory: it takes some 300 px upright, 200 px on
// its side).
func keyboard(high int) int {
	if high < 500 {
		return high - 200
	}
	return high - 300
}

// On three phones, with the system's bars over the page: nothing to press lies
// under them, and with a keyboard the field that is written in is in sight, above
// the bar at the foot.
func TestThreePhones(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	for _, p := range threePhones {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			tab := phoneAt(t, bedtime)
			asIPhone(t, tab, true)
			sized := func(high int) step {
				return chromedp.Steps(chromedp.EmulateViewport(int64(p.wide), int64(high), chromedp.EmulateScale(2), chromedp.EmulateMobile), func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
					at := &emulation.SafeAreaInsets{Top: new(int64(p.above)), Bottom: new(int64(p.below))}
					if p.wide > p.high {
						at.Left, at.Right = new(int64(59)), new(int64(59))
					}
					_, err := cdp.Call(ctx, tab, emulation.SetSafeAreaInsetsOverride, emulation.SetSafeAreaInsetsOverrideParams{Insets: at})
					return chromedp.Void{}, err
				})
			}
			run(t, tab, sized(p.high), chromedp.Navigate(a.URL()+"/join"), chromedp.WaitVisible(sel("join")))
			shot(t, tab, "phone-"+p.name+"-join")
			run(t, tab, sized(keyboard(p.high)), func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
				_, err := cdp.Call(ctx, tab, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
				return chromedp.Void{}, err
			})
			for _, field := range []string{"join-code", "join-device"} {
				inSight(t, tab, css(field))
				if bar, err := ask[float64](tab, `document.querySelector('.foot').getBoundingClientRect().top / innerHeight`); err != nil || p.high < 500 && bar < 1 {
					t.Errorf("%s: the bar at the foot takes the room from %.2f of the window down, %v", field, bar, err)
				}
				shot(t, tab, "phone-"+p.name+"-keyboard-"+field)
			}
			run(t, tab, sized(p.high), chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready())
			for _, view := range []string{"child", "check", "evening", "more", "help", "unsent", "due", ""} {
				run(t, tab, awaited(`Promise.resolve(location.hash = '#/`+view+`').then(() => true)`), chromedp.WaitVisible("main h1, main h2, main legend"))
				shot(t, tab, "phone-"+p.name+"-"+view)
				if under, err := ask[[]string](tab, fmt.Sprintf(underBarsJS, p.above, p.below)); err != nil || len(under) > 0 {
					t.Errorf("%s: under the system's bars: %q, %v", view, under, err)
				}
			}
			sound(t, tab)
		})
	}
}

// inSight focuses a field and says whether all of it can be seen and nothing
// lies over it.
func inSight(t *testing.T, tab context.Context, field string) {
	t.Helper()
	why, err := ask[string](tab, `(async () => {
		const el = document.querySelector(`+quoted(field)+`);
		el.focus();
		await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
		el.scrollIntoView({block: 'nearest'}); // as a browser does whose keyboard has come
		const r = el.getBoundingClientRect();
		if (r.top < 0 || r.bottom > innerHeight) return 'from ' + r.top + ' to ' + r.bottom + ' of ' + innerHeight;
		const over = [r.top + 2, r.bottom - 2].map((y) => document.elementFromPoint(r.x + r.width / 2, y));
		return over.every((x) => x === el) ? '' : 'covered by ' + over.map((x) => x?.outerHTML.slice(0, 60));
	})()`)
	if err != nil || why != "" {
		t.Errorf("%s: %s, %v", field, why, err)
	}
}

// underBarsJS names what can be pressed and lies under the system's bars while
// the page stands at its top.
const underBarsJS = `(() => {
	const above = %d, below = innerHeight - %d;
	scrollTo(0, 0);
	return [...document.querySelectorAll('.top a, .top button, .top select, .foot a, .foot button, .saved button')].filter((el) => {
		const r = el.getBoundingClientRect();
		return r.height > 0 && (r.top < above || r.bottom > below || r.left < 0 || r.right > innerWidth);
	}).map((el) => el.outerHTML.slice(0, 60));
})()`
