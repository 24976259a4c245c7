package e2e_test

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A form that is saved without an answer it needs says so at the question, once,
// and leads to its first answer (WCAG 2.2, 3.3.1): the night that was not worn, and
// something new that is not named.
func TestAMissingAnswerIsAskedWhereItIs(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	asked := func(words, first string) step {
		return becomes(`(() => {
			const legend = document.querySelector('main fieldset:has(.entry-fault) legend');
			return !!legend && legend.innerText.includes('` + words + `') && document.querySelector('main').innerText.split('` + words + `').length === 2 && document.activeElement.dataset.test === '` + first + `';
		})()`)
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("not-worn"), tap("confirm"), asked("Please choose a reason.", "reason-forgot"))
	shot(t, tab, "missing-answer")
	run(t, tab, tap("reason-tired"), chromedp.WaitNotPresent(chromedp.CSS("main .entry-fault")), tap("cancel"),
		toHash("/supplies"), tap("confirm"), asked("Please choose what is new.", "supply-case"), tap("supply-case"), chromedp.WaitNotPresent(chromedp.CSS("main .entry-fault")))
	sound(t, tab)
}

// firm is a doubt that cannot be saved over: its mark, what it says, and the
// button for saving cannot be pressed.
func firm(mark, says string) step {
	return chromedp.Steps(see(mark, says), chromedp.WaitVisible(chromedp.CSS(css("confirm")+":disabled")))
}

// What can hardly be meant is asked about at its field, with what probably was: an
// insertion later than now, one by day, a removal that would be before it or later than now, a
// bottle begun in 2099 or a year ago, a day below one. Nothing is written ahead of
// time: at 06:44 of a plan that says 06:45 the lenses come out at 06:44. A night
// that was not logged proposes the plan's time, and that they are still in.
func TestWhatCanHardlyBeMeantIsAsked(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("line-at"), filledIn("#u-at", "23:30"), firm("doubt-future", "23:30 has not come yet"), see("doubt-future", "Monday 23 March already has an entry"), see("meant", "Now, 21:20"))
	shot(t, tab, "asked-1-future")
	run(t, tab, filledIn("#u-at", "14:00"), see("doubt-by-day", "Lenses in at 14:00, by day?"), chromedp.WaitNotPresent(sel("meant")), filledIn("#u-at", ""), chromedp.WaitNotPresent(sel("meant")), tap("confirm"), seeIn("#u-at-fault", "Please give a time."), becomes(`document.activeElement.id === 'u-at'`), filledIn("#u-at", "21:15"), chromedp.WaitNotPresent(sel("meant")), tap("confirm"), chromedp.WaitVisible(sel("saved")))
	run(t, tab, tap("wear-out"), tap("line-at"), filledIn("#u-at", "21:10"), firm("doubt-future", "21:10 has not come yet"), filledIn("#u-at", "22:30"), firm("doubt-future", "22:30 has not come yet"), tap("cancel"))

	run(t, tab, atScreen("#/supplies"), tap("supply-solution"), filledIn("#s-on", "2099-01-01"), firm("doubt-future", "2099"), tap("meant"), becomes(`document.querySelector('#s-on').value === '2026-01-01'`),
		filledIn("#s-on", "2025-03-20"), see("doubt-old", "so long ago?"), filledIn("#s-on", "2026-03-20"), filledIn("#s-days", "-3"), firm("doubt-days", "Between 1 and 730"))
	shot(t, tab, "asked-2-days")

	early := bedtime.Add(9*time.Hour + 24*time.Minute) // 06:44
	a.clock.Set(early)
	at(t, tab, early)
	run(t, tab, atScreen("#/child"), chromedp.Reload(), tap("wear-out"), seeIn("main", "Both lenses out at 06:44"), tap("confirm"), chromedp.WaitVisible(sel("now-look")), sent())
	sound(t, tab)

	b := demoAt(t, bedtime)
	other := phoneAt(t, bedtime)
	inv := newcomers(t, b, clinician(t, b))()
	run(t, other, chromedp.Navigate(inv.URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")), tap("first-skip"), tap("first-skip"), chromedp.WaitVisible(sel("first-3")), tap("first-next"),
		tap("wear-in"), tap("line-at"), filledIn("#u-at", "23:30"), see("meant", "Mon 23 Mar, 23:30?"), filledIn("#u-at", "14:00"), see("meant", "still in"), tap("cancel"))
	late := bedtime.Add(11 * time.Hour) // 08:20 of the morning after, nothing logged
	b.clock.Set(late)
	at(t, other, late)
	run(t, other, atScreen("#/"), chromedp.Reload(), tap("missed-usual"), seeIn("main", "Both lenses in at 21:00"), seeIn("main", "Both lenses out at 07:00"), tap("cancel"), tap("anytime"), becomes(`[...document.querySelectorAll('[data-test=wear-in]')].some((b) => b.offsetParent && (b.click(), true))`), tap("line-at"), see("doubt-by-day", "Lenses in at 08:20"), see("meant", "Tue 24 Mar, 21:00"),
		becomes(`document.querySelector('#u-at').getAttribute('aria-invalid') === 'true' && document.getElementById(document.querySelector('#u-at').getAttribute('aria-describedby')).innerText.includes('by day')`), tap("cancel"), tap("still-in"), becomes(`document.querySelector('[data-test=still]').checked && !document.querySelector('main').innerText.includes('Both lenses out')`), tap("confirm"), chromedp.WaitVisible(sel("wear-out")), sent())
	sound(t, other)
	// What the plan proposed and nobody changed says so; a time of one's own does not.
	if own, filled := plansTimes(t, a), plansTimes(t, b); len(own) != 0 || len(filled) != 1 || filled[0] != `insertion {"at":"21:00","planned":true,"eyes":"both"}` {
		t.Errorf("times of the plan: %v, want none; %v, want the insertion of the night that was filled in", own, filled)
	}
}

