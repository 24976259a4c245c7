package e2e_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// counted waits for a screen of the eye check and what it says of its number.
func counted(n int, screen, eyes string) step {
	return chromedp.Steps(chromedp.WaitVisible(sel("step-"+screen)), see("step-"+screen, fmt.Sprintf("Question %d of 8", n)), see("step-"+screen, eyes),
		focused("el.tagName === 'H1'"))
}

// focused waits until the element with the focus is the one meant.
func focused(is string) step {
	return awaited(`new Promise((done) => { const look = () => { const el = document.activeElement; return ` + is + ` ? done(true) : requestAnimationFrame(look); }; look(); })`)
}

// The eye check of both eyes is eight screens, as of one: what is the same is
// answered once, what differs for each eye, what is passed over stays unknown,
// and going back loses nothing. What was said is what is saved, eye by eye.
func TestBothEyesAreCheckedOnEightScreens(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-both"))
	run(t, tab, counted(2, "injury", "Both eyes"), tap("answer-injury-no"), counted(3, "lens", "Both eyes"))
	run(t, tab, tap("apart-lens"), tap("answer-lens-stuck-right"), tap("answer-lens-out-left"), counted(4, "feel", "Both eyes"))
	run(t, tab, tap("answer-pain-persists"), tap("check-back"), counted(3, "lens", "Both eyes"),
		chromedp.WaitVisible(chromedp.CSS(css("answer-lens-stuck-right")+`[aria-pressed="true"]`)), tap("check-next"), counted(4, "feel", "Both eyes"),
		chromedp.WaitVisible(chromedp.CSS(css("answer-pain-persists")+`[aria-pressed="true"]`)))
	run(t, tab, tap("apart-pain"), tap("answer-pain-none-left"), tap("answer-gritty-unknown"), counted(5, "look", "Both eyes"))
	run(t, tab, tap("answer-redness-mild"), tap("check-next"), counted(6, "lid", "Both eyes"), tap("check-next"), counted(7, "see", "Both eyes"))
	run(t, tab, tap("answer-sight-same"), tap("answer-light-no"), counted(8, "last", "Last questions"))
	run(t, tab, tap("began-now"))
	run(t, tab, tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	const want = `{"right":{"injury":"no","lens":"stuck","pain":"persists","redness":"mild","sight":"same","light":"no"},` +
		`"left":{"injury":"no","lens":"out","pain":"none","redness":"mild","sight":"same","light":"no"},"now":"none"}`
	sameJSON(t, tab, want)
	sound(t, tab)
}

// Water and nothing else: the advice says for how long to watch, by the default of
// water_watch_days in alerts/rules.json, and that a little pain is enough to phone.
func TestWaterAloneSaysHowLongToWatch(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-right"))
	for _, screen := range calm[:len(calm)-1] {
		for _, answer := range screen.taps {
			run(t, tab, tap(answer))
		}
	}
	run(t, tab, tap("began-unknown"), tap("answer-water-yes"), tap("answer-ill-no"), tap("answer-other-usual"), tap("check-stop"),
		see("advice", "Nothing you answered is on our list"), see("water", "next 90 days"), see("water", "hurts, even a little"), see("water", "phone the clinic"))
	shot(t, tab, "water-alone")
	// A red flag within the watch, and one with the water said in the same check: lens and
	// case are kept for the clinic, so the page says that there was water and cleans nothing.
	for _, water := range []string{"answer-water-no", "answer-water-yes"} {
		run(t, tab, tap("wrong"), tap("eye-right"))
		for _, answer := range []string{"answer-injury-no", "answer-lens-out", "answer-pain-persists", "answer-gritty-no", "answer-redness-none", "answer-spot-no", "answer-pupil-no",
			"answer-lid-no", "answer-discharge-none", "answer-sight-same", "answer-light-no", "began-hours", water, "answer-ill-no", "answer-other-usual", "check-stop"} {
			run(t, tab, tap(answer))
		}
		run(t, tab, see("advice", "Do not throw away the lenses"), see("water", "Say that there was water"))
		shot(t, tab, water)
		if text, err := ask[string](tab, `document.querySelector('main').textContent`); err != nil || strings.Contains(text, "disinfect") {
			t.Errorf("%s: beside lenses that are kept the page says to disinfect them, %v", water, err)
		}
	}
	run(t, tab, see("advice", "water has touched a lens"))
	sound(t, tab)
}

// The worst answers to the first question, and to any later one, lead to the advice
// at once, with the place and the numbers of the practice on its first screen; which
// eye it is can be said there. After a chemical a timer is started by a tap.
func TestWorstAnswersLeadToTheAdviceAtOnce(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), chromedp.WaitVisible(sel("call-emergency")))
	run(t, tab, tap("now-sight"), chromedp.WaitVisible(sel("advice")), see("advice", "Lenses out now"), see("advice", "Go to emergency eye care now"),
		see("place", "Harbour Hospital"), chromedp.WaitVisible(sel("call-emergency")))
	sameJSON(t, tab, `{"now":"sight"}`)
	run(t, tab, tap("which-left"), chromedp.WaitNotPresent(sel("which-left")), see("advice-whose", "Left eye"))
	sameJSON(t, tab, `{"now":"sight","left":{},"other":"unknown"}`)
	run(t, tab, see("advice", "Go to emergency eye care now"))
	run(t, tab, tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-severe"), chromedp.WaitVisible(sel("advice")), see("advice", "Go to emergency eye care now"), chromedp.WaitVisible(sel("call-emergency")))
	sameJSON(t, tab, `{"left":{"injury":"no","lens":"out","pain":"severe"},"now":"none","other":"unknown"}`)
	run(t, tab, tap("wrong"), tap("now-chemical"), chromedp.WaitVisible(sel("rinse")), see("advice", "Rinse the eye now"), see("advice", "20 minutes"))
	if n, err := ask[int](tab, `document.querySelectorAll('[data-test=do-no-tap-water], [data-test=do-lenses-out]').length`); err != nil || n != 0 {
		t.Errorf("%d steps beside rinsing that contradict it, %v", n, err)
	}
	// Something stuck in the other eye: that one is not rinsed, on its page and on the first screen.
	run(t, tab, tap("which-right"), chromedp.WaitNotPresent(sel("which-right")), tap("wrong"), tap("now-cut"), chromedp.WaitVisible(sel("which-left")), tap("which-left"),
		see("step-right", "Right eye: Rinse the eye now. Then go."), see("step-left", "Left eye: Do not touch the eye."), see("do-rinse-eye", "Right eye: Rinse the eye now"),
		see("do-leave-lens-left", "Left eye: Do not touch the eye."), see("do-shield-left", "presses"), see("do-no-rinse-left", "Left eye: Do not rinse the eye"))
	shot(t, tab, "rinse-one-leave-other")
	run(t, tab, tap("home"), seeIn("main", "Right eye: Rinse the eye now. Then go."), seeIn("main", "Left eye: Do not touch the eye."))
	shot(t, tab, "rinse-one-leave-other-home")
	sound(t, tab)
}

