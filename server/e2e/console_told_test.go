package e2e_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// Of two cards that are open no two buttons bear one name: in a reader's list of
// buttons each stands alone, and the wrong family would be written to (WCAG 2.2,
// 2.4.6, 4.1.2). A call is logged with what came of it, or not at all. What the desk
// makes is led to and said (2.4.3, 4.1.3).
func TestTheConsoleNamesWhom(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		for code, alert := range map[string]care.AlertID{"W-0002": "a-one", "W-0010": "a-two"} {
			raise(t, a, care.WearerID(wearerID(t, clinician(t, a), a, code)), alert, escalate.Emergency)
		}
		r := reader{deskIn(t, e, bedtime)}
		press := func(selector string) {
			t.Helper()
			r.reach(selector)
			r.must(r.keys(pressKey), "pressing the space bar")
		}
		r.goTo(a.URL() + "/demo/clinician")
		r.seeIn("main", "Who needs a call")
		r.visible(`[data-alert="a-one"]`, `[data-alert="a-two"]`)
		var names []string
		for _, s := range r.hears() {
			if s.Role == "button" {
				names = append(names, s.Name)
			}
		}
		slices.Sort(names)
		for i, n := range names[1:] {
			if n == names[i] {
				t.Errorf("two buttons are called %q", n)
			}
		}
		if !slices.ContainsFunc(names, func(n string) bool {
			return strings.HasPrefix(n, "I have this: ") && strings.HasSuffix(n, ", emergency")
		}) {
			t.Errorf("no button says whom and how bad: %q", names)
		}
		// a call: the panel has the focus, nothing is chosen, and nothing is saved so
		press(css("call-done"))
		r.until(`document.activeElement.dataset.test === 'call-outcome' && document.activeElement.value === ''`)
		press(`.inline-form button.primary`)
		r.until(`document.querySelector('` + css("call-outcome") + `').matches(':invalid') && document.activeElement.dataset.test === 'call-outcome'`)
		if said := read[string](r.window, `document.querySelector('.just-done').textContent`); said != "" {
			t.Errorf("a call nobody chose an outcome for was put down: %q", said)
		}
		// an invitation, which is shown only now
		r.do(`(globalThis.live = document.querySelector('` + css("live") + `'), location.hash = '#family/family-Petrov')`)
		r.visible(css("invite"))
		press(css("invite"))
		r.until(`document.activeElement.matches('[data-test=ticket] h3')`)
		r.until(`live.textContent.includes(document.querySelector('` + css("invite-code") + `').textContent)`)
		// and stands beside no other family
		code := read[string](r.window, `document.querySelector('`+css("invite-code")+`').textContent`)
		r.do(`location.hash = '#suitability'`)
		r.seeIn("main h1", "Suitability")
		r.until(`!document.body.textContent.includes('` + code + `')`)
		r.sound()
	})
}

// What is wrong with a form is said at its field, once, in words that name it, is tied
// to it for a reader, and the first such field has the focus (WCAG 2.2, 3.3.1, 3.3.3,
// 1.3.1): suitability, empty and with words for numbers.
func TestFaultsOfSuitabilityAreTold(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{deskIn(t, e, bedtime)}
		show := func() {
			t.Helper()
			r.reach(css("suitability-show"))
			r.must(r.keys(pressKey), "pressing the space bar")
			r.until(`document.activeElement.matches('[aria-invalid=true]')`)
		}
		// name, then what a reader says after it
		told := func() []string {
			return read[[]string](r.window, `[...document.querySelectorAll('[aria-invalid=true]')].map(el => el.name + ': ' +
				(el.getAttribute('aria-describedby') ?? '').split(' ').map(id => document.getElementById(id)?.textContent ?? '').join(' '))`)
		}
		r.goTo(a.URL() + "/demo/clinician#suitability")
		r.seeIn("main h1", "Suitability")
		show()
		want := []string{"r-sphere: Sphere: a number from −30 to +30 dioptres, or plano.", "l-sphere: Sphere: a number from −30 to +30 dioptres, or plano.", "age: A number of years."}
		if got := told(); !slices.Equal(got, want) {
			t.Errorf("empty: %q, want %q", got, want)
		}
		if on := read[string](r.window, `document.activeElement.name`); on != "r-sphere" {
			t.Errorf("the focus is on %q, want the first fault", on)
		}
		r.must(r.keys("abc"), "typing words")
		show()
		if got := told(); !slices.Equal(got, want) {
			t.Errorf("with words for a number: %q, want %q: one reason, and not “or nothing”", got, want)
		}
		if n := read[int](r.window, `document.querySelectorAll('[data-test=suitability-form] .field-error').length`); n != len(want) {
			t.Errorf("%d faults are shown of %d fields", n, len(want))
		}
		r.write("[name=r-sphere]", "-3")
		r.write("[name=l-sphere]", "-3")
		r.write("[name=age]", "9")
		r.reach(css("suitability-show"))
		r.must(r.keys(pressKey), "pressing the space bar")
		r.visible(css("suitability-result"))
		r.until(`document.querySelector('` + css("live") + `').textContent.startsWith('Suitability: ')`)
		r.until(`document.activeElement.dataset.test === 'suitability-show'`) // it was out of use while it worked
		r.sound()
	})
}

