package e2e_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A word of 2,000 letters without a gap, as a cat writes it, wraps wherever it is
// shown: in the form, in the night's log, in the history, on the list of what is
// only on this phone; so do a phone's name of 60, a bottle's of 60, a word of the
// clinic of 1,000 and, at the clinic, the note in the review. Nothing scrolls
// sideways at 320 px, at 390, or on a desk.
func TestALongWordWrapsEverywhere(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	tab := phoneAt(t, bedtime)
	long := strings.Repeat("W", 2000)
	narrow := func(where string) {
		t.Helper()
		for _, px := range []int64{320, 390} {
			width(t, tab, px, 844)
			found, err := ask[[]string](tab, sidewaysJS)
			if err != nil || len(found) > 0 {
				t.Errorf("%s at %d px: %v, %v", where, px, found, err)
			}
		}
	}
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/say", map[string]any{"causes": []string{}, "entries": []map[string]any{{"kind": "word", "body": map[string]any{"text": long[:1000], "answer_wanted": true}}}})
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/night/2026-03-24"), ready(), tap("add-note"), chromedp.WaitVisible(chromedp.CSS("#note-text")),
		awaited(`Promise.resolve((() => { const el = document.querySelector('#note-text'); Object.getOwnPropertyDescriptor(HTMLTextAreaElement.prototype, 'value').set.call(el, '`+long+`'); return el.dispatchEvent(new Event('input', {bubbles: true})); })())`))
	narrow("the form of a note")
	run(t, tab, awaited(`Promise.resolve(globalThis.fetch = () => Promise.reject(new TypeError('no network'))).then(() => true)`), tap("confirm"), see("logged", long[:40]))
	narrow("the log of a night")
	run(t, tab, atScreen("#/unsent"), chromedp.WaitVisible(sel("unsent-list")))
	narrow("what is only on this phone")
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("home")), atScreen("#/child"), see("said", "WWWW"))
	narrow("a word of the clinic")
	run(t, tab, atScreen("#/supplies"), tap("supply-drops"), filledIn("#s-days", "30"), filledIn("#s-label", long[:60]), tap("confirm"), see("in-use", "WWWW"), sent())
	narrow("supplies")
	run(t, tab, atScreen("#/progress"), seeIn("main", "WWWW"))
	narrow("progress")
	run(t, tab, atScreen("#/devices"), tap("device-rename"), filledInMark("device-name", long[:60]), tap("device-name-save"), seeIn("main", "WWWW"))
	narrow("phones")
	shot(t, tab, "long-word")
	sound(t, tab)

	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#wearer/`+id+`").then(() => true)`), seeIn("main", "Daniel Achterberg"))
	for _, px := range []int64{390, 1280} {
		width(t, desk, px, 844)
		if found, err := ask[[]string](desk, sidewaysJS); err != nil || len(found) > 0 {
			t.Errorf("the review at %d px: %v, %v", px, found, err)
		}
	}
	sound(t, desk)
}
