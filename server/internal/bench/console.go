package bench

import (
	"context"
	"fmt"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// paintLimit is how long Today of a practice of 5,000 may take from the tap on it to
// its painted list of calls, in milliseconds (the project's own).
const paintLimit = 300

// calledJS is a function that calls back once the first call of Today is painted.
const calledJS = `globalThis.called = (done) => {
	const look = new MutationObserver(() => {
		if (!document.querySelector('[data-test="call-row"]')) return;
		look.disconnect();
		requestAnimationFrame(() => setTimeout(done));
	});
	look.observe(document, {childList: true, subtree: true});
};
globalThis.painted = new Promise((done) => called(() => done(performance.now())));`

// goneJS leaves Today for another page, tapJS comes back: ms to the painted list.
const (
	goneJS = `new Promise((done) => {
		location.hash = '#rules';
		const look = () => (document.querySelector('[data-test="call-row"]') ? requestAnimationFrame(look) : setTimeout(() => done(true)));
		look();
	})`
	tapJS = `new Promise((done) => {
		const from = performance.now();
		called(() => done(performance.now() - from));
		location.hash = '#today';
	})`
)

// paintToday opens Today as a clinician whose browser has been here before: once
// that is not counted, then once each round.
func (r *run) paintToday(addr string) error {
	browser := findBrowser()
	if browser == "" {
		r.skip("7 review: Today in a browser: there is no Chromium on this machine")
		return nil
	}
	tab, stop, err := r.tab(browser)
	if err != nil {
		return err
	}
	defer stop()
	// the first use starts the browser and must not be bounded by a context that ends
	if err := chromedp.Do(tab, chromedp.EmulateViewport(1280, 800)); err != nil {
		return err
	}
	if err := asClinician(tab, addr); err != nil {
		return err
	}
	var opened, tapped []float64
	for round := range rounds + 1 {
		if err := do(tab, chromedp.Navigate("about:blank"), chromedp.Navigate("http://"+addr+"/clinic#today")); err != nil {
			return err
		}
		took, err := ask[float64](tab, `painted`)
		if err != nil {
			return fmt.Errorf("paint Today: %w", err)
		}
		if _, err := ask[bool](tab, goneJS); err != nil {
			return fmt.Errorf("leave Today: %w", err)
		}
		again, err := ask[float64](tab, tapJS)
		if err != nil {
			return fmt.Errorf("paint Today again: %w", err)
		}
		if round > 0 {
			opened, tapped = append(opened, took), append(tapped, again)
		}
	}
	r.atMost(paintLimit, Row{Group: 7, Name: "Today of a practice of 5,000, from the tap to the painted list", Unit: "ms", Ours: statOf(tapped)})
	r.inform(Row{Group: 7, Name: "the same, the console opened anew", Unit: "ms", Ours: statOf(opened)})
	return nil
}

// asClinician signs the tab in.
func asClinician(tab context.Context, addr string) error {
	cookie := network.SetCookieParams{Name: "nightkeep_staff", Value: clinicToken, URL: "http://" + addr}
	if _, err := chromedp.Call(tab, network.SetCookie, cookie); err != nil {
		return err
	}
	_, err := chromedp.Call(tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: calledJS})
	return err
}
