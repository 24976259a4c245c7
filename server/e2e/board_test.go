package e2e_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// cardOf is the card of a child on the board, by its place from the top.
func cardOf(place int) string {
	return fmt.Sprintf(`([...document.querySelectorAll('%s .child')][%d]?.innerText ?? '')`, css("board"), place-1)
}

// Two brothers: the first screen shows both with what is due, the one whose plan
// says 20:45 before the one of 21:30; one tap logs one of them and says whose it
// was, and no card moves under a finger. An emergency of the
// other brings him to the top, and on his brother's screen it is in sight too.
func TestBoardShowsEveryChild(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("board")),
		becomes(cardOf(1)+`.includes('Ruben') && `+cardOf(1)+`.includes('Lenses are in') && `+cardOf(2)+`.includes('Daniel') && `+cardOf(2)+`.includes('Lenses are in')`))
	shot(t, tab, "board-1")
	labels, err := ask[[]string](tab, `[...document.querySelectorAll('`+css("wear-in")+`')].map((b) => b.getAttribute('aria-label'))`)
	if want := []string{"Lenses are in: Ruben Achterberg", "Lenses are in: Daniel Achterberg"}; err != nil || !slices.Equal(labels, want) {
		t.Errorf("the buttons are called %q, %v; want %q", labels, err, want)
	}
	run(t, tab, tap("wear-in"), see("saved", "Ruben Achterberg"), becomes(`document.querySelector('`+css("undo")+`').getAttribute('aria-label') === 'Undo: Lenses in (Ruben Achterberg)'`),
		becomes(cardOf(1)+`.includes('Lenses in since') && `+cardOf(2)+`.includes('Lenses are in')`), sent())
	shot(t, tab, "board-2-one-in")
	run(t, tab, tap("undo"), see("saved", "Taken back"), becomes(cardOf(1)+`.includes('Lenses are in')`), tap("wear-in"), becomes(cardOf(1)+`.includes('Lenses in since')`), sent())

	open := func(place int) step {
		return awaited(fmt.Sprintf(`Promise.resolve([...document.querySelectorAll('%s')][%d].click()).then(() => true)`, css("open-child"), place-1))
	}
	run(t, tab, open(2), chromedp.WaitVisible(sel("now-in")), chromedp.WaitNotPresent(sel("other-due")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), tap("home"),
		becomes(cardOf(1)+`.includes('Daniel') && `+cardOf(1)+`.includes('No lenses') && `+cardOf(2)+`.includes('Ruben')`), sent())
	// Ruben's lenses are in: nothing of his is due, and nothing is said at the foot.
	run(t, tab, chromedp.WaitNotPresent(sel("other-due")))
	shot(t, tab, "board-3-no-lens")
	run(t, tab, open(2), seeIn("main", "Sleep well"), seeIn(".notice.alarm", "Daniel Achterberg: Lenses out now. Go to emergency eye care now."))
	shot(t, tab, "board-4-brother")
	run(t, tab, tap("open-report"), see("now-hold", "No lenses"))
	sound(t, tab)
}

// One tap on the board says nothing that can hardly be meant: lenses that went in 40
// minutes ago open the form with its question, and nothing is saved before it is answered.
func TestABoardsTapStopsAtADoubt(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	late := time.Date(2026, 3, 25, 3, 30, 0, 0, time.UTC)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("board")))
	a.clock.Set(late)
	at(t, tab, late)
	run(t, tab, atScreen("#/child"), chromedp.Reload(), chromedp.WaitVisible(sel("anytime")), tap("anytime"), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	soon := late.Add(40 * time.Minute)
	a.clock.Set(soon)
	at(t, tab, soon)
	run(t, tab, atScreen("#/"), chromedp.Reload(), chromedp.WaitVisible(sel("child-out")), tap("wear-out"), firm("doubt-soon", "Out again after 40 min?"), chromedp.WaitNotPresent(sel("saved")))
	shot(t, tab, "board-doubt")
	// Answered, it is saved, and the line of the morning says what was asked.
	run(t, tab, tap("sure"), becomes(`document.activeElement?.dataset.test === 'confirm'`), tap("eyes-fine"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent(), atScreen("#/night/2026-03-24"), see("logged", "Did the lenses move freely? Yes"), see("logged", "How do the eyes feel? Comfortable"))
	sound(t, tab)
}

// A chemical is named before what else was said, whichever was said last: it leads what
// is to be done.
func TestAChemicalIsNamedFirst(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wrong"), tap("now-chemical"), chromedp.WaitVisible(sel("advice")), sent(),
		tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent(), atScreen("#/child"), see("wear-why", "Very bad pain"),
		becomes(`document.querySelector('`+css("wear-why")+` li').innerText.includes('A chemical in the eye')`))
	sound(t, tab)
}

