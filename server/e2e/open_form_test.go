package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// heardNow makes a phone ask the server for news, two minutes on: of the plan it asks
// once a minute at most.
func heardNow() step {
	return awaited(`Promise.resolve((() => {
		const Now = Date;
		globalThis.Date = class extends Now {
			constructor(...a) { if (a.length) super(...a); else super(Now.now() + 120000); }
			static now() { return Now.now() + 120000; }
		};
		return dispatchEvent(new Event('online'));
	})())`)
}

// An insertion form is open while wear ends, the plan comes to be for one eye, or the
// child is paused as unwell on another phone: it turns, names why, and a lens that is in
// all the same is told to come out; "Sleep well" is said of none.
func TestAnOpenFormAsksWhatHoldsNow(t *testing.T) {
	t.Parallel()
	t.Run("end", func(t *testing.T) {
		t.Parallel()
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0002")
		base := len(getJSON[struct{ Plans []any }](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan").Plans)
		tab := phoneAt(t, bedtime)
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), chromedp.WaitVisible(sel("confirm")))
		post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/end", map[string]any{"stopped": "2026-03-24", "reason": "finished", "base": base})
		run(t, tab, heardNow(), see("wear-against", "No lens goes in from the night of Tue 24 Mar on"))
		shot(t, tab, "open-form-end")
		run(t, tab, tap("confirm"), see("saved", "Thank you for saying so"), see("now-out", "Take the lenses out"))
		shot(t, tab, "open-form-end-in")
		sound(t, tab)
	})
	t.Run("ill", func(t *testing.T) {
		t.Parallel()
		a := demoAt(t, bedtime)
		first, second := phoneAt(t, bedtime), phoneAt(t, bedtime)
		run(t, first, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), chromedp.WaitVisible(sel("confirm")))
		run(t, second, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), chromedp.WaitVisible(sel("wear-in")), atScreen("#/reminders"), tap("pause-ill"), tap("pause-save"), chromedp.WaitVisible(sel("pauses")), sent(), atScreen("#/child"), seeIn("main", "No lenses while you are unwell"))
		shot(t, second, "open-form-ill-home")
		run(t, first, heardNow(), see("wear-against", "No lenses while you are unwell"))
		shot(t, first, "open-form-ill")
		run(t, first, tap("confirm"), see("now-out", "Take the lenses out"), see("now-out", "No lenses while you are unwell"))
		shot(t, first, "open-form-ill-in")
		sound(t, first)
	})
	t.Run("plan", func(t *testing.T) {
		t.Parallel()
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0002")
		plans := getJSON[struct{ Plans []map[string]any }](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan").Plans
		tab := phoneAt(t, bedtime)
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), chromedp.WaitVisible(sel("confirm")))
		p := plans[len(plans)-1]
		p["eyes"], p["from"], p["base"] = "right", "2026-03-24", len(plans)
		for _, filled := range []string{"changed_by", "changed_at", "read_at", "version"} {
			delete(p, filled)
		}
		post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan", p)
		run(t, tab, heardNow(), see("wear-against", "Your plan has no lens for this eye now: left eye."))
		shot(t, tab, "open-form-plan")
		run(t, tab, tap("confirm"), see("now-out", "Left eye: Take the lens out"), see("now-out", "no lens for this eye now: left eye"))
		shot(t, tab, "open-form-plan-in")
		sound(t, tab)
	})
}
