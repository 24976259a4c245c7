package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// From the list of recalls a visit is booked, or changed, in the form that opens by
// itself; left, it does not come back, and the address does not ask for it again.
func TestARecallIsBookedFromTheList(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	const row = `[...document.querySelectorAll('[data-test=recall-row]')].find(r => r.querySelector('[data-test=recall-to-visit]').textContent === `
	press := func(word string) step {
		return awaited(`(async () => { const a = ` + row + `'` + word + `').querySelector('[data-test=recall-to-visit]'); a.click(); return true; })()`)
	}
	left := becomes(`!document.querySelector('[data-test=visit-form]') && !location.hash.includes('?')`)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/desk"), seeIn("main", "Who needs a call"), toHash("recalls"), chromedp.WaitVisible(sel("recall-row")),
		press("Book"), chromedp.WaitVisible(sel("visit-form")),
		becomes(`[...document.querySelectorAll('[data-test=visit-form] select')].some(s => s.value === 'booked') && document.querySelector('[data-test=visit-form] input[type=date]').value >= '`+bedtime.Format("2006-01-02")+`'`))
	shot(t, tab, "recall-book")
	run(t, tab, tap("visit-leave"), left, toHash("recalls"), chromedp.WaitVisible(sel("recall-row")), press("Change"), chromedp.WaitVisible(sel("visit-form")),
		becomes(`[...document.querySelectorAll('[data-test=visit-form] select')].some(s => s.value === 'booked')`), tap("visit-leave"), left)
	sound(t, tab)
}