// A check that was left, by the browser's back or by the red button, is kept and
// offered again with what was answered.
func TestALeftCheckIsOfferedAgain(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-gone"))
	// The red button within the check, then the foot of the page: each time it is offered as it was.
	run(t, tab, tap("wrong"), chromedp.WaitVisible(sel("check-left")), tap("check-go-on"), chromedp.WaitVisible(sel("step-feel")), chromedp.WaitVisible(chromedp.CSS(css("answer-pain-gone")+`[aria-pressed="true"]`)))
	run(t, tab, tap("home"), chromedp.WaitNotPresent(sel("step-feel")), tap("wrong"), chromedp.WaitVisible(sel("check-left")), tap("check-go-on"))
	run(t, tab, chromedp.WaitVisible(sel("step-feel")), chromedp.WaitVisible(chromedp.CSS(css("answer-pain-gone")+`[aria-pressed="true"]`)), tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	sameJSON(t, tab, `{"left":{"injury":"no","lens":"out","pain":"gone"},"now":"none","other":"unknown"}`)
	run(t, tab, see("advice", "It may be serious"), tap("wrong"), chromedp.WaitVisible(sel("eye-left")))
	if n, err := ask[int](tab, `document.querySelectorAll('[data-test=check-left]').length`); err != nil || n != 0 {
		t.Errorf("a check that was finished is offered again, %v", err)
	}
	sound(t, tab)
}

// A check that is left after an answer that is an emergency rings as one, with what
// was answered and that it was not finished on the card; finished, it says so no more.
func TestALeftCheckRingsAtTheLevelOfItsAnswers(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	before := len(liveAlerts(t, a, "W-0002"))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-persists"), tap("home"),
		see("now-hold", "No lens"), sent())
	if got := liveAlerts(t, a, "W-0002"); len(got) != before+1 || got[len(got)-1] != "emergency" {
		t.Errorf("at the clinic: %v, want one more, an emergency", got)
	}
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician#alerts"), seeIn("main", "Pain persisting after removal"), seeIn("main", "The check was left before its end"))
	shot(t, desk, "left-emergency-card")
	run(t, tab, tap("wrong"), tap("check-go-on"), tap("answer-gritty-no"), tap("check-next"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), sent())
	run(t, desk, chromedp.Reload(), seeIn("main", "left before its end, and finished later"))
	sound(t, tab)
}

