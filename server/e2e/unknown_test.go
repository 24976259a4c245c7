package e2e_test

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// answeredCalm answers every question of the eye check about one eye with its harmless
// answer, up to the last screen.
func answeredCalm() step {
	return chromedp.Steps(tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-none"), tap("answer-gritty-no"),
		tap("answer-redness-none"), tap("answer-spot-no"), tap("answer-pupil-no"), tap("answer-lid-no"), tap("answer-discharge-none"), tap("answer-sight-same"), tap("answer-light-no"),
		chromedp.WaitVisible(sel("step-last")))
}

// liveAlerts are the level and the words of each alert that is not closed.
func liveAlerts(t *testing.T, a program, code string) (out []string) {
	t.Helper()
	id := care.WearerID(wearerID(t, clinician(t, a), a, code))
	err := a.DB.View(func(tx *store.Tx) error {
		list, err := tx.Duty().WearerAlerts(id)
		for _, x := range list {
			if x.Live() {
				out = append(out, string(x.Level))
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Unknown is not "nothing": advice asked for at the first question, and one "don't
// know" among calm answers, are headed by what to do, name where to go when
// nobody answers within the hour, and ring at the clinic as urgent in those words.
func TestWhatWasNotAnsweredMayBeSerious(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	before := len(liveAlerts(t, a, "W-0002"))
	headed := chromedp.Steps(chromedp.WaitVisible(sel("advice")), see("advice", "Not clear yet"), see("advice", "It may be serious. Lenses out, none tonight, and phone today."),
		chromedp.WaitVisible(sel("do-unsure")), chromedp.WaitVisible(sel("do-call-today")), see("place", "Nobody answers within an hour?"), see("place", "Harbour Hospital"))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-both"), tap("check-stop"), headed)
	sameJSON(t, tab, `{"right":{},"left":{},"now":"none"}`)
	shot(t, tab, "unsure-at-once")
	run(t, tab, sent())
	if got := liveAlerts(t, a, "W-0002"); len(got) != before+1 || got[len(got)-1] != "urgent" {
		t.Errorf("at the clinic: %v, want one more, urgent", got)
	}
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician#alerts"), seeIn("main", "could not be assessed, may be an emergency"))
	run(t, tab, tap("wrong"), answeredCalm(), tap("answer-water-no"), tap("answer-ill-no"), tap("answer-other-usual"), tap("check-back"), tap("answer-light-unknown"), tap("check-next"), tap("check-stop"), headed)
	run(t, tab, see("unanswered", "Does light hurt the eye?"), toHash(""), see("now-pass", "phone today"), chromedp.WaitVisible(sel("place")))
	sound(t, tab)
}

// Every question about one eye answered calm, and one word that the other is as
// usual: that is all there is to ask. The family is not sent to the telephone,
// and nobody is rung. It is still not told that the eye is fine.
func TestAFullAllClearOfOneEyeRingsNobody(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	before := len(liveAlerts(t, a, "W-0002"))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), answeredCalm(), seeIn("main", "In the last 90 days."),
		tap("answer-water-no"), tap("answer-ill-no"), tap("answer-other-usual"))
	offline(t, tab, true) // nor is it then
	run(t, tab, tap("check-stop"), see("advice", "That does not mean that the eye is all right."), see("delivery", "This phone keeps trying to send it."), becomes(`!document.querySelector('[data-test=delivery]').innerText.includes('call')`))
	shot(t, tab, "all-clear-offline")
	offline(t, tab, false)
	text, err := ask[string](tab, `document.querySelector('[data-test=advice] .do')?.innerText ?? ''`)
	if err != nil || strings.Contains(strings.ToLower(text), "phone the clinic") || strings.Contains(text, "next working day") {
		t.Errorf("after an all-clear it says %q, %v", text, err)
	}
	shot(t, tab, "all-clear-one-eye")
	run(t, tab, sent())
	if got := liveAlerts(t, a, "W-0002"); len(got) != before {
		t.Errorf("an all-clear rang: %v, %d before", got, before)
	}
	sound(t, tab)
}

// The browser's back out of a check keeps it, and without a network the timer of
// a rinse, which a tap has started, goes on where it was.
func TestBackKeepsACheckAndARinseGoesOnOffline(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), chromedp.WaitVisible(sel("step-injury")),
		// Back before the next question was painted: the answer is kept all the same.
		awaited(`new Promise(done => {
			addEventListener('popstate', () => done(true), {once: true});
			const back = new MutationObserver(() => document.querySelector('[data-test=step-lens]') && (back.disconnect(), history.back()));
			back.observe(document, {subtree: true, childList: true});
			document.querySelector('[data-test=answer-injury-no]').click();
		})`), chromedp.WaitVisible(sel("home")),
		tap("wrong"), chromedp.WaitVisible(sel("check-left")), tap("check-go-on"), chromedp.WaitVisible(sel("step-lens")))
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	run(t, tab, tap("check-back"), tap("answer-injury-chemical"), chromedp.WaitVisible(sel("rinse")),
		becomes(`!document.querySelector('[role=timer]')`), tap("rinse-start"), chromedp.WaitVisible(sel("rinse-again")))
	at(t, tab, bedtime.Add(5*time.Minute))
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("rinse")), becomes(`(n => n > 600 && n <= 900)(Number(document.querySelector('[data-test=rinse]')?.dataset.left))`))
	sound(t, tab)
}

// A report that is taken back before the clinic has it is not said to be there.
func TestTakenBackWithoutANetworkClaimsNothing(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready())
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	run(t, tab, tap("wrong"), tap("now-sight"), chromedp.WaitVisible(sel("advice")), tap("home"), tap("back-symptoms"), see("saved", "This releases nothing: phone the clinic."))
	shot(t, tab, "taken-back-offline")
	sound(t, tab)
}
