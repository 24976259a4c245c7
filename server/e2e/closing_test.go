package e2e_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// A report of pain stops both eyes. At the console a call that reached nobody
// leaves the alert open, closing asks for a decision about wear, and what is
// decided stands on the family's phone: stays stopped first, then opened again
// and resumed.
func TestClosingIsADecisionAboutWear(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	browser := newBrowser(t)
	teen := phone(t, browser)
	at(t, teen, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"),
		tap("answer-pain-persists"), tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")))
	run(t, tab, tap("call"), chromedp.WaitVisible(sel("call-result")), chromedp.SetValue(sel("call-result"), "not-reached"), changed("call-result"), tap("call-save"),
		seeIn("main", "Call logged"), chromedp.WaitNotPresent(sel("call-result")), seeIn("[data-test=alert-row]", "Nobody has acknowledged this"))
	// A call that reached nobody ends nothing: the next step is taken when it is due, and then the one after.
	for range 2 {
		was := theAlert(t, a, "W-0002")
		if was.State != escalate.Open || was.NextStepAt.IsZero() {
			t.Fatalf("after a call that reached nobody: %s, next step at %s; want an open alert and a ladder that goes on", was.State, was.NextStepAt)
		}
		a.clock.Set(was.NextStepAt.Add(time.Second))
		until(t, "the ladder goes on", func() bool { return theAlert(t, a, "W-0002").Step > was.Step })
	}
	a.clock.Set(bedtime)
	run(t, teen, tap("home"), see("said-tried", "The clinic tried to phone you")) // which the family reads without asking
	shot(t, teen, "tried-to-phone")
	run(t, teen, awaited(`Promise.resolve(history.back()).then(() => true)`), chromedp.WaitVisible(sel("advice")))
	run(t, tab, tap("close"), chromedp.WaitVisible(sel("close-form")), seeIn("[data-test=wear-now]", "Left eye: stop"), seeIn("[data-test=wear-now]", "Right eye: stop"))
	if off, err := ask[bool](tab, `document.querySelector('[data-test=close-save]').disabled && document.querySelector('[data-test=decide-none]').disabled`); err != nil || !off {
		t.Errorf("without a decision closing is possible, or 'none' while an eye is stopped: %v", err)
	}
	run(t, tab, chromedp.Click(sel("decide-stays")), chromedp.WaitVisible(sel("review-by")),
		chromedp.SetValue(sel("close-outcome"), "seen-treated"), changed("close-outcome"), chromedp.SendKeys(sel("close-note"), "Comes tomorrow"),
		chromedp.SetValue(sel("close-phrase"), "seen-rest"), changed("close-phrase"), tap("close-save"),
		seeIn("main", "No alert is open"))
	closed := func() (n int) {
		err := a.DB.View(func(tx *store.Tx) error {
			all, err := tx.Duty().AlertsSince(bedtime.AddDate(0, 0, -1))
			for _, x := range all {
				n += len(x.Closings)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	until(t, "the closing is on record", func() bool { return closed() == 1 })
	// The order of the report has had its day; the stop has not, and what was said then can be read.
	run(t, teen, chromedp.Reload(), see("advice", "Your clinic has decided"), see("advice", "No lenses"), chromedp.WaitVisible(sel("advice-then")),
		becomes(`!/Emergency\n|Phone now|Lenses out now/.test(document.querySelector('.advice-head').innerText) && !document.querySelector('[data-test^=do-]')`))
	shot(t, teen, "advice-decided")
	run(t, tab, chromedp.Click(chromedp.CSS(".closed-alerts summary")), tap("reopen"), chromedp.SendKeys(sel("reopen-why"), "Seen today"), tap("reopen-save"), seeIn("main", "1 not acknowledged"))
	// an emergency is released by somebody who has it
	run(t, tab, tap("close"), chromedp.WaitVisible(sel("close-form")), chromedp.Click(sel("decide-resume")), see("close-wrong", "an emergency that nobody has"),
		tap("acknowledge"), chromedp.WaitNotPresent(sel("acknowledge")))
	// what was begun stands open again where the card has gone
	run(t, tab, chromedp.WaitVisible(sel("close-draft")), chromedp.Click(sel("decide-resume")), chromedp.WaitVisible(sel("resume-eyes")),
		chromedp.SetValue(sel("resume-eyes"), "both"), changed("resume-eyes"), becomes(`document.querySelector('[data-test=resume-from]').value === ''`), tonight("resume-from"), chromedp.SetValue(sel("resume-basis"), "examined"), changed("resume-basis"),
		chromedp.SetValue(sel("close-outcome"), "infection"), changed("close-outcome"), chromedp.SendKeys(sel("close-note"), "Slit lamp"),
		chromedp.SendKeys(sel("close-text"), "Lenses as before; bring the case to the visit on Tuesday."), chromedp.WaitVisible(sel("resume-cleared")), tap("close-save"))
	if off, err := ask[bool](tab, `document.querySelector('[data-test=resume-cleared]:invalid') !== null`); err != nil || !off {
		t.Errorf("an eye with a disease is resumed without a word: %v", err)
	}
	shot(t, tab, "close-disease")
	run(t, tab, chromedp.SendKeys(sel("resume-cleared"), "Quiet, no staining, culture negative."), tap("close-save"),
		see("own-words", "Both eyes: lenses again from the night of"), see("own-words", "Lenses as before; bring the case to the visit on Tuesday."))
	shot(t, tab, "close-own-words")
	run(t, tab, tap("unlikely-yes"), seeIn("[data-test=unlikely]", "speak of a visit, and none is booked"),
		seeIn("[data-test=unlikely]", "names a disease of the cornea and lets lenses in again"), tap("unlikely-yes"), seeIn("main", "No alert is open"))
	until(t, "both closings are on record", func() bool { return closed() == 2 })
	run(t, teen, chromedp.Navigate(a.URL()+"/"), ready(), see("said", "The eye was examined. It needs a rest from lenses."), see("said", "Both eyes: lenses again from the night of"), tap("said-read"))
	run(t, tab, toHash("archive"), seeIn(".archived summary", "Infection of the cornea"), seeIn(".archived summary", "; before: Examined and treated here"))
	sound(t, tab)
}

// chosen sets a field or a choice, as a person's hand would.
func (w *window) chosen(test, value string) {
	w.t.Helper()
	w.visible(css(test))
	w.do(`((el) => { el.value = ` + quoted(value) + `; el.dispatchEvent(new Event('input', {bubbles: true})); el.dispatchEvent(new Event('change', {bubbles: true})); })(document.querySelector(` + quoted(css(test)) + `))`)
}

// heldJS keeps the queue of the console from being fetched until a closing is sent.
const heldJS = `(() => {
	const real = globalThis.fetch;
	let go;
	const sent = new Promise((done) => { go = done; });
	globalThis.fetch = (at, how) => {
		if (String(at).endsWith('/close')) {
			const answer = real(at, how);
			void answer.then(go);
			return answer;
		}
		return String(at).endsWith('/api/clinic/alerts') ? sent.then(() => real(at, how)) : real(at, how);
	};
})()`

// Lenses go in, an emergency is reported, and the family writes. Where the clinician
// decides "lenses again" both stand with a tick that they are known. Words that come while
// the form is filled, and that its screen does not show, are not passed over: the server
// refuses, the words stand there, and the tick has fallen.
func TestLensesAgainPassOverNoWord(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		w.tap("wrong", "now-pain")
		w.visible(css("advice"))
		writes := func(text string) {
			w.goTo(a.URL() + "/#/write")
			w.write("#note-text", text)
			w.tap("confirm")
			w.gone("#note-text")
			w.sent()
		}
		writes("May she swim on Friday?")
		desk := deskIn(t, e, bedtime)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.tap("acknowledge")
		desk.gone(css("acknowledge"))
		desk.tap("call")
		desk.chosen("call-result", "reached")
		desk.tap("call-save")
		desk.gone(css("call-result"))
		desk.tap("close", "decide-resume")
		desk.chosen("resume-eyes", "both")
		desk.chosen("resume-from", civilDay(0))
		desk.chosen("resume-basis", "by-telephone")
		desk.chosen("close-outcome", "in-error")
		desk.chosen("close-note", "A game, says the mother")
		desk.see("close-standing", "Lenses in since 21:20 and not logged out")
		desk.see("close-standing", "May she swim on Friday?")
		desk.until(`document.querySelector('` + css("close-known") + `').matches(':invalid')`)
		desk.tap("close-known")
		desk.until(`document.querySelector('` + css("close-known") + `').checked`)
		desk.shot("close-known")
		desk.do(heldJS)
		writes("And what of Sunday?")
		desk.tap("close-save")
		desk.seeIn("main", "nobody has read it: read what is named here")
		desk.see("close-standing", "And what of Sunday?")
		desk.until(`!document.querySelector('` + css("close-known") + `').checked && document.querySelector('` + css("close-note") + `').value === 'A game, says the mother'`)
		desk.shot("close-not-known")
		desk.press(css("close-standing") + " " + css("mark-read"))
		desk.gone(css("close-standing") + " " + css("unread"))
		desk.see("close-standing", "Lenses in since 21:20 and not logged out")
		desk.tap("close-known", "close-save")
		desk.seeIn("main", "No alert is open")
		w.goTo(a.URL() + "/#/child")
		w.gone(css("now-hold"))
		w.sound()
		desk.sound()
	})
}

// A lens is stuck, the clinician has it, and says in closing that it is out: from then on
// no phone says not to pull at it, nor whom to see how soon. The stop goes on.
func TestTheClinicSaysThatAStuckLensIsOut(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/teen")
		w.ready()
		w.tap("wrong", "eye-left", "answer-injury-no", "answer-lens-stuck", "check-stop")
		w.visible(css("advice"))
		w.sent()
		w.goTo(a.URL() + "/")
		w.ready()
		w.see("now-hold", "Do not pull at the lens")
		desk := deskIn(t, e, bedtime)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.tap("acknowledge")
		desk.gone(css("acknowledge"))
		desk.tap("close", "decide-stays")
		desk.chosen("close-outcome", "seen-treated")
		desk.chosen("close-note", "Lens taken out here")
		desk.chosen("lens-out", "out")
		desk.chosen("close-phrase", "seen-rest")
		desk.tap("close-save")
		desk.seeIn("main", "No alert is open")
		w.goTo(a.URL() + "/")
		w.ready()
		w.see("said", "The eye was examined.")
		w.see("now-hold", "No lenses")
		w.until(`!/Do not pull|within 24 hours/.test(document.querySelector('main').innerText)`)
		w.shot("stuck-is-out")
		w.sound()
		desk.sound()
	})
}

// The same with both lenses in by the log: nobody is told to take out the one that the
// clinician has out already; the other, of which nobody has said so, is to come out.
func TestNobodySearchesForALensThatIsOut(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/teen")
		w.ready()
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		w.tap("wrong", "eye-left", "answer-injury-no", "answer-lens-stuck", "check-stop")
		w.visible(css("advice"))
		w.sent()
		desk := deskIn(t, e, bedtime)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.tap("acknowledge")
		desk.gone(css("acknowledge"))
		desk.tap("close", "decide-stays")
		desk.chosen("close-outcome", "seen-treated")
		desk.chosen("close-note", "Lens taken out here")
		desk.chosen("lens-out", "out")
		desk.chosen("close-phrase", "seen-rest")
		desk.tap("close-save")
		desk.seeIn("main", "No alert is open")
		desk.seeIn("main", "The right lens is in since")
		w.goTo(a.URL() + "/")
		w.ready()
		w.see("said", "The eye was examined.")
		w.see("now-out", "Right eye: Take the lens out")
		w.until(`!/Left eye: Take the lens out|Do not pull/.test(document.querySelector('main').innerText)`)
		w.shot("out-by-the-clinic")
		w.sound()
		desk.sound()
	})
}

// theAlert is the one alert of a wearer that is not closed.
func theAlert(t *testing.T, a program, code string) (live escalate.Alert) {
	t.Helper()
	id := care.WearerID(wearerID(t, clinician(t, a), a, code))
	err := a.DB.View(func(tx *store.Tx) error {
		list, err := tx.Duty().WearerAlerts(id)
		for _, x := range list {
			if x.Live() {
				live = x
			}
		}
		return err
	})
	if err != nil || live.ID == "" {
		t.Fatalf("no alert of %s is open: %v", code, err)
	}
	return live
}

// tonight types the date of bedtime.
func tonight(test string) step {
	return awaited(`Promise.resolve((el => { el.value = '` + bedtime.Format(time.DateOnly) + `'; return el.dispatchEvent(new Event('input', {bubbles: true})); })(document.querySelector('[data-test=` + test + `]')))`)
}

// changed tells the page that a field was set, as a person's hand would.
func changed(test string) step {
	return awaited(`Promise.resolve(document.querySelector('[data-test=` + test + `]').dispatchEvent(new Event('change', {bubbles: true})))`)
}