// By keyboard alone, and with fingers that tap twice: the second tap must not
// answer the question that has just come.
func TestEyeCheckByKeyboardAndDoubleTap(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-both"), counted(2, "injury", "Both eyes"))
	run(t, tab, chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter), counted(3, "lens", "Both eyes"))
	// Seven answers down is "Different in each eye"; then the first answer of the right eye has the focus.
	for range 8 {
		run(t, tab, chromedp.KeyEvent(kb.Tab))
	}
	run(t, tab, chromedp.KeyEvent(" "), chromedp.WaitVisible(sel("answer-lens-out-right")))
	run(t, tab, focused("el.dataset.test === 'answer-lens-out-right'"), chromedp.KeyEvent(kb.Enter), chromedp.WaitVisible(chromedp.CSS(css("answer-lens-out-right")+`[aria-pressed="true"]`)), tap("answer-lens-in-left"), counted(4, "feel", "Both eyes"))
	run(t, tab, tap("check-next"), counted(5, "look", "Both eyes"), tap("check-next"), counted(6, "lid", "Both eyes"))
	run(t, tab, tap("answer-lid-no"), tap("answer-discharge-none"), counted(7, "see", "Both eyes"), secondTap("answer-sight-same"), tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	sameJSON(t, tab, `{"right":{"injury":"no","lens":"out","lid":"no","discharge":"none"},"left":{"injury":"no","lens":"in","lid":"no","discharge":"none"},"now":"none"}`)
	sound(t, tab)
}

// What a slow phone does late must not take the focus from whoever has gone on:
// everything that the page put off for a moment happens after the second tap.
func TestFocusStaysOnTheQuestion(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), becomes(`(() => {
		globalThis.putOff = [];
		const real = setTimeout;
		globalThis.setTimeout = (f, ms, ...rest) => (ms > 100 ? real(f, ms, ...rest) : putOff.push(f));
		return true;
	})()`))
	run(t, tab, tap("wrong"), tap("eye-both"), counted(2, "injury", "Both eyes"))
	if on, err := ask[string](tab, `(() => { while (putOff.length) putOff.shift()(); return document.activeElement.tagName; })()`); err != nil || on != "H1" {
		t.Errorf("the focus is on %s, %v; want H1, the question", on, err)
	}
	sound(t, tab)
}

// secondTap is the second of two quick taps, which falls on whatever has come
// under the finger.
func secondTap(mark string) step {
	middle := chromedp.Evaluate[[]float64](`(() => { const r = document.querySelector('` + css(mark) + `').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		at, err := middle(ctx, tab)
		if err != nil {
			return chromedp.Void{}, err
		}
		return chromedp.MouseClickXY(at[0], at[1], func(p *input.DispatchMouseEventParams) { p.ClickCount = 2 })(ctx, tab)
	}
}

// sameJSON compares the two eyes of the newest report on the phone.
func sameJSON(t *testing.T, tab context.Context, want string) {
	t.Helper()
	body, err := ask[map[string]any](tab, lastReportJS)
	if err != nil {
		t.Fatal(err)
	}
	var wanted map[string]any
	if err := json.Unmarshal([]byte(want), &wanted); err != nil {
		t.Fatal(err)
	}
	delete(body, "began")
	delete(body, "began_about")
	if _, ok := body["told"].(map[string]any); !ok {
		t.Error("the report does not say what the phone judged")
	}
	delete(body, "told") // which marks is for the tests of judging
	delete(body, "ends") // which checks that were left it finishes, likewise
	if got, want := fmt.Sprint(body), fmt.Sprint(wanted); got != want {
		t.Errorf("the report says %s, want %s", got, want)
	}
}