// plansTimes are the entries of a program that say that their time is the plan's.
func plansTimes(t *testing.T, a program) (out []string) {
	t.Helper()
	err := a.DB.View(func(tx *store.Tx) error {
		return tx.Log().EachEntry(func(_ care.FamilyID, e *care.Entry) error {
			if strings.Contains(string(e.Body), `"planned"`) {
				out = append(out, string(e.Kind)+" "+string(e.Body))
			}
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The words agree: what is not logged is counted in one way on the whole screen of
// progress, which says what is missing; under a stop home says no lens and progress
// promises no clear sight with lenses. A report is answered again with what was
// said filled in, and taking it back says that the clinic was told and that it
// releases nothing.
func TestProgressAndHomeAgree(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	inv := newcomers(t, a, clinician(t, a))()
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(inv.URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")), atScreen("#/progress"), seeIn("main", "What to expect"), seeIn("main", "In studies 50 to 67 %"))

	parent := phoneAt(t, bedtime)
	run(t, parent, chromedp.Navigate(a.URL()+"/demo/parent#/progress"), ready(), chromedp.WaitVisible(sel("outlook")), seeIn("main", "What to expect"))
	agree, err := ask[string](parent, `(() => {
		const text = document.querySelector('main').innerText;
		const [, worn, of] = text.match(/(\d+) of (\d+)/), [, planned, unknown] = text.match(/Of the last (\d+) nights planned; (\d+) not logged/);
		if (of !== planned) return 'the figure counts ' + of + ' nights, the line below it ' + planned;
		return Number(worn) + Number(unknown) <= Number(of) ? '' : 'worn and not logged are more than planned';
	})()`)
	if err != nil || agree != "" {
		t.Errorf("%s %v", agree, err)
	}
	run(t, parent, tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-persists"), tap("answer-gritty-no"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), sent(),
		atScreen("#/child"), see("now-hold", "No lens"), atScreen("#/progress"), becomes(`!document.querySelector('`+css("outlook")+`')`), seeIn("main", "After a missed night sight fades"))
	shot(t, parent, "agree-stop")
	run(t, parent, atScreen("#/night/2026-03-24"), tap("edit-symptoms"), tap("check-go-on"), becomes(`document.querySelector('[data-test=answer-injury-no]')?.getAttribute('aria-pressed') === 'true'`), atScreen("#/night/2026-03-24"), tap("back-symptoms"), see("saved", "The clinic has the report"))
	run(t, parent, atScreen("#/child"), see("now-hold", "No lens"))
	sound(t, tab)
	sound(t, parent)

	// Nothing of the night is open at 15:00, and what is due besides is not called done.
	quiet := bedtime.Add(-5 * time.Hour)
	c := demoAt(t, quiet)
	teen := phoneAt(t, quiet)
	run(t, teen, chromedp.Navigate(c.URL()+"/demo/teen"), ready(), see("now-rest", "Something is still due"), see("now-rest", "Deposit removal"), see("soon", "Deposit removal"))
	shot(t, teen, "agree-due")
	// What is due has its button beside it: one tap does it, and the list is done with it.
	run(t, teen, tap("due-deposit-removal"), see("now-rest", "All done for now"), chromedp.WaitNotPresent(sel("due-deposit-removal")), see("logged", "Deposit removal done"), sent(), atScreen("#/night/2026-03-23"), see("logged", "Deposit removal done"))
	run(t, teen, atScreen("#/progress"), see("outlook", "Far sight should stay clear"), see("traffic", "do not drive, ride or cycle"))
	sound(t, teen)
}

// On the evening after illness was said, somebody is asked whether it is over before
// a lens is logged; "no" leaves the night without lenses.
func TestIllnessIsAskedAboutTheEveningAfter(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("not-worn"), tap("reason-ill"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	next := bedtime.Add(24 * time.Hour)
	a.clock.Set(next)
	at(t, teen, next)
	run(t, teen, chromedp.Reload(), tap("wear-in"), firm("well-again", "Is it over?"))
	shot(t, teen, "well-again")
	run(t, teen, tap("well-no"), chromedp.WaitNotPresent(sel("wear-in")), see("night-2026-03-25", "not worn"), sent())
	sound(t, teen)
}

// While lenses are logged as in, an emergency leads the child's home and the board:
// no lens, which eye and why, whom to phone; "Lenses are out" is asked about, on the
// board too. "White and comfortable" is asked about while a report stops lenses.
func TestAnEmergencyLeadsWhileLensesAreIn(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, _ := settled(t, a)
	run(t, tab, tap("wear-in"), tap("confirm"), seeIn("main", "Sleep well"), sent(),
		tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-in"), tap("answer-pain-persists"), tap("answer-gritty-no"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), sent())
	run(t, tab, atScreen("#/child"), see("now-out", "No lens"), see("now-out", "right eye"), becomes(`document.querySelector('[data-test=now-out]').classList.contains('held') && !document.querySelector('[data-test=now-out] .btn.main[data-test=wear-out]')`))
	shot(t, tab, "emergency-in-home")
	run(t, tab, atScreen("#/"), becomes(`!!document.querySelector('[data-test=board] .no a.call[href^="tel:"]')`), seeIn("[data-test=board] .no", "right eye"))
	shot(t, tab, "emergency-in-board")
	run(t, tab, tap("wear-out"), chromedp.WaitVisible(sel("confirm")), chromedp.WaitNotPresent(sel("saved")), tap("eyes-fine"), see("fine-stopped", "lifts nothing"), chromedp.WaitVisible(chromedp.CSS(css("confirm")+":disabled")), tap("fine-sure"), tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent())
	sound(t, tab)
}
