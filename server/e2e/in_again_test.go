package e2e_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Lenses that come out soon after they went in are asked about, and those that
// go in again the same evening are in: home says since when, and in the morning asks
// for them to come out.
func TestLensesThatGoInAgainAreIn(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	later := func(by time.Duration) step {
		a.clock.Set(bedtime.Add(by))
		at(t, tab, bedtime.Add(by))
		return chromedp.Reload()
	}
	// Pages run on meanwhile: hence times ten minutes apart, of which the tens are read.
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), see("now-asleep", "21:2"))
	run(t, tab, later(20*time.Minute), tap("wear-out"), see("doubt-soon", "Out again after"), see("doubt-soon", "Eye not right?"), tap("sure"), tap("confirm"), chromedp.WaitVisible(sel("now-care")), chromedp.WaitNotPresent(sel("now-asleep")))
	run(t, tab, later(30*time.Minute), tap("wear-in"), see("doubt-after-out", "They came out at 21:4"), see("doubt-after-out", "In again?"), tap("sure"), tap("cleaned-unknown"), see("now-asleep", "21:5"), chromedp.WaitVisible(sel("wear-out")), sent())
	shot(t, tab, "in-again")
	run(t, tab, atScreen("#/night/2026-03-24"), seeIn("main", "Lenses in since 21:5"), atScreen("#/child"), see("night-2026-03-24", "not over yet"))
	run(t, tab, later(9*time.Hour+30*time.Minute), chromedp.WaitVisible(sel("now-out")), tap("wear-out"), seeIn("main", "Both lenses out at 06:5"), tap("confirm"), chromedp.WaitVisible(sel("now-look")), sent())
	sound(t, tab)
}

// A lens that may still be in the eye leads to the check at once; left unfinished, it
// stands as begun, and no lens is offered in either eye, as the help card says.
func TestALostLensMayBeInTheEye(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/supplies"), ready(), tap("supply-lens"), tap("lens-eye-both"), tap("lens-started"), tap("confirm"), chromedp.WaitVisible(sel("supply-lost-lens")), sent(), tap("supply-lost-lens"), tap("lost-right"), seeIn("main", "Is it certain that it is not in the eye?"))
	shot(t, tab, "lost-sure")
	run(t, tab, tap("lost-check"), see("step-now", "Lost"), sent(), tap("home"), see("board", "Daniel"),
		becomes(`![...document.querySelectorAll('[data-test=board] .child')].find((c) => c.innerText.includes('Daniel')).querySelector('[data-test=wear-in]')`))
	shot(t, tab, "lost-board")
	sound(t, tab)
}

// A lens that is logged as lost, with none in its place, is said on home and on the
// board, with what to do, and is a reason to call.
func TestALostLensIsSaid(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	called := func() bool {
		list := getJSON[struct {
			Calls struct {
				Calls []struct {
					Code    string
					Reasons []struct{ Rule string }
				}
			}
		}](t, clinician(t, a), a.URL()+"/api/clinic/today")
		for _, c := range list.Calls.Calls {
			for _, r := range c.Reasons {
				if c.Code == "W-0012" && r.Rule == "lens-lost" {
					return true
				}
			}
		}
		return false
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/supplies"), ready(), tap("supply-lens"), tap("lens-eye-both"), tap("lens-started"), tap("confirm"), chromedp.WaitVisible(sel("supply-lost-lens")), sent())
	if called() {
		t.Error("a lens in use is a reason to call")
	}
	run(t, tab, atScreen("#/child"), tap("anytime"), tap("to-supplies"), tap("supply-lost-lens"), becomes(`document.activeElement?.dataset.test === 'lost-right'`))
	shot(t, tab, "losing")
	run(t, tab, tap("lost-both"), becomes(`document.activeElement?.dataset.test === 'lost-sure'`), tap("lost-sure"), chromedp.WaitNotPresent(sel("supply-lost-lens")), sent(), atScreen("#/child"), see("lens-lost", "Both lenses are logged as lost"), see("lens-lost", "Phone the clinic"), chromedp.WaitVisible(sel("call-clinic")))
	run(t, tab, chromedp.WaitNotPresent(sel("now-in")), tap("anytime"), tap("evening"), tap("rating-4"), tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent(), atScreen("#/child"), see("now-lost", "No lens to wear"))
	shot(t, tab, "lens-lost")
	run(t, tab, atScreen("#/"), see("board", "Both lenses are logged as lost"))
	run(t, tab, chromedp.WaitVisible(sel("child-lost")))
	shot(t, tab, "lens-lost-board")
	// "Not worn" is one tap from there, with its reason to choose.
	run(t, tab, tap("not-worn"), tap("reason-lens-problem"), tap("confirm"), chromedp.WaitNotPresent(sel("child-lost")), sent())
	// A line of the log says what is meant, and that of what was lost is mended like any other.
	run(t, tab, atScreen("#/night/2026-03-24"), see("logged", "Supplies: Lenses, both eyes, Lost"), becomes(`document.querySelectorAll('`+css("logged")+` `+css("edit-supply")+`').length === 2`), tap("edit-supply"), seeIn("main h1", "Lenses, Lost"), tap("lens-eye-right"), tap("confirm"), see("logged", "Supplies: Lenses, right eye, Lost"), sent(),
		atScreen("#/child"), see("lens-lost", "The right lens is logged as lost"), see("lens-lost", "none in the other eye"), atScreen("#/night/2026-03-24"),
		tap("add-note"), becomes(`document.activeElement?.innerText === 'Note for the clinic'`))
	// What may hurt an eye stands alone.
	run(t, tab, atScreen("#/child"), chromedp.WaitVisible(sel("lens-lost")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), atScreen("#/child"), see("now-hold", "No lenses"), chromedp.WaitNotPresent(sel("lens-lost")))
	if !called() {
		t.Error("a lost lens is no reason to call")
	}
	sound(t, tab)
}
