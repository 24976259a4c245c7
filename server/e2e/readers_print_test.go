package e2e_test

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// The page for readers goes on paper, A4 (ISO 216) and Letter, in each language:
// every text beside the English, no column cut off, a place to sign above each
// part, and nothing of the screen's own.
func TestTheReadersPagePrints(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"))
	for lang, says := range map[string]string{"es": "Quítese", "zh": "取下镜片", "zh-Hant": "取下鏡片", "ar": "أخرج"} {
		if _, err := ask[string](desk, `location.hash = "#readers/`+lang+`"`); err != nil {
			t.Fatal(err)
		}
		tag := map[string]string{"es": "es", "zh": "zh-Hans", "zh-Hant": "zh-Hant", "ar": "ar"}[lang]
		run(t, desk, chromedp.WaitVisible(chromedp.CSS(`[data-test=readers] td[lang|=`+tag+`]`)), chromedp.WaitVisible(sel("readers-state")))
		newAudit(t, desk).expect("readers", lang, newAudit(t, desk).violations(colourless))
		onPaper(t, desk, true)
		for _, paper := range []struct {
			name   string
			inches [2]float64
		}{{"A4", [2]float64{210 / 25.4, 297 / 25.4}}, {"Letter", [2]float64{8.5, 11}}} {
			run(t, desk, chromedp.EmulateViewport(int64((paper.inches[0]-0.8)*96), 1000)) // margins of 0.4 inches, the browser's own
			found, err := ask[[]string](desk, readersJS)
			if err != nil || len(found) > 0 {
				t.Errorf("%s on %s: %v %v", lang, paper.name, found, err)
			}
			if n := printed(t, desk, "readers-"+lang+"-"+paper.name, paper.inches[0], paper.inches[1]); n < 20 || n > 200 {
				t.Errorf("%s takes %d sheets of %s", lang, n, paper.name)
			}
		}
		text, err := ask[string](desk, `document.querySelector('[data-test=readers]').innerText`)
		if err != nil || !strings.Contains(text, says) {
			t.Errorf("%s: %q is not on it (%v)", lang, says, err)
		}
		if n, err := ask[int](desk, `[...document.querySelectorAll('nav, [data-test=readers] :is(button, select)')].filter((el) => el.checkVisibility()).length`); err != nil || n > 0 {
			t.Errorf("%s: %d things of the screen are on paper (%v)", lang, n, err)
		}
		onPaper(t, desk, false)
		desktop(t, desk)
	}
	sound(t, desk)
}

// readersJS names what would be missing on paper of the width of the window.
const readersJS = `(() => {
	const out = [], wide = document.documentElement.clientWidth;
	const tables = [...document.querySelectorAll('[data-test=readers] table')];
	if (tables.length < 40) out.push(tables.length + ' parts');
	for (const t of tables) {
		const sign = t.caption.querySelector('.sign').getBoundingClientRect();
		if (!sign.width || sign.left < 0 || sign.right > wide) out.push('no place to sign: ' + t.caption.innerText);
		if (!t.tHead.getBoundingClientRect().height || getComputedStyle(t.tHead).position !== 'static') out.push('no names of its columns: ' + t.caption.innerText);
	}
	for (const td of document.querySelectorAll('[data-test=readers] td')) {
		const r = td.getBoundingClientRect();
		if (r.left < -1 || r.right > wide + 1 || td.scrollWidth > td.clientWidth + 1) out.push('cut off: ' + td.innerText.slice(0, 40));
	}
	for (const tr of tables.slice(0, 3).flatMap((t) => [...t.rows])) if (getComputedStyle(tr).breakInside !== 'avoid') out.push('a row may be parted');
	return out.slice(0, 5);
})()`

// onPaper makes a tab look as it would in print, or on a screen again.
func onPaper(t *testing.T, tab context.Context, on bool) {
	t.Helper()
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: map[bool]string{true: "print", false: ""}[on]})
		return chromedp.Void{}, err
	})
}