// Time runs one way in every picture of the console, as its language is read: the 28
// nights on Today, the period of a review, and its charts; words in them are not
// turned round with them, and each row's figure stays beside its row.
func TestPicturesRunAsTheLanguageDoes(t *testing.T) {
	t.Parallel()
	for lang, old := range map[string]string{"en": "left", "ar": "right"} {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			a := demoAt(t, bedtime)
			speaking(t, &tour{t: t, a: a}, lang)
			id := wearerID(t, clinician(t, a), a, "W-0010")
			tab := desktop(t, newBrowser(t))
			at(t, tab, bedtime)
			run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(".strip28"))
			where := func(parts string) string {
				t.Helper()
				side, err := ask[string](tab, `(() => {
					const at = `+parts+`.map((el) => el.getBoundingClientRect());
					return at[0].x < at.at(-1).x ? 'left' : 'right';
				})()`)
				if err != nil {
					t.Fatal(err)
				}
				return side
			}
			if got := where(`[...document.querySelector('.strip28').querySelectorAll('rect, path, circle')]`); got != old {
				t.Errorf("the oldest of the 28 nights stands on the %s, want the %s", got, old)
			}
			run(t, tab, chromedp.Navigate(a.URL()+"/clinic#wearer/"+id), chromedp.WaitVisible(sel("score")),
				chromedp.Click(css("rest")+" > summary"), chromedp.WaitVisible(".timeline"))
			for picture, parts := range map[string]string{
				"period": `[...document.querySelectorAll('.score svg .s-hit')]`,
				"events": `[...document.querySelectorAll('.timeline .t-grid')]`,
			} {
				if got := where(parts); got != old {
					t.Errorf("%s: the oldest stands on the %s, want the %s", picture, got, old)
				}
			}
			turned, err := ask[int](tab, `[...document.querySelectorAll('.score svg text, .timeline text')].filter((el) => el.getScreenCTM().a < 0).length`)
			if err != nil || turned > 0 {
				t.Errorf("%d words stand in mirror writing, %v", turned, err)
			}
			shot(t, tab, "review-"+lang)
			sound(t, tab)
		})
	}
}

// englishJS names what stands on the page in four or more words of Latin letters and
// does not say that it is English; what a demo's practice and its families wrote may.
const englishJS = `(() => {
	const data = /Harbour Lane Eye Practice|Asked them to ring back|Featherstonehaugh|Imani Okafor|Rub both sides of each lens/;
	document.querySelectorAll('main details:not([open])').forEach((d) => { d.open = d.dataset.opened = true; });
	const out = [], w = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (w.nextNode()) {
		const el = w.currentNode.parentElement;
		if (!el.closest('[lang=en], [lang=""], code, option, script, style, noscript') && /([A-Za-z]+[ ,]+){3}[A-Za-z]+/.test(w.currentNode.data) && !data.test(w.currentNode.data)) out.push('English that does not say so: ' + w.currentNode.data.slice(0, 80));
	}
	document.querySelectorAll('details[data-opened]').forEach((d) => { d.open = false; delete d.dataset.opened; });
	return out;
})()`

// What stays English beside Chinese says that it is English (WCAG 2.2, 3.1.2), on every
// page of the console, such as the safety case and the sources of the alert rules, and
// on every screen of the family.
func TestEnglishQuotationsSaySo(t *testing.T) {
	t.Parallel()
	for _, who := range []string{"clinician", "administrator", "family"} {
		t.Run(who, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "zh")
			tr.look = func(screen string) { newAudit(t, tr.tab).measure(screen, "zh", englishJS) }
			if who == "family" {
				tr.family()
			} else {
				speaking(t, tr, "zh")
				desktop(t, tr.tab)
				tr.console(who)
			}
			sound(t, tr.tab)
		})
	}
}
