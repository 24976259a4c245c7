package e2e_test

import (
	"slices"
	"strings"
	"testing"

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
		if !slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(n, "I have this: ") && strings.HasSuffix(n, ", emergency") }) {
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
		r.sound()
	})
}
