package e2e_test

import (
	"context"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A very sore morning leads to the eye check; left unfinished it stands by itself:
// the phone offers no lens in the evening, and the clinic's queue has it with what
// was logged.
func TestAVerySoreMorningIsHeard(t *testing.T) {
	t.Parallel()
	morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	a.clock.Set(morning)
	at(t, tab, morning)
	offline(t, tab, true)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("eyes-not"), tap("comfort-0"), tap("confirm"), chromedp.WaitVisible(sel("step-now")),
		tap("home"), tap("open-child"), chromedp.WaitVisible(sel("wear-why")), see("now-pass", "No lens"), chromedp.WaitNotPresent(sel("now-rest")), chromedp.WaitVisible(sel("unsent")))
	offline(t, tab, false)
	run(t, tab, chromedp.Reload(), see("now-pass", "No lens"), sent())
	shot(t, tab, "heard-1-sore")
	evening := bedtime.AddDate(0, 0, 1)
	a.clock.Set(evening)
	at(t, tab, evening)
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("wear-why")), chromedp.WaitNotPresent(sel("now-in")))
	// The next day the fortnight shows the night as one on which no lens was allowed, not as a missed one.
	next := bedtime.AddDate(0, 0, 2)
	a.clock.Set(next)
	at(t, tab, next)
	run(t, tab, chromedp.Reload(), see("night-2026-03-25", "no lens allowed"), see("night-2026-03-24", "worn"))
	shot(t, tab, "heard-3-fortnight")
	desk := desktop(t, newBrowser(t))
	at(t, desk, next)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")), see("logged", "comfort 0 of 4"), see("told", "Speak to the clinic on the next working day. The eye was sore this morning."))
	shot(t, desk, "heard-2-queue")
	sound(t, tab)
}

// A finding waits for no second answer: very sore, said the evening after with the time
// of removal still wanted, is saved by the one tap, rests the eyes and reaches the clinic;
// when the lens came out is still asked.
func TestAFindingWaitsForNoTime(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	evening := bedtime.AddDate(0, 0, 1)
	a.clock.Set(evening)
	at(t, tab, evening)
	run(t, tab, chromedp.Reload(), tap("wear-out"), chromedp.WaitVisible(sel("out-morning")), tap("eyes-not"), tap("comfort-0"), tap("confirm"), chromedp.WaitVisible(sel("step-now")),
		tap("home"), tap("open-child"), chromedp.WaitVisible(sel("wear-why")), see("wear-why", "The eye was sore this morning"), sent(), chromedp.WaitVisible(sel("wear-out")))
	shot(t, tab, "heard-8-untimed")
	desk := desktop(t, newBrowser(t))
	at(t, desk, evening)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")), see("logged", "comfort 0 of 4"))
	sound(t, tab)
}

// "Not worn: sore eye" leads to the check and rests the eye, also at the clinic, until
// a check about it was done; one without a sign then ends it.
func TestNotWornForASoreEyeLeadsToTheCheck(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002")
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("not-worn"), tap("reason-sore-eye"), tap("confirm"), chromedp.WaitVisible(sel("step-now")),
		tap("home"), see("now-pass", "No lens"), sent())
	shot(t, tab, "heard-4-sore-eye")
	if s := standing(t, c, a, id); s.Wear["right"].State != "rest" || s.Wear["left"].State != "rest" {
		t.Errorf("the clinic reads %+v, want both eyes at rest", s)
	}
	run(t, tab, tap("wear-check"), tap("eye-both"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-none"), tap("answer-gritty-no"),
		tap("answer-redness-none"), tap("answer-spot-no"), tap("answer-pupil-no"), tap("answer-lid-no"), tap("answer-discharge-none"), tap("answer-sight-same"), tap("answer-light-no"),
		tap("answer-water-no"), tap("answer-ill-no"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), toHash(""), chromedp.WaitNotPresent(sel("now-pass")), sent())
	if s := standing(t, c, a, id); s.Wear["right"].State != "none" || s.Wear["left"].State != "none" {
		t.Errorf("after the check the clinic reads %+v, want no stop", s)
	}
	sound(t, tab)
}

