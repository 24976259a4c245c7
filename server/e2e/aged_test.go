package e2e_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// agedFamily makes the next answers about the family older than a day, and says
// that the rules were corrected (no build of the app here is an older one); then
// somebody comes back to the page.
const agedFamily = `(() => {
	const real = globalThis.fetch;
	globalThis.fetch = async (url, init) => {
		const answer = await real(url, init);
		if (!String(url).includes('/api/family')) return answer;
		const family = await answer.json();
		family.now = new Date(Date.parse(family.now) - 25 * 3600000).toISOString();
		family.least_rules = 999;
		return new Response(JSON.stringify(family), { headers: { 'Content-Type': 'application/json' } });
	};
	const now = Date.now;
	Date.now = () => now() + 60000; // a minute on, somebody comes back to the page
	dispatchEvent(new Event('pageshow'));
	return true;
})()`

// What a phone has is asked about again with every look for news, not at the
// start only: somebody comes back to the screen a minute later, and it says that
// its numbers are a day old and that its advice was corrected, with whom to
// phone, on the check too.
func TestAPhoneSaysThatWhatItHasIsOld(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phone(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), chromedp.WaitVisible(sel("wrong")))
	if gone, err := ask[bool](tab, `!document.querySelector('[data-test=old-rules], [data-test=old-family]')`); err != nil || !gone {
		t.Fatalf("a phone that has just asked says that it is old: %v", err)
	}
	if _, err := ask[bool](tab, agedFamily); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.WaitVisible(sel("old-rules")), see("old-family", "Last heard from the clinic: "), see("old-family", "What it has said since is not on this phone."), chromedp.WaitVisible(sel("call-emergency")))
	run(t, tab, tap("wrong"), chromedp.WaitVisible(sel("step-now")), chromedp.WaitVisible(sel("old-rules")))
}

// Right and left stand on a drawn face as the person sees it: a parent who looks
// at the child has the child's right eye on the left; the teen before a mirror
// has it on the right. The buttons beneath stand in the drawing's order, in a
// language that runs the other way too. The check and the advice name the child.
func TestSidesStandOnAFaceAndTheChildIsNamed(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	for _, tc := range []struct{ who, hash, first string }{{"parent", "#check", "right"}, {"teen", "#check", "left"}} {
		tab := phone(t, newBrowser(t))
		at(t, tab, bedtime)
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/"+tc.who+tc.hash), chromedp.WaitVisible(chromedp.CSS("[data-test=face][data-first="+tc.first+"]")))
		for _, lang := range []string{"ar", "en"} {
			run(t, tab, chromedp.Navigate(a.URL()+"/status"), awaited(`Promise.resolve(localStorage.setItem('lang', '`+lang+`')).then(() => true)`),
				chromedp.Navigate(a.URL()+"/"+tc.hash), chromedp.WaitVisible(sel("face")))
			first, err := ask[string](tab, `['right', 'left'].sort((a, b) => document.querySelector('[data-test=eye-' + a + ']').getBoundingClientRect().x - `+
				`document.querySelector('[data-test=eye-' + b + ']').getBoundingClientRect().x)[0]`)
			if err != nil || first != tc.first {
				t.Errorf("%s, %s: the button on the left is the %s eye's, the drawing has the %s one there, %v", tc.who, lang, first, tc.first, err)
			}
		}
		name, err := ask[string](tab, `document.querySelector('[data-test=step-now] p strong').textContent`)
		if err != nil || name == "" {
			t.Fatalf("%s: the check names nobody: %v", tc.who, err)
		}
		run(t, tab, tap("now-pain"), chromedp.WaitVisible(sel("advice")))
		if said, err := ask[string](tab, `document.querySelector('[data-test=advice-whose]').textContent`); err != nil || said != name {
			t.Errorf("%s: the advice is about %q, want %q, %v", tc.who, said, name, err)
		}
	}
}

// A phone whose clock is a day behind says so, and by how much; when the clinic answers
// again it says by the clock of the server.
func TestAPhoneSaysThatItsClockIsWrong(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phone(t, newBrowser(t))
	at(t, tab, bedtime.Add(-26*time.Hour))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), chromedp.WaitVisible(sel("wrong")), see("wrong-clock", "26 h"), toHash("/more"), see("contacts", "It answers again from Wed 25 Mar, 09:00"), toHash("/"), chromedp.WaitVisible(sel("wrong-clock")))
	shot(t, tab, "wrong-clock")
	right := phoneAt(t, bedtime)
	run(t, right, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), sent(), chromedp.WaitNotPresent(sel("wrong-clock")))
	sound(t, right)
}
