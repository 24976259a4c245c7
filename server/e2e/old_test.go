package e2e_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// A browser below the floor, and one in which the app's script cannot be read or
// fetched, get a page that says so, with the practice's number, instead of a
// blank. The number is that of the practice's own settings.
func TestAnOldBrowserGetsAnHonestPage(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	phone := getJSON[struct{ Contacts struct{ Phone string } }](t, signedIn(t, a, "parent"), a.URL()+"/api/family").Contacts.Phone
	if phone == "" {
		t.Fatal("the demo's practice has no number")
	}
	for name, before := range map[string]string{
		"without an interface":    `delete AbortSignal.timeout`,
		"without the database":    `Object.defineProperty(globalThis, 'indexedDB', {value: undefined})`,
		"keeping nothing":         `Object.defineProperty(globalThis, 'localStorage', {get() { throw new DOMException('denied', 'SecurityError'); }})`, // as the standard (HTML, Web storage) says of a browser told to
		"a start that fails":      `Object.defineProperty(navigator, 'languages', {get() { throw new TypeError('none'); }})`,
		"a script it cannot read": `addEventListener('DOMContentLoaded', () => dispatchEvent(new ErrorEvent('error', {message: "SyntaxError: Unexpected token '.'"})), {capture: true})`,
	} {
		t.Run(name, func(t *testing.T) {
			tab := phoneAt(t, bedtime)
			run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
				_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
					Source: fmt.Sprintf(`if (location.pathname === '/') { %s; document.addEventListener('securitypolicyviolation', (e) => document.title = e.violatedDirective); }`, before),
				})
				return chromedp.Void{}, err
			}, chromedp.Navigate(a.URL()+"/"))
			until(t, "the honest page, with the number", func() bool { // asked anew while the one page gives way to the other
				text, err := ask[string](tab, `document.querySelector('main')?.innerText ?? ''`)
				return err == nil && strings.Contains(text, "this browser cannot run it") && strings.Contains(text, phone)
			})
			if links, err := ask[int](tab, `document.querySelectorAll('a[href^="tel:"]').length`); err != nil || links < 4 {
				t.Errorf("%d numbers to tap, %v; want one in each language", links, err)
			}
			shot(t, tab, "old-browser")
		})
	}
}

// A phone whose browser refuses the app its database says so in plain words and leads
// to the practice's numbers, with a network and, once the app was there, without one.
// A browser that is too old for the console gets the honest page too.
func TestALogThatDoesNotOpenLeadsToTheNumbers(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	phone := getJSON[struct{ Contacts struct{ Phone string } }](t, signedIn(t, a, "parent"), a.URL()+"/api/family").Contacts.Phone
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/"), awaited(`navigator.serviceWorker.ready.then(r => !!r.active)`))
	before := func(js string) {
		run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: js})
			return chromedp.Void{}, err
		})
	}
	before(`IDBFactory.prototype.open = () => { throw new DOMException('denied', 'SecurityError'); }`)
	for _, without := range []bool{false, true} {
		offline(t, tab, without)
		run(t, tab, chromedp.Navigate(a.URL()+"/"), seeIn("main", "The log on this phone cannot be opened."))
		if text, err := ask[string](tab, `document.body.innerText`); err != nil || strings.Contains(text, "SecurityError") {
			t.Errorf("the page says %q, %v", text, err)
		}
		if _, err := ask[bool](tab, `(document.querySelector('main a[href="/plain"]').click(), true)`); err != nil {
			t.Fatal(err)
		}
		until(t, "the numbers", func() bool {
			text, err := ask[string](tab, `document.querySelector('main')?.innerText ?? ''`)
			return err == nil && strings.Contains(text, "phone now") && strings.Contains(text, phone)
		})
	}
	offline(t, tab, false)
	before(`if (location.pathname === '/clinic' && location.search === '?old') delete AbortSignal.timeout`)
	before(`if (location.pathname === '/clinic') Object.defineProperty(globalThis, 'localStorage', {get() { throw new DOMException('denied', 'SecurityError'); }})`)
	for _, how := range []string{"?old", ""} {
		run(t, tab, chromedp.Navigate(a.URL()+"/clinic"+how))
		until(t, "the honest page in place of the console", func() bool {
			text, err := ask[string](tab, `document.querySelector('main')?.innerText ?? ''`)
			return err == nil && strings.Contains(text, "this browser cannot run it")
		})
	}
}

// Whoever presses the red button while the log opens is told what to do, and is led on
// to the eye check once it is open, not to what is due today.
func TestTheRedButtonHoldsWhileTheLogOpens(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
			Source: `const real = fetch, held = new Promise((go) => { globalThis.letGo = go; });
				globalThis.fetch = async (of, how) => { if (String(of.url ?? of).endsWith('/api/family')) await held; return real(of, how); };`,
		})
		return chromedp.Void{}, err
	}, chromedp.Navigate(a.URL()+"/demo/teen"), tap("wrong"), see("outside", "Take the lenses out of both eyes now"),
		awaited(`Promise.resolve(!letGo())`), chromedp.WaitVisible(sel("step-now")), chromedp.WaitVisible(sel("now-chemical")))
	sound(t, tab)
}
