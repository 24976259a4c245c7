package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/web"
)

// phone is row group 9: what a phone has to fetch, and how long it waits.
func (r *run) phone() error {
	if err := r.bytesToFetch(); err != nil {
		return err
	}
	browser := findBrowser()
	switch {
	case os.Getenv("CI") != "":
		r.skip("9 phone: timings in a browser, never taken under CI, where machines differ")
		return nil
	case browser == "":
		r.skip("9 phone: timings in a browser, because there is no Chromium on this machine")
		return nil
	}
	err := r.browse(browser)
	if err != nil && r.ctx.Err() == nil {
		r.skip("9 phone: timings in a browser: %v", err)
		return nil
	}
	return err
}

// pages are the two pages and what each is for.
var pages = []struct{ file, name string }{{"index.html", "the family's app"}, {"clinic.html", "the clinic's console"}}

// fileName finds content-hashed files in a page, a script or the list of the
// service worker.
var fileName = regexp.MustCompile(`v/[A-Za-z0-9_-]+/[A-Za-z0-9_./-]+\.[a-z0-9]+`)

// bytesToFetch adds up the files of each page as they are sent.
func (r *run) bytesToFetch() error {
	dir, err := r.folder("site")
	if err != nil {
		return err
	}
	prog, err := r.opt.Open(dir, clock)
	if err != nil {
		return err
	}
	defer prog.Close()
	for _, p := range pages {
		raw, small, files := 0, 0, 0
		for _, name := range linked(prog.Server.Asset, p.file) {
			f, _ := prog.Server.Asset(name)
			files++
			raw += len(f.Body)
			if f.Brotli != nil {
				small += len(f.Brotli)
			} else {
				small += len(f.Body)
			}
		}
		r.inform(Row{Group: 9, Name: fmt.Sprintf("%s, %d files, brotli", p.name, files), Unit: "KiB", Ours: statOf([]float64{float64(small) / 1024}), Base: statOf([]float64{float64(raw) / 1024}), BaseName: "uncompressed"})
	}
	return nil
}

// linked returns a page and every file that it or one of those files names.
func linked(asset func(string) (web.Asset, bool), start string) []string {
	found := []string{start}
	for i := 0; i < len(found); i++ {
		f, _ := asset(found[i])
		for _, name := range fileName.FindAllString(string(f.Body), -1) {
			if _, ok := asset(name); ok && !slices.Contains(found, name) {
				found = append(found, name)
			}
		}
	}
	return found
}

func findBrowser() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	return ""
}

// What is emulated: a processor four times slower than this one, and the slow
// mobile network of common page tests: 150 ms, 1.6 Mbit/s down, 750 kbit/s up
// (common practice).
const (
	slowdown  = 4
	latencyMS = 150
	downBytes = 1.6e6 / 8
	upBytes   = 750e3 / 8
)

// waitLimit bounds each wait for the page.
const waitLimit = 15 * time.Second

// visit is how long each part of a visit took, in milliseconds.
type visit struct{ first, repeat, offline, saved []float64 }

func (r *run) browse(browser string) error {
	dir, err := r.folder("phone")
	if err != nil {
		return err
	}
	d, err := r.opt.Demo(dir)
	if err != nil {
		return err
	}
	var slow, fast visit
	for round := range rounds {
		r.say("  visit %d", round+1)
		for _, v := range []*visit{&fast, &slow} {
			if err := r.oneVisit(d, browser, v, v == &slow); err != nil {
				return errors.Join(err, d.Stop())
			}
		}
	}
	for _, row := range []struct {
		name       string
		slow, fast []float64
	}{
		{"first visit to usable", slow.first, fast.first}, {"repeat visit to usable", slow.repeat, fast.repeat},
		{"start without a server", slow.offline, fast.offline}, {"tap to saved, without a server", slow.saved, fast.saved},
	} {
		r.inform(Row{Group: 9, Name: row.name + ", slow phone", Unit: "ms", Ours: statOf(row.slow), Base: statOf(row.fast), BaseName: "this machine"})
	}
	return d.Stop()
}

// oneVisit opens the app in a fresh browser, again, and without a server, and
// logs that the lenses are in.
func (r *run) oneVisit(d *Demo, browser string, v *visit, slow bool) error {
	profile, err := os.MkdirTemp(r.dir, "profile-")
	if err != nil {
		return err
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browser), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(profile),
		chromedp.WSURLReadTimeout(waitLimit))
	alloc, stopAlloc := chromedp.NewExecAllocator(r.ctx, opts...)
	defer stopAlloc()
	tab, stopTab := chromedp.NewContext(alloc)
	defer stopTab()
	defer func() { _ = chromedp.Cancel(tab) }()
	if err := chromedp.Do(tab, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile)); err != nil {
		return err
	}
	if err := setClock(tab, d.Now()); err != nil {
		return err
	}
	if slow {
		if err := slowDown(tab); err != nil {
			return err
		}
	}
	home := chromedp.WaitVisible(mark("home"))
	steps := []struct {
		into *[]float64
		do   []chromedp.Action[chromedp.Void]
		then func() error
	}{
		{&v.first, []chromedp.Action[chromedp.Void]{chromedp.Navigate(d.Link), home}, func() error { return settled(tab) }},
		{&v.repeat, []chromedp.Action[chromedp.Void]{chromedp.Reload(), home}, d.Unlisten},
		{&v.offline, []chromedp.Action[chromedp.Void]{chromedp.Reload(), home, chromedp.WaitVisible(mark("wear-in"))}, func() error {
			return chromedp.Do(tab, chromedp.Click(mark("wear-in")), chromedp.WaitVisible(mark("confirm")))
		}},
		{&v.saved, []chromedp.Action[chromedp.Void]{chromedp.Click(mark("confirm")), chromedp.WaitVisible(mark("saved"))}, d.Listen},
	}
	for i, s := range steps {
		took, err := timed(tab, s.do)
		if err == nil {
			err = s.then()
		}
		if err != nil {
			return errors.Join(fmt.Errorf("step %d of a visit: %w", i+1, err), d.Listen())
		}
		*s.into = append(*s.into, took)
	}
	return nil
}

func mark(name string) chromedp.CSS { return chromedp.CSS(`[data-test="` + name + `"]`) }

func timed(tab context.Context, steps []chromedp.Action[chromedp.Void]) (float64, error) {
	ctx, cancel := context.WithTimeout(tab, waitLimit)
	defer cancel()
	start := time.Now()
	err := chromedp.Do(ctx, steps...)
	return time.Since(start).Seconds() * 1000, err
}

// settled waits until the service worker has everything it needs offline.
func settled(tab context.Context) error {
	ctx, cancel := context.WithTimeout(tab, waitLimit)
	defer cancel()
	_, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`navigator.serviceWorker.ready.then(r => !!r.active)`, chromedp.EvalAwaitPromise))
	return err
}

// setClock makes the tab's clock show the demo's time.
func setClock(tab context.Context, now time.Time) error {
	if _, err := chromedp.Call(tab, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/London"}); err != nil {
		return err
	}
	source := fmt.Sprintf(`(() => {
		const Real = Date, off = %d;
		globalThis.Date = class extends Real {
			constructor(...a) { if (a.length) super(...a); else super(Real.now() + off); }
			static now() { return Real.now() + off; }
		};
	})()`, time.Until(now).Milliseconds())
	_, err := chromedp.Call(tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
	return err
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
