package e2e_test

import (
	"math"
	"testing"

	"github.com/chromedp/chromedp"
)

// An emergency that comes while a clinician writes to the family, or closes an alert,
// takes nothing of what is typed, nor moves it away under the hand; and what was typed
// stands in the form again after another page was looked at.
func TestWhatIsTypedOutlivesAnEmergency(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	id := wearerID(t, clinician(t, a), a, "W-0002")
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready())
	report := func(eye string) {
		t.Helper()
		run(t, teen, chromedp.Navigate(a.URL()+"/#/check"), chromedp.Reload(), tap("eye-"+eye), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-persists"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), sent())
	}
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	top := func() float64 {
		t.Helper()
		y, err := ask[float64](tab, `document.activeElement.getBoundingClientRect().top`)
		if err != nil {
			t.Fatal(err)
		}
		return y
	}
	holds := func(test, want, when string) {
		t.Helper()
		if text, err := ask[string](tab, `document.querySelector('[data-test=`+test+`]')?.value ?? 'no form'`); err != nil || text != want {
			t.Errorf("%s: %s has %q, %v; want %q", when, test, text, err, want)
		}
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), toHash("wearer/"+id), tap("say-open"), chromedp.WaitVisible(sel("say-form")),
		chromedp.ScrollIntoView(sel("say-text")), chromedp.SendKeys(sel("say-text"), "We telephone "))
	before := top()
	report("left")
	run(t, tab, see("stand", "Right stop · Left stop"), seeIn(css("say")+" "+css("wear-now"), "Left eye: stop"), chromedp.KeyEvent("tomorrow."))
	holds("say-text", "We telephone tomorrow.", "an emergency came")
	if after := top(); math.Abs(after-before) > 8 {
		t.Errorf("the field that was typed in went from %.0f to %.0f px", before, after)
	}
	run(t, tab, toHash("today"), chromedp.WaitVisible(sel("alert-row")), toHash("wearer/"+id), chromedp.WaitVisible(sel("say-draft")))
	holds("say-text", "We telephone tomorrow.", "after another page")
	run(t, tab, tap("half-forget"), chromedp.WaitNotPresent(sel("say-draft")))
	holds("say-text", "", "forgotten by its author")

	run(t, tab, toHash("today"), tap("acknowledge"), seeIn("main", "Yours"), tap("close"), chromedp.WaitVisible(sel("close-form")), chromedp.Click(sel("decide-stays")),
		chromedp.SendKeys(sel("close-note"), "Comes tomorrow"), chromedp.SendKeys(sel("close-text"), "At nine, "))
	report("right") // the other eye: the alert is open again, in another place of the list
	run(t, tab, seeIn("[data-test=alert-row]", "Nobody has acknowledged this"), chromedp.WaitVisible(sel("close-draft")), chromedp.KeyEvent("a card please"))
	holds("close-note", "Comes tomorrow", "the alert opened again")
	holds("close-text", "At nine, a card please", "the alert opened again, and the hand typed on")
	holds("close-outcome", "", "nothing typed chooses an outcome")
	shot(t, tab, "close-typed")
	run(t, tab, tap("acknowledge"), seeIn("main", "Yours"), chromedp.WaitVisible(sel("close-form")))
	holds("close-text", "At nine, a card please", "taken again")
	sound(t, tab)
}
