package e2e_test

import (
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A very sore morning leads to the eye check; left unfinished it stands by itself:
// the phone offers no lens in the evening, and the clinic's queue has it the same
// morning, with what was logged.
func TestAVerySoreMorningIsHeard(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		a.clock.Set(morning)
		w.at(morning)
		w.anew("/child")
		w.tap("wear-out", "eyes-not", "comfort-0", "confirm")
		w.visible(css("step-now"))
		w.tap("home", "open-child")
		w.visible(css("wear-why"), css("unsent"))
		w.see("now-pass", "No lens")
		w.gone(css("now-rest"))
		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		w.sent()
		w.anew("/child")
		w.see("now-pass", "No lens")
		w.shot("heard-1-sore")
		desk := deskIn(t, e, morning)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.see("alert-row", "Daniel Achterberg")
		desk.see("logged", "comfort 0 of 4")
		desk.see("told", "Speak to the clinic on the next working day. The eye was sore.")
		desk.shot("heard-2-queue")
		desk.sound()
		evening := bedtime.AddDate(0, 0, 1)
		a.clock.Set(evening)
		w.at(evening)
		w.anew("/child")
		w.visible(css("wear-why"))
		w.gone(css("now-in"))
		// The next day the fortnight shows the night as one on which no lens was allowed, not as a missed one.
		next := bedtime.AddDate(0, 0, 2)
		a.clock.Set(next)
		w.at(next)
		w.anew("/child")
		w.see("night-2026-03-25", "no lens allowed")
		w.see("night-2026-03-24", "worn")
		w.shot("heard-3-fortnight")
		w.sound()
	})
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
		tap("home"), tap("open-child"), chromedp.WaitVisible(sel("wear-why")), see("wear-why", "The eye was sore"), sent(), chromedp.WaitVisible(sel("wear-out")))
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

// A report that a second phone wrote without a network, which is then put away,
// arrives after the clinic has released the eyes for an earlier one: the resume did
// not know of it, so it stops again, on both phones.
func TestALateReportAfterAResumeStopsAgain(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a, first, second := putAway(t, e)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		first.tap("wrong", "now-pain")
		first.visible(css("advice"))
		first.sent()
		resume(t, c, a, id, "both", "2026-03-24")
		first.anew("/child")
		first.see("now-in", "Lenses in")
		first.gone(css("now-hold"))
		second.goTo(a.URL() + "/")
		second.ready()
		second.sent()
		if s := standing(t, c, a, id); s.Wear["right"].State != "stop" || len(s.Causes) != 1 {
			t.Errorf("the clinic reads %+v, want a stop by the late report alone", s)
		}
		for _, w := range []*window{first, second} {
			w.anew("/child")
			w.see("now-hold", "No lenses")
			w.gone(css("now-in"))
			w.sound()
		}
	})
}

// So it is where the clinic has closed the alert: the report of the phone that was put
// away, written before the closing, opens that alert again, under its closing, and the card
// reads both reports, so that no question is open there that the first phone answered.
func TestALateReportOpensItsAlertAgain(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a, first, second := putAway(t, e)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		first.tap("wrong", "eye-left", "answer-injury-no", "answer-lens-out", "answer-pain-persists", "check-stop")
		first.visible(css("advice"))
		first.sent()
		// an hour on, by phone: no lens until the review
		a.clock.Set(bedtime.Add(time.Hour))
		alert := alertsOf(t, c, a, id)[0].ID
		post(t, c, a.URL()+"/api/clinic/alerts/"+alert+"/call", map[string]any{"result": "reached"})
		post(t, c, a.URL()+"/api/clinic/alerts/"+alert+"/close", map[string]any{
			"outcome": "spoken-to", "note": "By phone", "decision": "stays", "causes": standing(t, c, a, id).Causes, "entries": []any{
				map[string]any{"kind": "cease", "body": map[string]any{"eyes": "both", "reason": "report", "review_by": "2026-03-30", "alert": alert}},
			}})
		later := bedtime.Add(50 * time.Hour) // two days on the second phone is found
		a.clock.Set(later)
		desk := deskIn(t, e, later)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.seeIn("main", "No alert is open")
		second.at(later)
		second.goTo(a.URL() + "/")
		second.ready()
		second.sent()
		desk.see("alert-row", "Very bad pain")
		desk.see("closed-before", "Closed before by Dr Imani Okafor")
		desk.seeIn(".reported", "pain")
		desk.until(`(text => !/left eye: nothing asked/.test(text) && /injury/i.test(text))(document.querySelector('[data-test=alert-row]').innerText)`)
		desk.shot("late-report")
		if all := alertsOf(t, c, a, id); len(all) != 1 || all[0].ID != alert {
			t.Errorf("alerts %+v, want the one of the episode", all)
		}
		desk.sound()
		second.sound()
	})
}

// On a Sunday at 06:41, when the clinic is closed, the advice puts a number that
// answers first, and the emergency number is there; no number stands alone. The
// clocks have gone forward in the night: 06:41 in London is 05:41 UTC.
func TestSundayMorningShowsANumberThatAnswers(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		sunday := time.Date(2026, 3, 29, 5, 41, 0, 0, time.UTC)
		a := demoAt(t, sunday)
		w := phoneIn(t, e, sunday)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.tap("wrong", "now-pain")
		w.visible(css("advice"), css("hours"))
		got := read[[]string](w, `[...document.querySelectorAll('[data-test=advice] a[href^="tel:"]')].map(x => x.dataset.test)`)
		if len(got) < 3 || got[0] == "call-clinic" {
			t.Errorf("telephone links in order: %v; want the clinic's own number not first while it is closed, and others beside it", got)
		}
		if !slices.Contains(got, "call-after") || !slices.Contains(got, "call-emergency") {
			t.Errorf("telephone links %v, want the out-of-hours and the emergency number", got)
		}
		w.shot("heard-3-sunday")
		w.sound()
	})
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
		see("now-hold", "Leave the lenses out."), see("now-hold", "Phone now. Be seen today."), see("wear-why", "The eye was red and sore"), see("wear-steps", "Do this, in this order"), sent())
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
			"outcome": "seen-nothing-found", "note": "Seen at the slit lamp", "decision": "resume", "causes": causes, "known": standing(t, c, a, id).known(), "entries": []any{
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

// putAway is a practice with two phones of a family, of which the second wrote a report of
// pain without a network and was put away.
func putAway(t *testing.T, e engine) (a program, first, second *window) {
	t.Helper()
	a = demoAt(t, bedtime)
	first, second = phoneIn(t, e, bedtime), phoneIn(t, e, bedtime)
	for _, w := range []*window{first, second} {
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.visible(css("wear-in"))
	}
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	// What a slow machine has on its way is not sent later, when the server is there again.
	second.do(`(() => { globalThis.fetch = () => Promise.reject(new TypeError('no network')); })()`)
	second.tap("wrong", "now-pain")
	second.visible(css("advice"))
	second.see("delivery", "clinic does not have this yet")
	second.must(second.open("about:blank"), "putting the second phone away")
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	return a, first, second
}
