package e2e_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// patience bounds each wait for the page; it is a limit, not a delay, and so
// long that only a page that will never get there meets it: whole stories take
// half a minute on a busy machine. NIGHTKEEP_PATIENCE, a duration, shortens it
// while a test is written.
var patience = func() time.Duration {
	if d, err := time.ParseDuration(os.Getenv("NIGHTKEEP_PATIENCE")); err == nil {
		return d
	}
	return 4 * time.Minute
}()

// browserPath finds Chromium. A missing browser is a failure, never a skip.
func browserPath(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	t.Fatal("no Chromium found; the README's test command installs it")
	return ""
}

// step is something done in a tab.
type step = chromedp.Action[chromedp.Void]

// newBrowser starts a browser with a profile of its own and returns its first
// tab.
func newBrowser(t *testing.T) context.Context {
	t.Helper()
	tab, stop := browserOn(t, t.TempDir())
	t.Cleanup(func() {
		_ = chromedp.Cancel(tab)
		stop()
	})
	return tab
}

// browserOn starts a browser with the profile of a folder and returns its first
// tab, and what ends the browser at once, as a phone that is switched off does.
func browserOn(t *testing.T, profile string) (tab context.Context, kill func()) {
	t.Helper()
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(browserPath(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("lang", "en-GB"),
		chromedp.UserDataDir(profile), chromedp.WSURLReadTimeout(patience),
	)
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	tab, stopTab := chromedp.NewContext(alloc)
	return tab, func() {
		stopTab()
		stopAlloc()
	}
}

// phone makes the tab look like a phone, desktop like a desk.
func phone(t *testing.T, browser context.Context) context.Context {
	t.Helper()
	run(t, browser, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile))
	return browser
}

// phoneAt opens a browser of its own as a phone that believes it is now in
// London, from the next load on.
func phoneAt(t *testing.T, now time.Time) context.Context {
	t.Helper()
	tab := phone(t, newBrowser(t))
	at(t, tab, now)
	return tab
}

func desktop(t *testing.T, browser context.Context) context.Context {
	t.Helper()
	run(t, browser, chromedp.EmulateViewport(1280, 800))
	return browser
}

// at makes the page believe that it is now in London, from the next load on.
func at(t *testing.T, tab context.Context, now time.Time) {
	t.Helper()
	atIn(t, tab, now, "Europe/London")
}

// atIn is at for any zone.
func atIn(t *testing.T, tab context.Context, now time.Time, zone string) {
	t.Helper()
	source := fmt.Sprintf(`(() => {
		if (!globalThis.faults) {
			globalThis.faults = [];
			addEventListener('error', (e) => faults.push(String(e.message)));
			addEventListener('unhandledrejection', (e) => faults.push(String(e.reason)));
			addEventListener('securitypolicyviolation', (e) => faults.push(e.violatedDirective + ' ' + e.blockedURI));
		}
		const Real = globalThis.RealDate ?? Date, off = %d;
		globalThis.RealDate = Real;
		globalThis.Date = class extends Real {
			constructor(...a) { if (a.length) super(...a); else super(Real.now() + off); }
			static now() { return Real.now() + off; }
		};
	})()`, time.Until(now).Milliseconds())
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		if _, err := cdp.Call(ctx, tab, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: zone}); err != nil {
			return chromedp.Void{}, err
		}
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
		return chromedp.Void{}, err
	})
}

// sound fails when the page of a tab that at was called for met an error, or
// did something its security policy forbids.
func sound(t *testing.T, tab context.Context) {
	t.Helper()
	faults, err := ask[[]string](tab, `globalThis.faults ?? ["no faults were gathered"]`)
	if err != nil || len(faults) > 0 {
		t.Errorf("the page met %q, %v", faults, err)
	}
}

// run runs actions with a bound on the wait. On failure it keeps a picture and
// says what the page showed.
func run(t *testing.T, tab context.Context, actions ...step) {
	t.Helper()
	if err := try(tab, actions...); err != nil {
		if dir := os.Getenv("NIGHTKEEP_SHOTS"); dir != "" {
			if png, err := chromedp.Run(tab, chromedp.CaptureScreenshot()); err == nil {
				_ = os.WriteFile(filepath.Join(dir, "failed.png"), png, 0o600)
			}
		}
		t.Fatalf("browser: %v\n%s", err, stuck(func(expression string) (string, error) { return ask[string](tab, expression) }))
	}
}

func try(tab context.Context, actions ...step) error {
	// The first use of a tab starts the browser and must not be bounded by a
	// context that ends.
	if err := chromedp.Do(tab); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	return chromedp.Do(ctx, actions...)
}

// ask evaluates an expression, waiting for a promise, and returns its value.
func ask[T any](tab context.Context, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// sel is the selector of an element by its data-test mark.
func sel(mark string) chromedp.CSS { return chromedp.CSS(css(mark)) }

func css(mark string) string { return `[data-test="` + mark + `"]` }

// tap clicks the middle of an element once it can be seen, stands still, and
// nothing lies over it.
func tap(mark string) step {
	still := chromedp.Evaluate[[]float64](`new Promise((done) => {
		let before = '';
		const look = () => {
			const el = document.querySelector('`+css(mark)+`');
			const r = el?.getBoundingClientRect();
			const now = r ? [r.x, r.y, r.width, r.height].join() : '';
			if (now && now === before) {
				const at = [r.x + r.width / 2, r.y + r.height / 2];
				if (el.contains(document.elementFromPoint(...at))) return done(at);
			}
			el?.scrollIntoView({block: 'center', behavior: 'instant'}); // away from the bars at the edges, as a finger would
			before = now;
			requestAnimationFrame(look);
		};
		look();
	})`, chromedp.EvalAwaitPromise)
	return chromedp.Steps(chromedp.WaitVisible(sel(mark)), chromedp.WaitEnabled(sel(mark)), func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		at, err := still(ctx, tab)
		if err != nil {
			return chromedp.Void{}, err
		}
		return chromedp.MouseClickXY(at[0], at[1])(ctx, tab)
	})
}

// see waits until the element shows the text.
func see(mark, text string) step { return seeIn(css(mark), text) }

// seeIn is see for any selector.
func seeIn(selector, text string) step {
	return polled(chromedp.PollFunction[bool](`(sel, text) => {
		const el = document.querySelector(sel);
		return !!el && el.innerText.replace(/\s+/g, ' ').includes(text);
	}`, chromedp.WithPollingArgs(selector, text), chromedp.WithPollingTimeout(patience)))
}

// polled waits for an answer of the page that is there then: one that is loaded anew
// meanwhile takes the question with it.
func polled(poll func(context.Context, *chromedp.Target) (bool, error)) step {
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		for {
			_, err := poll(ctx, tab)
			if err == nil || ctx.Err() != nil || !strings.Contains(err.Error(), "Cannot find context with specified id") {
				return chromedp.Void{}, err
			}
		}
	}
}

// shot keeps a picture of the page when NIGHTKEEP_SHOTS names a folder.
func shot(t *testing.T, tab context.Context, name string) {
	t.Helper()
	dir := os.Getenv("NIGHTKEEP_SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o600); err != nil {
		t.Fatal(err)
	}
}
