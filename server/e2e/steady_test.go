package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// No clock takes "Undo" away (WCAG 2.2, 2.2.1): it goes with what is pressed next,
// and what is under the finger stays there then: a page at its end is not pulled down
// by the room the word had, so that no tap lands on something else.
func TestThePageStaysWhenTheWordSavedGoes(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), awaited(`Promise.resolve((window.setTimeout = ((real) => (f, ms, ...rest) => real(f, ms === 8000 ? 0 : ms, ...rest))(setTimeout))).then(() => true)`), // the eight seconds it once had are over
		tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent(), atScreen("#/supplies"), chromedp.WaitVisible(sel("confirm")))
	const top = `document.querySelector('[data-test=confirm]').getBoundingClientRect().y`
	before, err := ask[float64](tab, `(scrollTo(0, 99999), document.querySelector('[data-test=saved]') ? `+top+` : -1)`)
	if err != nil || before < 0 {
		t.Fatalf("the word had gone before the page was at its end: %v, %v", before, err)
	}
	run(t, tab, awaited(`Promise.resolve(document.querySelector("[data-test=wearer]").click()).then(() => true)`), chromedp.WaitNotPresent(sel("saved")))
	if after, err := ask[float64](tab, top); err != nil || after != before {
		t.Errorf("the button moved from %v to %v, %v", before, after, err)
	}
}