// Four children fit a narrow phone and a wide one: nothing is cut off at the side.
func TestBoardOfFour(t *testing.T) {
	t.Parallel()
	tr := startTour(t, "en")
	tr.more(longName, "Bo", "Çağla")
	run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/parent"), ready(), becomes(`document.querySelectorAll('`+css("board")+` .child').length === 4`))
	for _, px := range []int64{320, 390, 1280} {
		width(t, tr.tab, px, 844)
		shot(t, tr.tab, fmt.Sprintf("board-four-%d", px))
		if over, err := ask[int](tr.tab, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); err != nil || over > 0 {
			t.Errorf("at %d px the board is %d px too wide, %v", px, over, err)
		}
	}
	sound(t, tr.tab)
}

// On the board a form that opens in a child's card has a heading of its own, which
// has the focus and says what is being logged.
func TestAFormOnTheBoardIsNamed(t *testing.T) {
	t.Parallel()
	morning := bedtime.Add(10 * time.Hour)
	a := demoAt(t, morning)
	tab := phoneAt(t, morning)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("board")), tap("wear-out"), tap("look-fine"), tap("care-usual"), chromedp.WaitVisible(sel("confirm")),
		becomes(`document.activeElement.matches('.child h3') && document.activeElement.textContent === 'Cleaned and stored'`))
	shot(t, tab, "board-form")
	sound(t, tab)
}

// Of two children that may have no lens, the one of whom the clinic knows nothing yet
// stands above the one about whom it has decided; whom to phone stands with both, and
// with the decided one when: if it gets worse.
func TestTheBoardPutsWhatIsNewAboveWhatIsDecided(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent())
	closes(t, c, a, wearerID(t, c, a, "W-0012"), "infection")
	run(t, tab, chromedp.Reload(), see("advice", "Your clinic has decided"), tap("home"), becomes(cardOf(1)+`.includes('Daniel') && `+cardOf(1)+`.includes('If it gets worse, phone.')`),
		becomes(`["call-after", "place"].every(x => document.querySelector("[data-test=board] .child [data-test=" + x + "]"))`))
	shot(t, tab, "board-5-decided")
	run(t, tab, awaited(`Promise.resolve([...document.querySelectorAll('`+css("open-child")+`')][1].click()).then(() => true)`), tap("not-worn"), tap("reason-sore-eye"), tap("confirm"), chromedp.WaitVisible(sel("now-pain")), tap("home"),
		becomes(cardOf(1)+`.includes('Ruben') && `+cardOf(1)+`.includes('No lenses tonight') && `+cardOf(2)+`.includes('Daniel')`),
		becomes(`!!document.querySelector('[data-test=board] .child [data-test=call-after]')`), chromedp.Reload(), becomes(cardOf(1)+`.includes('Ruben') && `+cardOf(2)+`.includes('If it gets worse, phone.')`))
	shot(t, tab, "board-6-new-above-decided")
	sound(t, tab)
}

