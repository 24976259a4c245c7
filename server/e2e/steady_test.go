package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// What is under the finger stays there when the word that something was saved
// goes after a while: a page at its end is not pulled down by the room the word had,
// so that no tap lands on something else.
func TestThePageStaysWhenTheWordSavedGoes(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")),
		awaited(`Promise.resolve(location.hash = '#/supplies').then(() => true)`), tap("supply-solution"), chromedp.WaitVisible(chromedp.CSS("#s-days")))
	const top = `document.querySelector('[data-test=confirm]').getBoundingClientRect().y`
	before, err := ask[float64](tab, `(scrollTo(0, 99999), document.querySelector('[data-test=saved]') ? `+top+` : -1)`)
	if err != nil || before < 0 {
		t.Fatalf("the word had gone before the page was at its end: %v, %v", before, err)
	}
	run(t, tab, chromedp.WaitNotPresent(sel("saved")))
	if after, err := ask[float64](tab, top); err != nil || after != before {
		t.Errorf("the button moved from %v to %v, %v", before, after, err)
	}
}
