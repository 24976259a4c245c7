package e2e_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// wideJS says what of a wide screen a page leaves unused: its own width, and cards
// that stand one below the other all down the page where two were to stand side by side.
const wideJS = `((cards) => {
	const box = (el) => el.getBoundingClientRect(), main = document.querySelector('main'), out = [];
	const used = Math.max(...[...main.querySelectorAll('*')].map((el) => box(el).right)) - Math.min(...[...main.querySelectorAll('h1')].map((el) => box(el).left));
	if (used < 1500) out.push('only ' + Math.round(used) + ' px are used');
	const all = [...document.querySelectorAll(cards || 'main h1')].map(box).filter((b) => b.width > 0);
	const beside = all.some((a) => all.some((b) => b.left >= a.right && b.top < a.bottom && b.bottom > a.top));
	if (cards && !beside) out.push('no two of ' + all.length + ' cards stand side by side');
	if (document.documentElement.scrollWidth > innerWidth) out.push('it scrolls sideways');
	return out.join(', ');
})`

// At 1920 px a page uses its width: two columns of cards, or a table of many columns
// over both.
func TestAWideScreenIsUsed(t *testing.T) {
	t.Parallel()
	tr := startTour(t, "en")
	c := clinician(t, tr.a)
	ids := strings.NewReplacer("W", wearerID(t, c, tr.a, "W-0009"), "E", endedWear(t, c, tr.a))
	for _, p := range []struct{ role, at, shows, cards string }{
		{"clinician", "today", css("call-row"), ".today > *"},
		{"clinician", "wearers", css("wearer-row"), ""},
		{"clinician", "wearer/W", css("points"), ".glance .block"},
		{"clinician", "plan/W", css("plan-form"), ".plan fieldset.grid"},
		{"clinician", "course/E", css("courses"), ".wearer-course > .block"},
		{"clinician", "visits/W", css("attach-form"), ".visits > *"},
		{"clinician", "recalls", css("recall-row"), ""},
		{"clinician", "duties", css("duty-row"), ""},
		{"clinician", "practice", ".curve", ".practice .block"},
		{"administrator", "settings", css("settings-save"), ".settings fieldset"},
		{"administrator", "staff", css("keeping"), ".staff > *"},
	} {
		run(t, tr.tab, chromedp.EmulateViewport(1920, 1080), chromedp.Navigate(tr.a.URL()+"/demo/"+p.role), chromedp.WaitVisible(chromedp.CSS("main h1")), toHash(ids.Replace(p.at)), chromedp.WaitVisible(chromedp.CSS(p.shows)))
		var unused string // a card may come after the one that was waited for
		t.Cleanup(func() {
			if t.Failed() && unused != "" {
				t.Logf("%s: %s", p.at, unused)
			}
		})
		until(t, p.at+" uses its width", func() bool {
			said, err := ask[string](tr.tab, wideJS+"("+quoted(p.cards)+")")
			unused = said
			return err == nil && said == ""
		})
	}
	sound(t, tr.tab)
}