// A report that a second phone wrote without a network arrives after the clinic
// has released the eyes for an earlier one: the resume did not know of it, so it
// stops again, on both phones.
func TestALateReportAfterAResumeStopsAgain(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	first, second := phoneAt(t, bedtime), phoneAt(t, bedtime)
	report := chromedp.Steps(tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")))
	for _, tab := range []context.Context{first, second} {
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")))
	}
	offline(t, second, true)
	run(t, second, report)
	run(t, first, report, sent())
	resume(t, c, a, id, "both", "2026-03-24")
	run(t, first, chromedp.Navigate(a.URL()+"/#/child"), chromedp.Reload(), see("now-in", "Lenses in"), chromedp.WaitNotPresent(sel("now-hold")))
	offline(t, second, false)
	run(t, second, sent())
	if s := standing(t, c, a, id); s.Wear["right"].State != "stop" || len(s.Causes) != 1 {
		t.Errorf("the clinic reads %+v, want a stop by the late report alone", s)
	}
	run(t, first, chromedp.Reload(), see("now-hold", "No lenses"), chromedp.WaitNotPresent(sel("now-in")))
	sound(t, first)
}

// On a Sunday at 06:41, when the clinic is closed, the advice puts a number that
// answers first, and the emergency number is there; no number stands alone. The
// clocks have gone forward in the night: 06:41 in London is 05:41 UTC.
func TestSundayMorningShowsANumberThatAnswers(t *testing.T) {
	t.Parallel()
	sunday := time.Date(2026, 3, 29, 5, 41, 0, 0, time.UTC)
	a := demoAt(t, sunday)
	tab := phoneAt(t, sunday)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), chromedp.WaitVisible(sel("hours")))
	tests, err := ask[[]string](tab, `[...document.querySelectorAll('[data-test=advice] a[href^="tel:"]')].map(x => x.dataset.test)`)
	if err != nil || len(tests) < 3 || tests[0] == "call-clinic" {
		t.Errorf("telephone links in order: %v, %v; want the clinic's own number not first while it is closed, and others beside it", tests, err)
	}
	has := map[string]bool{}
	for _, x := range tests {
		has[x] = true
	}
	if !has["call-after"] || !has["call-emergency"] {
		t.Errorf("telephone links %v, want the out-of-hours and the emergency number", tests)
	}
	shot(t, tab, "heard-3-sunday")
	sound(t, tab)
}

// A red and sore morning, and its check left: the phone of a teen is headed with what the
// clinic's card says it was told (the rule morning-red-and-sore: phone now), also the advice
// of a later check that finds less. Once the clinician has examined and released, what was
// decided about gives no more orders.
func TestARedSoreMorningLeadsUntilTheClinicDecides(t *testing.T) {
	t.Parallel()
	morning := bedtime.Add(9*time.Hour + 40*time.Minute) // Wednesday 25 March, 07:00
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002")
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	a.clock.Set(morning)
	at(t, tab, morning)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("eyes-not"), tap("comfort-1"), tap("redness-1"), tap("confirm"), chromedp.WaitVisible(sel("step-now")), tap("home"),
		see("now-hold", "Leave the lenses out."), see("now-hold", "Phone now. Be seen today."), see("wear-why", "The eye was red and sore this morning"), see("wear-steps", "Do this, in this order"), sent())
	shot(t, tab, "heard-5-red-sore")
	run(t, tab, tap("wear-check"), tap("eye-left"), tap("answer-injury-no"), tap("check-stop"), see("advice", "Phone now. Be seen today."), sent())
	shot(t, tab, "heard-6-advice")
	if on, err := ask[bool](tab, `/It may be serious/.test(document.querySelector('.advice-head').innerText)`); err != nil || on {
		t.Errorf("the advice is headed with less than the morning asks for, %v", err)
	}
	run(t, tab, toHash(""), see("now-hold", "Phone now. Be seen today."))
	for _, x := range alertsOf(t, c, a, id) {
		causes := standing(t, c, a, id).Causes
		post(t, c, a.URL()+"/api/clinic/alerts/"+x.ID+"/acknowledge", map[string]any{})
		post(t, c, a.URL()+"/api/clinic/alerts/"+x.ID+"/close", map[string]any{
			"outcome": "seen-nothing-found", "note": "Seen at the slit lamp", "decision": "resume", "causes": causes, "entries": []any{
				map[string]any{"kind": "resume", "body": map[string]any{"eyes": "both", "answers": causes, "from": "2026-03-25", "basis": "examined", "alert": x.ID}},
			}})
	}
	run(t, tab, chromedp.Reload(), see("now-hold", "until this evening"), becomes(`!/throw nothing away|Nobody answers/.test(document.querySelector('[data-test=now-hold]').innerText)`))
	evening := bedtime.AddDate(0, 0, 1)
	a.clock.Set(evening)
	at(t, tab, evening)
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("wear-in")), becomes(`!/Lenses out now|Leave the lenses out|Phone now/.test(document.querySelector('main').innerText)`))
	shot(t, tab, "heard-7-released")
	sound(t, tab)
}
