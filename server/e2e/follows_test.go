package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// The page of a wearer follows: what is written from it, from a phone and at another
// window stands on it without a reload, is said to whoever does not see it, and takes
// neither the focus nor what is being typed. Where the server is not reached it says
// how old it is. A decision that was begun before something new came is not sent as if
// it had been known.
func TestTheWearerPageFollows(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002")
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready())
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), toHash("wearer/"+id), see("stand", "Right no stop · Left no stop"),
		tap("say-open"), chromedp.WaitVisible(sel("say-form")), chromedp.Click(sel("say-stays")), chromedp.SetValue(sel("say-eyes"), "left"), changed("say-eyes"), tap("say-send"),
		see("say-sent", "Written."), see("stand", "Right no stop · Left stop"), see("stands-said", "Right no stop, Left stop"))

	// a report comes while somebody writes
	run(t, tab, chromedp.WaitVisible(sel("say-form")), chromedp.Click(sel("say-resume")), chromedp.SendKeys(sel("say-text"), "We telephone "))
	run(t, teen, tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-persists"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), sent())
	run(t, tab, see("stand", "Right stop · Left stop"), see("stands-said", "Right stop, Left stop"), seeIn(css("say")+" "+css("wear-now"), "Right eye: stop"), chromedp.KeyEvent("tomorrow."))
	if text, err := ask[string](tab, `document.activeElement.value`); err != nil || text != "We telephone tomorrow." {
		t.Errorf("while it came, %q was typed, %v; want all of it, in the field that had the focus", text, err)
	}

	offline(t, tab, true)
	run(t, tab, see("as-of", "the server cannot be reached, and what came since is not on this page"))
	shot(t, tab, "wearer-as-of")
	offline(t, tab, false)
	run(t, tab, chromedp.WaitNotPresent(sel("as-of")))
	sound(t, tab)
}
