package e2e_test

import (
	"strconv"
	"testing"
)

const (
	tabKey   = "\ue004"
	pressKey = " " // the space bar, which presses a button as well

	returnKey = "\ue007"
)

// tabTo presses the tab key until the element with a mark has the focus, as
// somebody does who has no other way.
func (w *window) tabTo(mark string) {
	w.t.Helper()
	w.reach(css(mark))
}

// reach is tabTo for any selector.
func (w *window) reach(selector string) {
	w.t.Helper()
	w.visible(selector)
	for range 100 {
		if read[bool](w, `!!document.activeElement?.matches(`+quoted(selector)+`)`) {
			return
		}
		w.must(w.keys(tabKey), "pressing the tab key")
	}
	w.t.Fatalf("%s: a hundred presses of the tab key do not reach %s", w.engine.name, selector)
}

// follow reaches a link by the tab key and presses the return key.
func (w *window) follow(selector string) {
	w.t.Helper()
	w.reach(selector)
	w.must(w.keys(returnKey), "pressing the return key")
}

// The two taps of the night by keyboard alone: after each the focus stands on the
// heading of what has come in its place, never on the page, and what was done is
// said in a live region that was there before (WCAG 2.2, 2.4.3 and 4.1.3).
func TestTheNightByKeyboard(t *testing.T) {
	inEngines(t, []feature{pressing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.do(`(globalThis.live = document.querySelector('` + css("live") + `'), globalThis.live.textContent === '')`)
		w.tabTo("wear-in")
		w.must(w.keys(pressKey), "pressing the space bar")
		w.visible(css("confirm"))
		w.until(`document.activeElement.matches('h1, h2, h3') && !!document.activeElement.closest('` + css("panel") + `')`)
		w.tabTo("confirm")
		w.must(w.keys(pressKey), "pressing the space bar")
		w.until(`live.isConnected && live.textContent.includes('Saved')`)
		w.gone(css("confirm"))
		w.until(`document.activeElement.matches('h1, h2, h3') && !!document.activeElement.closest('main')`)
		w.sound()
	})
}

// A plan is changed, looked at and saved by keyboard alone: the focus goes to the
// child whose plan it is, and after saving to a heading, and "Saved." is heard.
func TestAPlanByKeyboard(t *testing.T) {
	inEngines(t, []feature{pressing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		id := wearerID(t, clinician(t, a), a, "W-0010")
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.do(`location.hash = '#plan/` + id + `'`)
		w.visible(css("plan-form"))
		before := read[int](w, `document.querySelectorAll('.versions > li').length`)
		w.do(`(globalThis.live = document.querySelector('` + css("live") + `'), document.querySelector('main h1').tabIndex = -1, document.querySelector('main h1').focus())`)
		for range 150 { // a date alone has three places to go to
			if read[bool](w, `!!document.activeElement?.matches('[name=why]')`) {
				break
			}
			w.must(w.keys(tabKey), "pressing the tab key")
		}
		w.must(w.keys("Longer nights\ue007"), "writing why, and the return key")
		w.until(`document.activeElement.matches('[data-test=plan-look] h3') && document.activeElement.textContent.includes('W-0010')`)
		w.tabTo("plan-yes")
		w.must(w.keys(pressKey), "pressing the space bar")
		w.until(`document.querySelectorAll('.versions > li').length === ` + strconv.Itoa(before+1))
		w.until(`live.isConnected && live.textContent.includes('Saved.')`)
		w.until(`document.activeElement.matches('h1, h2, h3')`)
		w.sound()
	})
}
