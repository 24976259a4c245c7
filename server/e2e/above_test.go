package e2e_test

import (
	"context"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// shutOut revokes every device of every family and answers the number of the practice.
func shutOut(t *testing.T, a program) (number string) {
	t.Helper()
	err := a.DB.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		number = p.Contacts.Phone
		all, err := tx.Register().Families()
		if err != nil {
			return err
		}
		for _, f := range all {
			devices, err := tx.Register().Devices(f.ID)
			if err != nil {
				return err
			}
			for _, d := range devices {
				if err := tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Revoked = true }); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil || number == "" {
		t.Fatal(number, err)
	}
	return number
}

// inFirstScreen waits until what the selector finds stands wholly in the first screen,
// above the bar at the foot, and nothing was scrolled.
func inFirstScreen(selector string) step {
	return becomes(`(() => {
		const at = document.querySelector('` + selector + `')?.getBoundingClientRect();
		return scrollY === 0 && at?.height > 0 && at.top >= 0 && at.bottom <= document.querySelector('.foot').getBoundingClientRect().top;
	})()`)
}

// standsBelow waits until every one of the notices is there, after what the selector finds.
func standsBelow(selector string, notices ...string) step {
	steps := make([]step, len(notices))
	for i, n := range notices {
		steps[i] = becomes(`(() => {
			const [a, b] = [document.querySelector('` + selector + `'), document.querySelector('` + css(n) + `')];
			return !!a && !!b && !!(a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING);
		})()`)
	}
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		return chromedp.Steps(steps...)(ctx, tab)
	}
}

// On a screen of 4 inches the first order and the number of an emergency are in the
// first screen, of its advice and of the board: no notice stands above them, neither that
// the phone is shut out nor that its clock is wrong. A phone that is shut out promises to
// send nothing: it says to phone, and how what is on it is taken along.
func TestNothingStandsAboveAnEmergency(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := newBrowser(t)
	width(t, tab, 320, 568)
	at(t, tab, bedtime.Add(2*time.Hour))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), sent(), chromedp.WaitVisible(sel("wrong-clock")))
	shutOut(t, a)
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("signed-out")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")),
		standsBelow(css("call-emergency"), "signed-out", "wrong-clock"))
	shot(t, tab, "above-advice")
	run(t, tab, inFirstScreen(css("advice")+" h1"), inFirstScreen(css("call-emergency")),
		see("delivery", "This phone is shut out and cannot send this."), becomes(`!document.querySelector('main').innerText.includes('keeps trying')`))
	run(t, tab, tap("home"), chromedp.WaitVisible(sel("board")), standsBelow(css("call-emergency"), "signed-out", "wrong-clock"))
	shot(t, tab, "above-board")
	run(t, tab, inFirstScreen(css("board")+" .child strong"), inFirstScreen(css("call-emergency")))
	run(t, tab, atScreen("#/unsent"), see("unsent-state", "Tell the clinic by telephone"), see("unsent-state", "new invitation"), see("unsent-state", "save them as a file"),
		chromedp.WaitNotPresent(sel("try-now")), becomes(`!document.querySelector('`+css("unsent-state")+`').innerText.includes('Next try')`))
	sound(t, tab)
}

// Wherever a parent is, an emergency that another phone reported is named with its order,
// above what the clinic's news or a new phone say, and said to whoever does not see it
// (WCAG 2.2, 4.1.3): it is told from a child that may only have no lens.
func TestAnEmergencyElsewhereIsNamedWithItsOrder(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, other := phoneAt(t, bedtime), phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/devices"), ready(), chromedp.WaitVisible(sel("devices")),
		becomes(`(globalThis.heard = document.querySelector('`+css("emergencies")+`'))?.textContent === ''`))
	run(t, other, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent())
	run(t, tab, becomes(`heard.isConnected && /^(Daniel|Ruben) Achterberg: .*emergency/.test(heard.textContent)`),
		becomes(`document.querySelector('main .notice').matches('.alarm') && /Achterberg: .*emergency/.test(document.querySelector('main .notice').innerText)`))
	shot(t, tab, "above-elsewhere")
	sound(t, tab)
}
