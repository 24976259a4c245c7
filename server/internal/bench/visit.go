package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/cdproto/serviceworker"
	"github.com/chromedp/chromedp"
)

// What is emulated: a processor four times slower than this one, and the slow
// mobile network of common page tests: 150 ms, 1.6 Mbit/s down, 750 kbit/s up
// (common practice). Chromium slows the page's thread and the page's requests,
// not those of the service worker.
const (
	slowdown  = 4
	latencyMS = 150
	downBytes = 1.6e6 / 8
	upBytes   = 750e3 / 8
)

// Targets of the project, on the slow phone, in milliseconds.
const (
	offlineLimit = 700
	savedLimit   = 100
)

// waitLimit bounds each wait for the page.
const waitLimit = 15 * time.Second

// visit is how long each part of a visit took, in milliseconds.
type visit struct{ first, repeat, offline, work, saved []float64 }

func (r *run) browse(browser string) error {
	var slow, fast, four visit
	if err := r.visits(browser, 0, &slow, &fast); err != nil {
		return err
	}
	if err := r.visits(browser, 2, &four, nil); err != nil {
		return err
	}
	r.inform(Row{Group: 9, Name: "first visit to usable, slow phone", Unit: "ms", Ours: statOf(slow.first), Base: statOf(fast.first), BaseName: "this machine"})
	r.inform(Row{Group: 9, Name: "repeat visit to usable, slow phone", Unit: "ms", Ours: statOf(slow.repeat), Base: statOf(fast.repeat), BaseName: "this machine"})
	r.inform(Row{Group: 9, Name: "start without a server to usable, this machine", Unit: "ms", Ours: statOf(fast.offline)})
	r.inform(Row{Group: 9, Name: "start without a server, processor time of the page's thread, this machine", Unit: "ms", Ours: statOf(fast.work)})
	r.atMost(offlineLimit, Row{Group: 9, Name: "start without a server to usable, slow phone", Unit: "ms", Ours: statOf(slow.offline)})
	r.inform(Row{Group: 9, Name: "tap to saved for good, this machine", Unit: "ms", Ours: statOf(fast.saved)})
	r.atMost(savedLimit, Row{Group: 9, Name: "tap to saved for good, slow phone", Unit: "ms", Ours: statOf(slow.saved)})
	r.inform(Row{Group: 9, Name: "repeat visit to usable, slow phone, a board of four children", Unit: "ms", Ours: statOf(four.repeat)})
	r.atMost(offlineLimit, Row{Group: 9, Name: "start without a server to usable, slow phone, a board of four children", Unit: "ms", Ours: statOf(four.offline)})
	r.atMost(savedLimit, Row{Group: 9, Name: "tap to saved for good, slow phone, a family of four children", Unit: "ms", Ours: statOf(four.saved)})
	return nil
}

// visits takes all rounds of the visits of a family with so many more children
// than two, on the slow phone and, unless it is nil, on this machine.
func (r *run) visits(browser string, more int, slow, fast *visit) error {
	dir, err := r.folder(fmt.Sprintf("phone-%d", more))
	if err != nil {
		return err
	}
	d, err := r.opt.Demo(dir, more)
	if err != nil {
		return err
	}
	for round := range rounds {
		r.say("  visit %d of a family with %d children", round+1, 2+more)
		if fast != nil {
			err = r.oneVisit(d, browser, fast, false)
		}
		if err == nil {
			err = r.oneVisit(d, browser, slow, true)
		}
		if err != nil {
			break
		}
	}
	return errors.Join(err, d.Stop())
}

// oneVisit takes one round of a visit in a fresh browser.
func (r *run) oneVisit(d *Demo, browser string, v *visit, slow bool) error {
	tab, stop, err := r.tab(browser)
	if err != nil {
		return err
	}
	defer stop()
	if err := prepare(tab, d.Now(), slow); err != nil {
		return err
	}
	return v.take(tab, d)
}

// tab is one of a fresh browser, and what ends both.
func (r *run) tab(browser string) (tab context.Context, stop func(), err error) {
	profile, err := os.MkdirTemp(r.dir, "profile-")
	if err != nil {
		return nil, nil, err
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browser), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(profile),
		chromedp.WSURLReadTimeout(waitLimit))
	alloc, stopAlloc := chromedp.NewExecAllocator(r.ctx, opts...)
	tab, stopTab := chromedp.NewContext(alloc)
	return tab, func() {
		_ = chromedp.Cancel(tab)
		stopTab()
		stopAlloc()
	}, nil
}

// take opens the app, opens it again, opens it without a server, and logs
// evening sight, which the app takes at any hour and however often.
func (v *visit) take(tab context.Context, d *Demo) error {
	if err := start(tab, d.Link, &v.first); err != nil {
		return fmt.Errorf("first visit: %w", err)
	}
	if _, err := ask[bool](tab, `navigator.serviceWorker.ready.then((r) => !!r.active)`); err != nil {
		return fmt.Errorf("keep the app for use without a server: %w", err)
	}
	if err := start(tab, d.Page, &v.repeat); err != nil {
		return fmt.Errorf("repeat visit: %w", err)
	}
	if err := d.Unlisten(); err != nil {
		return err
	}
	err := start(tab, d.Page, &v.offline)
	if err == nil {
		err = v.weighWork(tab)
	}
	if err == nil {
		err = save(tab, &v.saved)
	}
	if err != nil {
		err = fmt.Errorf("without a server: %w", err)
	}
	return errors.Join(err, d.Listen())
}

