package e2e_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// guideTo goes through the steps from the first, so many further.
func guideTo(steps int) step {
	all := []step{atScreen("#/help"), tap("guide"), chromedp.WaitVisible(sel("guide-hands"))}
	for range steps {
		all = append(all, tap("guide-next"))
	}
	return chromedp.Steps(all...)
}

// The steps of a lens that goes in are there to be read at any time; under a stop each of
// them says first that none goes in now, and no date is named on which a first night or a
// first week would be over. Washing and removal stay as they are.
func TestTheStepsSayWhereNoLensGoesIn(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	dates := `[...document.querySelectorAll('` + css("guide-expect") + ` p strong')].filter(x => /\d/.test(x.innerText)).length`
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), guideTo(2), see("guide-in", "Put the lens in"), chromedp.WaitNotPresent(sel("guide-not-now")),
		guideTo(8), chromedp.WaitVisible(sel("guide-expect")), becomes(dates+` === 3`),
		atScreen("#/child"), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent(),
		guideTo(0), chromedp.WaitNotPresent(sel("guide-not-now")), tap("guide-next"), see("guide-not-now", "Not now."), tap("guide-next"), see("guide-in", "Put the lens in"), see("guide-not-now", "No lenses"))
	shot(t, tab, "guide-not-now")
	run(t, tab, tap("guide-next"), see("guide-comfort", "Not now."), tap("guide-next"), see("guide-out", "In the morning"), chromedp.WaitNotPresent(sel("guide-not-now")),
		guideTo(8), see("guide-expect", "Not now."), becomes(dates+` === 0`))
	sound(t, tab)
}

// A first night on a Saturday: its visit would be on a Sunday, on which the practice of
// the demo is closed, so no page of the family names that date for a visit, and the
// phone asks to book one. Before the plan's first night no nights are shown.
func TestNoVisitIsNamedForAClosedDay(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	inv := newcomersFrom(t, a, clinician(t, a), "2026-03-28", 0)() // a Saturday
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(inv.URL), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")),
		atScreen("#/child"), seeIn("main", "28 March"), seeIn("main", "Logged – Tue 24 Mar"), chromedp.WaitVisible(sel("guide")), chromedp.WaitNotPresent(chromedp.CSS(".fortnight")), see("soon", "Not booked yet: please phone the clinic."), see("soon", "within 2 hours of waking"), becomes(`!document.querySelector('`+css("soon")+`').innerText.includes('29 Mar')`),
		guideTo(8), see("first-visit", "Not booked yet: please phone the clinic."), becomes(`!document.querySelector('`+css("first-visit")+`').innerText.includes('29 Mar')`),
		atScreen("#/progress"), seeIn("main", "Not booked yet"))
	shot(t, tab, "closed-day")
	if text, err := ask[string](tab, `document.querySelector('main').innerText`); err != nil || strings.Contains(text, "29 Mar") {
		t.Errorf("a Sunday is named, %v: %s", err, text)
	}
	sound(t, tab)
}

// The jetty of a child has a plank for each full night: a report, the stop that comes of
// it and the nights without lenses after it take none away and add none, and nothing of
// what people know from habit counters is said.
func TestAStopTakesNothingFromTheJetty(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	const told = `(document.querySelector('[data-test=jetty]')?.innerText.match(/Full nights since you began: \d+/) ?? [''])[0]`
	planks := `document.querySelectorAll('` + css("jetty") + ` path[stroke-linecap=butt]').length`
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen#/progress"), ready(), see("jetty", "A night off takes nothing away."), becomes(planks+` > 0 && `+told+` === 'Full nights since you began: ' + `+planks))
	before, err := ask[string](tab, told)
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent(), atScreen("#/progress"), becomes(told+` === `+quoted(before)))
	later := bedtime.Add(3 * 24 * time.Hour)
	a.clock.Set(later)
	at(t, tab, later)
	run(t, tab, chromedp.Reload(), ready(), seeIn("main", "3 nights without lenses because they were stopped"), becomes(told+` === `+quoted(before)))
	shot(t, tab, "jetty-stopped")
	text, err := ask[string](tab, `document.querySelector('main').innerText.toLowerCase()`)
	for _, word := range []string{"streak", "badge", "reward", "in a row", "lost", "broken", "well done", "🔥", "🏆", "⭐"} {
		if err != nil || strings.Contains(text, word) {
			t.Errorf("Progress says %q, %v", word, err)
		}
	}
	// Nine hours and forty minutes in lenses that might not be worn are no plank.
	run(t, tab, atScreen("#/child"), tap("wear-say"), see("wear-against", "Not released"), tap("confirm"), chromedp.WaitVisible(sel("now-out")), sent())
	morning := later.Add(9*time.Hour + 40*time.Minute)
	a.clock.Set(morning)
	at(t, tab, morning)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent())
	over := later.Add(16 * time.Hour) // 13:20: the night is over
	a.clock.Set(over)
	at(t, tab, over)
	run(t, tab, atScreen("#/child"), chromedp.Reload(), ready(), see("night-2026-03-27", "worn"), atScreen("#/progress"), becomes(`document.querySelector('.sight-chart')?.textContent.includes('28 Mar')`), becomes(told+` === `+quoted(before)))
	sound(t, tab)
}

// The chart of evenings names both its dates and what its two ends mean: four weeks up to
// the evening of 24 March begin on 25 February.
func TestTheChartNamesItsDatesAndItsScale(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen#/progress"), ready(), chromedp.WaitVisible(chromedp.CSS(".sight-chart")), seeIn("main", "1 = Very blurred · 5 = As clear as this morning"))
	got, err := ask[[]string](tab, `[...document.querySelectorAll('.sight-chart text')].map(x => x.textContent)`)
	if want := []string{"1", "2", "3", "4", "5", "25 Feb", "24 Mar"}; err != nil || !slices.Equal(got, want) {
		t.Errorf("the chart is labelled %q, %v; want %q", got, err, want)
	}
	run(t, tab, becomes(`document.querySelector('`+css("more")+`').innerText.trim() === 'More'`)) // in words, not by a sign
	sound(t, tab)
}

// What is in use says when it ends also while no lens may go in.
func TestSuppliesSayWhenTheyEndUnderAStop(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	const lines = `[...document.querySelectorAll('[data-test=in-use] li')].map(x => x.innerText.replace(/\s+/g, ' '))`
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/supplies"), ready(), see("in-use", "new one: "))
	before, err := ask[[]string](tab, lines)
	if err != nil {
		t.Fatal(err)
	}
	// The plan has a new case every month and new lenses every twelve; a bottle keeps 90 days. By the calendar:
	for _, want := range []string{"Lenses, both eyes since 26 Aug 2025 · new one: Wed 26 Aug", "Bottle of solution since Thu 12 Feb · new one: Wed 13 May", "Lens case since Fri 6 Mar · new one: Mon 6 Apr"} {
		if !slices.ContainsFunc(before, func(line string) bool { return strings.HasPrefix(line, want) }) {
			t.Errorf("%q is not among %q", want, before)
		}
	}
	run(t, tab, tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), sent(), atScreen("#/supplies"), see("in-use", "new one: "))
	after, err := ask[[]string](tab, lines)
	if err != nil || !slices.Equal(before, after) {
		t.Errorf("under a stop what is in use is %q, %v; before it was %q", after, err, before)
	}
	sound(t, tab)
}
