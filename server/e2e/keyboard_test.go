package e2e_test

import "testing"

const (
	tabKey   = "\ue004"
	pressKey = " " // the space bar, which presses a button as well
)

// tabTo presses the tab key until the element with a mark has the focus, as
// somebody does who has no other way.
func (w *window) tabTo(mark string) {
	w.t.Helper()
	w.visible(css(mark))
	for range 60 {
		if read[bool](w, `!!document.activeElement?.matches(`+quoted(css(mark))+`)`) {
			return
		}
		w.must(w.keys(tabKey), "pressing the tab key")
	}
	w.t.Fatalf("%s: sixty presses of the tab key do not reach %s", w.engine.name, mark)
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