// start opens an address as somebody does who takes the phone out of a pocket,
// the page gone and the service worker asleep, and adds how many ms it took
// until the first action stood on the screen.
func start(tab context.Context, address string, into *[]float64) error {
	if err := do(tab, chromedp.Navigate("about:blank")); err != nil {
		return err
	}
	if _, err := chromedp.Call(tab, serviceworker.StopAllWorkers, cdp.Empty{}); err != nil {
		return err
	}
	if err := do(tab, chromedp.Navigate(address)); err != nil {
		return err
	}
	took, err := ask[float64](tab, `usable`)
	if err == nil {
		*into = append(*into, took)
	}
	return err
}

// weighWork adds the processor time that the page's thread took to start: unlike
// the time on the clock it hardly depends on what else the machine does.
func (v *visit) weighWork(tab context.Context) error {
	got, err := chromedp.Call(tab, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		return err
	}
	for _, m := range got.Metrics {
		if m.Name == "TaskDuration" {
			v.work = append(v.work, m.Value*1000)
		}
	}
	return nil
}

// save rates the evening and adds how many ms went by from the tap to the word
// that it is saved, which the app says once the database has it durably.
func save(tab context.Context, into *[]float64) error {
	if _, err := ask[bool](tab, `(location.hash = '#/evening', true)`); err != nil {
		return err
	}
	if err := do(tab, chromedp.Click(mark("rating-4")), chromedp.WaitVisible(mark("confirm"))); err != nil {
		return err
	}
	if _, err := ask[bool](tab, savedJS); err != nil {
		return err
	}
	if err := do(tab, chromedp.Click(mark("confirm"))); err != nil {
		return err
	}
	took, err := ask[float64](tab, `saved`)
	if err == nil {
		*into = append(*into, took)
	}
	return err
}

// usableJS makes a promise of the time at which the home screen with its first
// action was painted, since the visit began. It waits to be told of the action:
// looking for it in each frame would have the phone draw frames for nothing.
const usableJS = `globalThis.usable = new Promise((done) => {
	const look = new MutationObserver(() => {
		if (!document.querySelector('[data-test^="now-"], [data-test="soaking"], [data-test="board"]')) return;
		look.disconnect();
		requestAnimationFrame(() => setTimeout(() => done(performance.now())));
	});
	look.observe(document, {childList: true, subtree: true});
})`

// savedJS makes a promise of the time from the next tap to the painted word.
const savedJS = `(globalThis.saved = new Promise((done) => addEventListener('click', (e) => {
	const look = () => (document.querySelector('[data-test="saved"]') ? setTimeout(() => done(performance.now() - e.timeStamp)) : requestAnimationFrame(look));
	look();
}, {capture: true, once: true})), true)`

func mark(name string) chromedp.CSS { return chromedp.CSS(`[data-test="` + name + `"]`) }

// do acts in the tab within the wait limit.
func do(tab context.Context, steps ...chromedp.Action[chromedp.Void]) error {
	ctx, cancel := context.WithTimeout(tab, waitLimit)
	defer cancel()
	return chromedp.Do(ctx, steps...)
}

// ask evaluates an expression in the tab, waiting for a promise.
func ask[T any](tab context.Context, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(tab, waitLimit)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// prepare makes the tab a phone, slow or not, whose clock shows the demo's time.
func prepare(tab context.Context, now time.Time, slow bool) error {
	// The first use starts the browser and must not be bounded by a context
	// that ends.
	if err := chromedp.Do(tab, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile)); err != nil {
		return err
	}
	if _, err := chromedp.Call(tab, performance.Enable, performance.EnableParams{TimeDomain: "threadTicks"}); err != nil {
		return err
	}
	if _, err := chromedp.Call(tab, serviceworker.Enable, cdp.Empty{}); err != nil {
		return err
	}
	if _, err := chromedp.Call(tab, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/London"}); err != nil {
		return err
	}
	source := fmt.Sprintf(`(() => {
		const Real = Date, off = %d;
		globalThis.Date = class extends Real {
			constructor(...a) { if (a.length) super(...a); else super(Real.now() + off); }
			static now() { return Real.now() + off; }
		};
	})();`, time.Until(now).Milliseconds())
	if _, err := chromedp.Call(tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source + usableJS}); err != nil {
		return err
	}
	if !slow {
		return nil
	}
	return slowDown(tab)
}

func slowDown(tab context.Context) error {
	if _, err := chromedp.Call(tab, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slowdown}); err != nil {
		return err
	}
	_, err := chromedp.Call(tab, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Latency: latencyMS, DownloadThroughput: downBytes, UploadThroughput: upBytes}},
	})
	return err
}
