package e2e_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// filledIn puts a value into a field of a form, as a picker of the browser does.
func filledIn(selector, value string) step {
	return awaited(`Promise.resolve((() => {
		const el = document.querySelector('` + selector + `');
		Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set.call(el, '` + value + `');
		return el.dispatchEvent(new Event('input', {bubbles: true}));
	})())`)
}

// atScreen goes to the address of a screen.
func atScreen(hash string) step {
	return awaited(`Promise.resolve(location.hash = '` + hash + `').then(() => true)`)
}

// lastBy is the last entry of a kind about a wearer that the server has for the
// night of bedtime.
func lastBy(t *testing.T, a program, code string, kind care.EntryKind) (last care.Entry) {
	t.Helper()
	err := a.DB.View(func(tx *store.Tx) error {
		night := civil.MustDate("2026-03-24")
		return tx.Register().AllWearers(func(w care.Wearer) bool {
			return w.Code != code || tx.Log().WearerEntries(w.ID, night, night, func(e care.Entry) bool {
				if e.Kind == kind {
					last = e
				}
				return true
			}) == nil
		})
	})
	if err != nil || last.ID == "" {
		t.Fatalf("the server has no %s about %s, %v", kind, code, err)
	}
	return last
}

// A parent who does this for the first time: the code as the letter has it, the
// consent, the first run, the plan, no nights from before it, the steps to look
// at, the first night, and the first morning, on which nothing about the eyes is
// answered until she answers. In the evening her child points at a picture.
func TestAFirstTimeParent(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		inv := newcomersFrom(t, a, clinician(t, a), "2026-03-24", -2.5)()
		w := phoneIn(t, e, bedtime)
		nights := `document.querySelectorAll('.fortnight li').length`
		w.goTo(a.URL() + "/join")
		w.visible(css("join"))
		w.write(css("join-code"), strings.ToLower(inv.Code))
		w.tap("join")
		w.seeIn("#consent-fault", "Please read and agree first")
		w.until(`document.activeElement.id === 'consent' && document.activeElement.getAttribute('aria-describedby') === 'consent-fault' && document.querySelector('main').innerText.split('Please read and agree first').length === 2`)
		w.tap("join-agree")
		if e.lacks[pressing] == "" {
			w.do(`document.querySelector('` + css("join-code") + `').focus()`)
			w.must(w.keys("\ue007"), "pressing Enter")
		} else {
			w.tap("join")
		}
		w.visible(css("first-1"))
		w.tap("first-skip", "first-skip")
		w.visible(css("first-3"))
		w.tap("first-next")
		w.visible(css("now-in"))
		w.seeIn("main", "Lenses in about")
		w.tap("plan-read")
		w.gone(css("plan-read"))
		w.visible(css("night-2026-03-24"))
		w.until(nights + ` === 1`) // the plan's first night alone
		w.shot("first-time-1-home")
		w.tap("guide")
		w.see("guide-hands", "Wash and dry your hands")
		for range 8 {
			w.tap("guide-next")
		}
		w.see("guide-expect", "after the first night")
		w.seeIn("main", "Lenses in about")
		w.tap("guide-done")
		w.visible(css("now-in"))
		w.tap("wear-in", "confirm")
		w.seeIn("main", "Sleep well")
		w.see("night-2026-03-24", "not over yet")
		w.sent()

		morning := bedtime.Add(9*time.Hour + 40*time.Minute)
		a.clock.Set(morning)
		w.at(morning)
		w.again()
		w.tap("wear-out")
		w.visible(css("confirm"))
		w.gone(`[data-test=panel] [aria-pressed="true"]`)
		w.tap("confirm")
		w.visible(css("now-look"))
		w.see("night-2026-03-24", "worn")
		w.sent()
		w.shot("first-time-2-look")
		w.tap("look-not")
		w.see("panel", "How red is the white")
		w.gone(`[data-test^=redness-][aria-pressed="true"], [data-test^=comfort-][aria-pressed="true"]`)
		w.tap("cancel", "look-fine")
		w.visible(css("now-care"))
		w.sent()
		if got := string(lastBy(t, a, "W-9100", care.Morning).Body); !strings.Contains(got, `"moved":"freely"`) {
			t.Errorf("the morning is %s", got)
		}
		w.tap("care-usual", "care-all", "trouble-no", "confirm")
		w.gone(css("confirm"))
		w.sent()

		evening := bedtime.Add(21*time.Hour + 45*time.Minute) // 19:05 of the next day
		a.clock.Set(evening)
		w.at(evening)
		w.again()
		w.tap("evening")
		w.visible(css("rating-1"))
		w.gone(`.scene[aria-pressed="true"]`)
		w.tap("rating-3", "confirm")
		w.savedAndSent()
		w.until(nights + ` === 2`)
		w.tap("progress")
		w.see("jetty", "Full nights since you began: 1")
		w.shot("first-time-3-progress")
		// What the log is too short for says what is there and what it wants more of.
		w.see("outlook", "More nights and evening ratings make it clearer.")
		w.see("outlook", "So far: 1 of the last 1 night and 1 evening.")
		w.sound()
	})
}

