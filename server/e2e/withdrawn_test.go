package e2e_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Consent was taken back: nothing is offered for the log that the server would not
// take (the morning's "fine", care, other kinds, a night that has passed), while a sore
// eye can be said in the morning and by the red button, and is taken.
func TestAfterConsentIsTakenBackOnlyASoreEyeIsOffered(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	morning := bedtime.Add(9*time.Hour + 40*time.Minute)
	a.clock.Set(morning)
	at(t, tab, morning)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("confirm"), chromedp.WaitVisible(sel("look-fine")), chromedp.WaitVisible(sel("care-usual")), chromedp.WaitVisible(sel("anytime")), sent(),
		awaited(`fetch('/api/consent', {method: 'DELETE'}).then(r => r.ok)`), chromedp.Reload(), chromedp.WaitVisible(sel("told-withdrawn")), chromedp.WaitVisible(sel("look-not")))
	gone := becomes(`['look-fine', 'care-usual', 'anytime', 'evening', 'not-worn', 'wear-in', 'wear-out'].every(x => [...document.querySelectorAll('[data-test=' + x + ']')].every(el => !el.getClientRects().length))`)
	run(t, tab, gone)
	shot(t, tab, "withdrawn-home")
	run(t, tab, toHash("night/2026-03-23"), seeIn("main h1", "23 March"),
		becomes(`[...document.querySelectorAll('main button, main a[data-test^=edit-]')].every(el => el.closest('.across') || !el.getClientRects().length)`))
	shot(t, tab, "withdrawn-night")
	run(t, tab, tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent())
	sound(t, tab)
}