// Where an emergency fills the screen, the other child's due lens is one line at the foot
// of it, on the board, on the page of the child and on its advice; nothing stands above
// what the emergency says.
func TestADueLensIsInSightBesideAnEmergency(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	due := becomes(`(() => { const c = document.querySelector('.foot [data-test=other-due]'); return c?.textContent === 'Ruben Achterberg: Lenses are in?' && c.getBoundingClientRect().bottom <= innerHeight; })()`)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), due, toHash("/child"), see("now-hold", "No lenses"), due,
		tap("home"), chromedp.WaitVisible(sel("board")), due)
	shot(t, tab, "board-due-at-foot")
	run(t, tab, tap("other-due"), chromedp.WaitVisible(sel("now-in")), seeIn(".notice.alarm", "Daniel Achterberg: Lenses out now."), chromedp.WaitNotPresent(chromedp.CSS(".foot [data-test=other-due]")))
	sound(t, tab)
}

// A word that offers nothing goes after a while, and never lies over an emergency: there
// it is heard only.
func TestAWordThatOffersNothingGoes(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), see("saved", "Saved"), tap("undo"), see("saved", "Taken back"), tap("undo"), see("saved", "Brought back"), chromedp.WaitNotPresent(sel("saved")),
		tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), toHash("/night/2026-03-24"), tap("back-insertion"), see("saved", "Taken back"), tap("undo"), see("live", "Daniel Achterberg"), chromedp.WaitNotPresent(sel("saved")))
	sound(t, tab)
}

// An evening that falls far below the usual ones offers the eye check before it is saved,
// and what Progress says of the course waits for it: of Mira's evenings all are clear.
func TestAnEveningThatFellOffersTheCheck(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), toHash("/evening"), tap("rating-4"), chromedp.WaitVisible(sel("confirm")), chromedp.WaitNotPresent(sel("evening-fell")),
		tap("rating-1"), see("evening-fell", "Do the eye check now"))
	shot(t, tab, "evening-fell")
	// Saved without the check, it is offered on: on the first screen and under Progress, also
	// once the app was closed or the check was left, until it is done.
	run(t, tab, tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent(), see("sight-fell", "Very blurred"), chromedp.Reload(), see("sight-fell", "Very blurred"),
		// above the lens that is due
		becomes(`!!(document.querySelector('`+css("sight-fell")+`').compareDocumentPosition(document.querySelector('`+css("now-in")+`')) & Node.DOCUMENT_POSITION_FOLLOWING)`))
	shot(t, tab, "home-fell")
	run(t, tab, toHash("/progress"), see("sight-fell", "Very blurred"), becomes(`!document.querySelector('[data-test=outlook]')`))
	shot(t, tab, "progress-fell")
	run(t, tab, toHash("/"), tap("fell-check"), see("check-known", "Evening sight: Very blurred"), toHash("/"), tap("fell-check"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent(), toHash("/"), chromedp.WaitVisible(sel("now-hold")), chromedp.WaitNotPresent(sel("sight-fell")))
	sound(t, tab)
}

// Tap water on a case that is to be worn from tonight: the child's card on the board says
// that the lenses are not ready and what is to be done, with its button, and offers no
// lens. The soak of six hours after it is over long after the lenses are due.
func TestTheBoardSaysThatLensesAreNotReady(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), atScreen("#/night/2026-03-24"), tap("add-care"), tap("care-all"), tap("trouble-yes"), tap("tap_water"), tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent(),
		tap("home"), see("child-not-ready", "Not ready yet"), see("child-not-ready", "Tap water touched"), becomes(`[...document.querySelectorAll('`+css("board")+` .child')].find(c => c.innerText.includes('Daniel')).querySelector('`+css("wear-in")+`') === null`))
	shot(t, tab, "board-not-ready")
	run(t, tab, toHash("/child"), see("soaking", "Not ready yet"), chromedp.WaitVisible(sel("soak-care"))) // and on the child's own page
	shot(t, tab, "child-not-ready")
	run(t, tab, toHash("/"), chromedp.WaitVisible(sel("child-not-ready")))
	run(t, tab, tap("soak-care"), tap("care-all"), tap("trouble-no"), tap("confirm"), see("child-not-ready", "The lenses must soak until"), chromedp.WaitNotPresent(sel("soak-care")), sent())
	shot(t, tab, "board-soaking")
	sound(t, tab)
}