// The five pictures are asked with as the second scale, and the answer says so.
func TestAnEveningSaysItsScale(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/evening"), ready(), tap("rating-2"), becomes(`!!document.querySelector('.scene[aria-pressed="true"] feGaussianBlur')`), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	var said struct{ Rating, Scale int }
	if err := json.Unmarshal(lastBy(t, a, "W-0012", care.EveningSight).Body, &said); err != nil || said.Rating != 2 || said.Scale != 2 {
		t.Errorf("the server has %+v, %v; want rating 2 of scale 2", said, err)
	}
	sound(t, tab)
}

// Sight is rated a second time in one evening, an hour and a half later: nothing of
// the first answer is filled in, the hours since the lenses came out are those of
// now, and the screen says what the new answer takes the place of. Progress counts
// tonight. Mending the line is something else: there everything is as it was said.
func TestASecondRatingIsOfNow(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	const hours = `Number(document.querySelector('#hours').value)`
	// The log is here before the form asks it for the hours.
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), atScreen("#/night/2026-03-23"), chromedp.WaitVisible(sel("edit-removal")), atScreen("#/evening"), tap("rating-2"), tap("evening-more"), tap("spectacles-yes"))
	first, err := ask[float64](tab, hours)
	if err != nil || first <= 0 {
		t.Fatalf("hours since the lenses came out: %v, %v", first, err)
	}
	run(t, tab, tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	later := bedtime.Add(90 * time.Minute)
	a.clock.Set(later)
	at(t, tab, later)
	run(t, tab, chromedp.Reload(), atScreen("#/evening"), see("evening-again", "(21:20): Blurred"), chromedp.WaitNotPresent(chromedp.CSS(`.scene[aria-pressed="true"]`)), tap("rating-3"), tap("evening-more"), chromedp.WaitNotPresent(chromedp.CSS(css("spectacles-yes")+`[aria-pressed="true"]`)))
	if second, err := ask[float64](tab, hours); err != nil || second != first+1.5 {
		t.Errorf("an hour and a half after %v hours the form says %v, %v", first, second, err)
	}
	shot(t, tab, "evening-again")
	run(t, tab, tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	if said := lastBy(t, a, "W-0002", care.EveningSight); len(said.Supersedes) != 1 {
		t.Errorf("the second answer takes the place of %v, want that of the first", said.Supersedes)
	}
	run(t, tab, atScreen("#/progress"), becomes(`!!document.querySelector('.sight-chart')?.getAttribute('aria-label').endsWith('The last: A bit blurred.')`),
		atScreen("#/night/2026-03-24"), tap("edit-evening-sight"), chromedp.WaitNotPresent(sel("evening-again")), becomes(`document.querySelector('[data-test=rating-3]')?.getAttribute('aria-pressed') === 'true'`))
	sound(t, tab)
}

// Hours that cannot be, in a fold that somebody closed again: saving opens the fold
// and leads to the field, which says what is accepted; nothing is saved.
func TestAFaultInAFoldOpensIt(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	fold := func(open bool) step {
		return becomes(fmt.Sprintf(`document.querySelector('main details').open === %v`, open))
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen#/evening"), ready(), tap("rating-2"), tap("evening-more"), fold(true), filledIn(css("hours"), "-3"), tap("evening-more"), fold(false), tap("confirm"), fold(true),
		becomes(`document.activeElement.matches('`+css("hours")+`[aria-invalid="true"]') && document.getElementById(document.activeElement.getAttribute('aria-describedby')).innerText === 'Between 0 and 24 hours.'`), chromedp.WaitNotPresent(sel("saved")))
	sound(t, tab)
}

// A slip of one's own is mended in place: no conflict with oneself, the earlier
// form in the history, taken back and brought back by a tap. What another parent
// says otherwise is kept beside it until one of them taps which is right.
func TestASlipIsMendedInPlace(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	tab := phoneAt(t, bedtime)
	const night = "#/night/2026-03-24"
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent(),
		// Saved as it was opened, nothing is corrected.
		atScreen(night), see("logged", "Lenses in 21:20"), tap("edit-insertion"), tap("confirm"), see("logged", "Lenses in 21:20"), chromedp.WaitNotPresent(sel("earlier")), tap("edit-insertion"), tap("line-at"), filledIn("#u-at", "20:50"), seeIn("main", "Both lenses in at 20:50"), tap("confirm"), see("logged", "Lenses in 20:50"), chromedp.WaitNotPresent(sel("differ")))
	run(t, tab, tap("earlier"), seeIn("main", "Lenses in 21:20"))
	shot(t, tab, "mend-1-edited")
	run(t, tab, tap("back-insertion"), see("saved", "Taken back"), becomes(`!document.querySelector('`+css("logged")+`')?.innerText.includes('Lenses in')`),
		tap("undo"), see("saved", "Brought back"), see("logged", "Lenses in 20:50"), sent())

	const family = "/api/clinic/families/family-Achterberg"
	added := decoded[struct{ People []struct{ ID, Name string } }](t, post(t, c, a.URL()+family+"/people", map[string]string{"name": "Otto Achterberg", "role": "parent", "phone": ""}))
	id := added.People[len(added.People)-1].ID
	for _, p := range added.People {
		if p.Name == "Otto Achterberg" {
			id = p.ID
		}
	}
	other := phoneAt(t, bedtime)
	run(t, other, chromedp.Navigate(decoded[invited](t, post(t, c, a.URL()+family+"/invitations", map[string]string{"person": id})).URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")),
		atScreen(night), tap("edit-insertion"), chromedp.WaitVisible(sel("edit-other")), tap("line-at"), filledIn("#u-at", "21:05"), tap("confirm"), chromedp.WaitVisible(sel("differ")), sent())
	shot(t, other, "mend-2-differ")
	run(t, tab, chromedp.Reload(), see("differ", "20:50"), see("differ", "21:05"), see("differ", "Otto Achterberg"))
	shot(t, tab, "mend-3-settle")
	names, err := ask[[]string](tab, `[...document.querySelectorAll('[data-test^=settle-insertion]')].map((b) => b.getAttribute('aria-label'))`)
	seen := map[string]bool{}
	for _, name := range names {
		seen[name] = true
		if !strings.Contains(name, "Lenses in, both eyes, Daniel Achterberg") {
			t.Errorf("a button that settles says neither the eyes nor the child: %q", name)
		}
	}
	if err != nil || len(names) != 2 || len(seen) != 2 {
		t.Errorf("two buttons settle both eyes at once, each with a name of its own: %q, %v", names, err)
	}
	run(t, tab, awaited(`Promise.resolve([...document.querySelectorAll('[data-test^=settle-insertion]')].find(b => b.innerText.includes('21:05')).click()).then(() => true)`), see("saved", "Settled"))
	run(t, tab, chromedp.WaitNotPresent(sel("differ")), see("logged", "Lenses in 21:05"))
	sound(t, tab)
	sound(t, other)
}

// What was logged of the wrong child is moved by the form's own button, after the
// questions of the night that it goes to; where that night has its own word, the field
// says so. What waits on the phone names whose it is, in each list and each button.
func TestAnEntryIsAskedAboutWhereItGoes(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	const night = "#/night/2026-03-24"
	child := func(name string) step {
		return awaited(`Promise.resolve([...document.querySelectorAll('[data-test^=edit-child-]')].find(b => b.innerText.includes('` + name + `')).click()).then(() => true)`)
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent(),
		atScreen(night), tap("edit-insertion"), tap("edit-elsewhere"), child("Ruben"), filledIn("#edit-night", "2026-03-23"), tap("confirm"), becomes(`document.activeElement.id === 'edit-night' && document.getElementById('edit-night-fault').innerText.includes('Monday 23 March')`))
	shot(t, tab, "moved-1-taken")
	run(t, tab, filledIn("#edit-night", "2026-03-24"), chromedp.WaitNotPresent(chromedp.CSS("#edit-night-fault")), tap("line-at"), filledIn("#u-at", "21:40"), firm("doubt-future", "21:40 has not come yet"), filledIn("#u-at", "21:10"),
		awaited(`Promise.resolve(globalThis.fetch = () => Promise.reject(new TypeError('no network'))).then(() => true)`),
		tap("confirm"), see("saved", "Moved"), see("wearer", "Ruben"), see("logged", "Lenses in 21:10"), tap("unsent"), see("unsent-list", "Ruben Achterberg: Lenses in, Tue 24 Mar"), see("unsent-list", "Daniel Achterberg: "))
	shot(t, tab, "moved-2-unsent")
	run(t, tab, becomes(`[...document.querySelectorAll('`+css("unsent-list")+` button')].some((b) => b.getAttribute('aria-label') === 'Take back: Lenses in, Tue 24 Mar, Ruben Achterberg')`))
	sound(t, tab)
}

// What is in use now, since when; what was lost is out of use, and the server
// knows why.
func TestALostCaseIsOutOfUse(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/supplies"), ready(), see("in-use", "Lens case"), see("in-use", "since"))
	shot(t, tab, "supplies-in-use")
	run(t, tab, tap("supply-lost-case"), becomes(`!document.querySelector('`+css("in-use")+`').innerText.includes('Lens case')`), sent())
	var said struct{ Item, Action, Why string }
	if err := json.Unmarshal(lastBy(t, a, "W-0012", care.Supply).Body, &said); err != nil || said.Item != "case" || said.Action != "discarded" || said.Why != "lost" {
		t.Errorf("the server has %+v, %v", said, err)
	}
	run(t, tab, tap("undo"), see("in-use", "Lens case"))
	sound(t, tab)
}

// Without a server the steps of the first fortnight and the list of what was taught
// are there, also after the app was closed.
func TestTheFirstFortnightNeedsNoServer(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, _ := settled(t, a)
	run(t, tab, becomes(`!!navigator.serviceWorker.controller`))
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.Reload(), ready(), toHash("/guide"), see("guide-hands", "Wash and dry your hands"))
	for _, step := range []string{"which", "in", "comfort", "out", "drops", "care", "dry"} {
		run(t, tab, tap("guide-next"), chromedp.WaitVisible(chromedp.CSS(css("guide-"+step)+" .figure svg")))
	}
	run(t, tab, tap("guide-next"), see("guide-expect", "after the first night"), see("guide-expect", "In the first week"), see("guide-expect", "7 to 14 nights"), see("guide-expect", "Lenses in about 21:30"),
		toHash("/taught"), seeIn("main", "Wash and dry"))
	shot(t, tab, "fortnight-offline")
	sound(t, tab)
}

