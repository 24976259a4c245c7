package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// What was taught: the practitioner ticks it after a visit, and the family's phone
// says when and by whom; the family ticks what it can do by itself, and the console
// says since when. What is taken back is not ticked any more. The first visit is
// said as it is booked, and until then that it is not.
func TestTaughtIsTickedByBoth(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	inv := newcomers(t, a, c)()
	id := wearerID(t, c, a, "W-9100")
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(inv.URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")),
		atScreen("#/taught"), see("taught", "Clinic: not ticked yet"), tap("learnt-hands"), see("taught", "By ourselves since Tue 24 Mar, you"), see("saved", "Saved"), sent(),
		// Each tick is named by what it is about.
		becomes(`(list => list.length > 5 && new Set(list).size === list.length && list.some(x => x.startsWith('Wash and dry hands')))([...document.querySelectorAll('[data-test^=learnt-]')].map(x => x.closest('label').textContent.trim()))`))

	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#visits/`+id+`").then(() => true)`),
		see("taught", "family: by itself since"), tap("taught-in"), see("taught", "by Dr Imani Okafor"), tap("taught-out"), becomes(`document.querySelectorAll('[data-test^=taught-]:checked').length === 2`))
	shot(t, desk, "taught-console")
	run(t, desk, tap("taught-out"), becomes(`document.querySelectorAll('[data-test^=taught-]:checked:not(:disabled)').length === 1`))

	run(t, tab, chromedp.Reload(), see("taught", "Clinic: seen on Tue 24 Mar, Dr Imani Okafor"), becomes(`(document.querySelector('`+css("taught")+`').innerText.match(/seen on/g) ?? []).length === 1`))
	shot(t, tab, "taught")
	run(t, tab, tap("learnt-hands"), becomes(`!document.querySelector('[data-test=learnt-hands]').checked`), sent())

	expect := func() {
		run(t, tab, atScreen("#/guide"))
		for range 8 {
			run(t, tab, tap("guide-next"))
		}
	}
	expect()
	run(t, tab, see("first-visit", "Not booked yet: please phone the clinic."), see("first-visit", "within 2 hours of waking"))
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/visits", map[string]any{"date": "2026-03-25", "due": "2026-03-25", "kind": "first-morning", "state": "booked", "time": "09:10", "sure": true})
	run(t, tab, chromedp.Reload(), ready())
	expect()
	run(t, tab, see("first-visit", "Your first visit is booked: Wed 25 Mar, 09:10."), see("first-visit", "By the plan lenses come out at 07:00, and 09:10 is later than that: ask the clinic."))
	shot(t, tab, "first-visit")
	sound(t, tab)
	sound(t, desk)
}

// Who books for a family whose first morning is due is offered that visit, and told
// where its hour is later than two hours after the lenses come out by the plan (07:00).
func TestTheFirstMorningIsBookedInTime(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	newcomers(t, a, c)
	id := wearerID(t, c, a, "W-9100")
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	form := css("visit-form")
	// Whoever is quick waits until what is due is there: the form opens with that visit.
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk"), seeIn("main", "Who needs a call"), awaited(heldVisits), awaited(`Promise.resolve(location.hash = "#visits/`+id+`").then(() => true)`),
		becomes(`document.querySelector('`+css("visit-new")+`')?.disabled`), awaited(`Promise.resolve(globalThis.letVisits()).then(() => true)`), tap("visit-new"), becomes(`document.querySelector('`+form+` select')?.value === 'first-morning'`),
		filledIn(form+" input[type=time]", "09:00"), chromedp.WaitNotPresent(sel("first-late")), filledIn(form+" input[type=time]", "09:10"), see("first-late", "within 2 hours of waking"), see("first-late", "09:10 is later"))
	shot(t, desk, "first-late")
	sound(t, desk)
}

// heldVisits keeps the visits of a wearer from coming until letVisits is called.
const heldVisits = `(async () => {
	const real = globalThis.fetch, held = new Promise((done) => { globalThis.letVisits = done; });
	globalThis.fetch = async (of, how) => { if (String(of).includes('/visits')) await held; return real(of, how); };
	return true;
})()`

// Supplies: a date of another year carries its year; a pair of lenses is one line,
// a spare is kept beside it, and taken into use it ends the lens of its eye alone;
// a new bottle ends the open one of the same name.
func TestASpareIsTakenIntoUse(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	lines := func(mark string) string {
		return `[...document.querySelectorAll('` + css(mark) + ` li strong')].map(x => x.innerText).sort().join(' | ')`
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/supplies"), ready(), see("in-use", "since 26 Aug 2025"), // 210 days before 24 March 2026
		becomes(lines("in-use")+` === 'Bottle of solution | Lens case | Lenses, both eyes'`))
	run(t, tab, tap("supply-lens"), tap("lens-kept"), tap("lens-eye-right"), tap("confirm"), see("spares", "Lenses, right eye"), becomes(lines("in-use")+`.includes('Lenses, both eyes')`))
	shot(t, tab, "supplies-spare")
	run(t, tab, tap("spare-start"), becomes(lines("in-use")+` === 'Bottle of solution | Lens case | Lenses, left eye | Lenses, right eye'`), chromedp.WaitNotPresent(sel("spares")), sent())
	run(t, tab, tap("supply-solution"), becomes(`document.querySelector('`+css("bottle-over")+`')?.checked`), filledIn("#s-days", "60"), tap("confirm"), becomes(lines("in-use")+` === 'Bottle of solution | Lens case | Lenses, left eye | Lenses, right eye'`), see("in-use", "since Tue 24 Mar"))
	shot(t, tab, "supplies-bottle")
	sound(t, tab)
}
