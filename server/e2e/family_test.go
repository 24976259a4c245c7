package e2e_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A teen with a brother in the same family writes about nobody else: no child is
// asked for, on the screen or in the eye check, and the brother's name is
// nowhere. A parent of the same family chooses.
func TestATeenWritesForNobodyElse(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	post(t, c, a.URL()+"/api/clinic/families/family-Castellan/wearers", map[string]string{"name": "Brother Castellan", "code": "W-0902", "birth": ""})
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), seeIn("header", "Mira Castellan"), chromedp.WaitNotPresent(sel("wearer")))
	run(t, teen, tap("wrong"), chromedp.WaitVisible(sel("eye-right")))
	for _, at := range []string{"check", "", "progress", "more"} {
		if _, err := ask[string](teen, `location.hash = '#/`+at+`'`); err != nil {
			t.Fatal(err)
		}
		run(t, teen, chromedp.WaitVisible(sel("wrong")))
		if text, err := ask[string](teen, `document.querySelector('main').innerText`); err != nil || text == "" || strings.Contains(text, "Brother") || strings.Contains(text, "Whose eyes?") {
			t.Errorf("a teen reads at %q: %s, %v", at, text, err)
		}
	}
	sound(t, teen)

	parent := phoneAt(t, bedtime)
	run(t, parent, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("wearer")), tap("wrong"), seeIn("main", "Whose eyes?"))
}