// Two tabs of one phone rate the same evening, the one after the other: the later
// answer stands, the earlier is in the history, and nobody is said to differ.
func TestTwoTabsRateOneEvening(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, _ := settled(t, a)
	other := secondTab(t, tab)
	run(t, other, chromedp.Navigate(a.URL()+"/#/evening"), chromedp.WaitVisible(sel("rating-1")))
	run(t, tab, toHash("/evening"), tap("rating-2"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	run(t, other, tap("rating-4"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	for _, tab := range []context.Context{tab, other} {
		run(t, tab, toHash("/child"), chromedp.Reload(), ready(), seeIn(css("logged"), "Nearly clear"), becomes(`!document.querySelector('.fortnight')?.innerText.includes('≠') && !document.querySelector('[data-test=differ]')`))
	}
	sound(t, tab)
}

// Two tabs of one phone log the cleaning of the same night, the second without the
// rubbing: the later stands, the earlier is in the history, nobody is said to
// differ.
func TestTwoTabsCleanOneCase(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, _ := settled(t, a)
	other := secondTab(t, tab)
	const night = "/night/2026-03-24"
	run(t, other, chromedp.Navigate(a.URL()+"/#"+night), tap("add-care"), chromedp.WaitVisible(sel("confirm")))
	run(t, tab, toHash(night), tap("add-care"), tap("care-all"), tap("trouble-no"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	run(t, other, tap("care-all"), tap("rub"), tap("trouble-no"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	for _, tab := range []context.Context{tab, other} {
		run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("edit-care")), becomes(`document.querySelectorAll('`+css("edit-care")+`').length === 1 && !document.querySelector('`+css("logged")+`').innerText.includes('Each lens rubbed')`),
			tap("earlier"), becomes(`document.querySelector('details[open]').innerText.includes('Lens care')`), chromedp.WaitNotPresent(sel("differ")))
	}
	shot(t, tab, "two-tabs-care")
	sound(t, tab)
	sound(t, other)
}

// On the lowest phone both edges of the box that a card is held against are in
// view at once, at the size that a card has there: on a screen of 4 inches 320 px
// are 50 mm, so the short edge of 53.98 mm (ISO/IEC 7810) is 346 px and the long
// one 548. What sets the size is in view at once, and stays so beside the box.
// Where the box happens to start is asked about again.
func TestTheCardFitsALowScreen(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := newBrowser(t)
	width(t, tab, 320, 568)
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/acuity"), ready(), becomes(`document.querySelector('`+css("card-done")+`')?.getBoundingClientRect().bottom <= document.querySelector('.foot').getBoundingClientRect().top`), tap("card-done"), see("card-asked", "You have not moved the box"), chromedp.WaitVisible(sel("card-sure")),
		becomes(`document.querySelector('`+css("card-asked")+`').getBoundingClientRect().top >= document.querySelector('`+css("card-tools")+`').getBoundingClientRect().bottom`))
	const inView = `(() => {
		const r = document.querySelector('.bank-card').getBoundingClientRect(), tools = document.querySelector('[data-test=card-tools]').getBoundingClientRect();
		return tools.top >= 0 && r.top >= tools.bottom - 1 && r.bottom <= document.querySelector('.foot').getBoundingClientRect().top + 1 && Math.round(r.height);
	})()`
	run(t, tab, filledIn(css("card-size"), "450"), chromedp.WaitNotPresent(sel("card-asked")), chromedp.WaitVisible(sel("card-done")), becomes(inView+` === 284`),
		filledIn(css("card-size"), "548"), becomes(inView+` === 346`), becomes(`document.querySelector('`+css("card-size")+`').getAttribute('aria-valuetext') === '548 dots of the screen'`))
	shot(t, tab, "card-low")
	// the slider is drawn by the app, as high as a finger needs it (44 px: WCAG 2.5.5)
	run(t, tab, becomes(`(x => getComputedStyle(x).appearance === 'none' && x.getBoundingClientRect().height >= 44)(document.querySelector('`+css("card-size")+`'))`))
	run(t, tab, tap("card-done"), chromedp.WaitVisible(sel("by-feet")))
	sound(t, tab)
}

// A kind of reminder is turned off and stays off; what keeps a lens from being
// forgotten in an eye is not among those that can be.
func TestAReminderCanBeTurnedOff(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/reminders"), ready(), tap("remind-case"), seeIn("main", "Saved."), chromedp.Reload(), chromedp.WaitVisible(sel("remind-case")),
		becomes(`!document.querySelector('`+css("remind-case")+`').checked && document.querySelector('`+css("remind-bottle")+`').checked && !document.querySelector('`+css("remind-removal")+`')`))
	shot(t, tab, "reminders-off")
	sound(t, tab)
}
