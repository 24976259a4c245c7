package e2e_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Settings that cannot be: each field that has a fault is marked and says so beside
// it, by its label and once; the foot only says that nothing was saved, and the
// first of them has the focus (WCAG 2.2, 3.3.1).
func TestSettingsMarkEachField(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	admin := desktop(t, newBrowser(t))
	at(t, admin, bedtime)
	run(t, admin, chromedp.Navigate(a.URL()+"/demo/administrator#settings"), chromedp.WaitVisible(sel("settings-form")))
	wrong := func(selector, value string) step { return filledIn(css("settings-form")+" "+selector, value) }
	run(t, admin, wrong(`[name="practice.contacts.phone"]`, "call us"), wrong(`[aria-label="Monday to"]`, "08:00"), tap("settings-save"),
		see("settings-unsaved", "Nothing was saved. What to mend is marked above."),
		becomes(`document.activeElement.name === 'practice.contacts.phone'`))
	got, err := ask[struct{ Marked, Said []string }](admin, `({
		marked: [...document.querySelectorAll('[data-test=settings-form] [aria-invalid=true]')].map((x) => x.name || x.getAttribute('aria-label')),
		said: [...document.querySelectorAll('[data-test=settings-form] .field-error')].map((x) => x.innerText),
	})`)
	if want := []string{"practice.contacts.phone", "Monday from"}; err != nil || !slices.Equal(got.Marked, want) || len(got.Said) != 3 || strings.Contains(strings.Join(got.Said, " "), "practice.") {
		t.Errorf("marked %q, said %q, %v; want %q marked, each said once, and the foot", got.Marked, got.Said, err, want)
	}
	shot(t, admin, "settings-faults")
	sound(t, admin)
}

// Setting up leads from the settings to Staff and back. What was typed is still there,
// said to be unsaved, and before the tab itself is left the browser asks; who was added
// meanwhile can be put on duty. It can be thrown away, and once saved nobody is asked.
func TestSettingsKeepWhatWasTyped(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	admin := desktop(t, newBrowser(t))
	at(t, admin, bedtime)
	run(t, admin, chromedp.Navigate(a.URL()+"/demo/administrator#settings"), chromedp.WaitVisible(sel("settings-form")))
	name := css("settings-form") + ` [name="practice.name"]`
	asked := func() bool {
		t.Helper()
		stopped, err := ask[bool](admin, `!dispatchEvent(new Event('beforeunload', { cancelable: true }))`)
		if err != nil {
			t.Fatal(err)
		}
		return stopped
	}
	if asked() {
		t.Error("nothing is typed, and the browser asks before the page is left")
	}
	run(t, admin, filledIn(name, "Harbour Lane"), becomes(`document.querySelector('`+name+`').value === 'Harbour Lane'`),
		chromedp.Click(chromedp.CSS("nav a[href='#staff']")), chromedp.WaitVisible(chromedp.CSS("main[data-page=staff] h1")))
	if !asked() {
		t.Error("something is typed in the settings, and the browser does not ask before the page is left")
	}
	err := a.DB.Update(func(tx *store.Tx) error {
		return tx.Register().AddPerson(care.Person{ID: "new1", Name: "Dr Added", Role: care.Clinician})
	})
	if err != nil {
		t.Fatal(err)
	}
	run(t, admin, chromedp.Click(chromedp.CSS("nav a[href='#settings']")), see("settings-kept", "it is not saved yet"),
		becomes(`document.querySelector('`+name+`').value === 'Harbour Lane'`),
		becomes(`[...document.querySelectorAll('.week select option')].some((o) => o.textContent === 'Dr Added')`))
	shot(t, admin, "settings-kept")
	sound(t, admin)
	run(t, admin, tap("half-forget"), becomes(`document.querySelector('`+name+`').value !== 'Harbour Lane'`),
		becomes(`!document.querySelector('`+css("settings-kept")+`')`))
	if asked() {
		t.Error("it was thrown away, and the browser still asks")
	}
	run(t, admin, filledIn(name, "Harbour Quay"), becomes(`document.querySelector('`+name+`').value === 'Harbour Quay'`),
		tap("settings-save"), chromedp.WaitVisible(sel("settings-saved")))
	if asked() {
		t.Error("it was saved, and the browser still asks")
	}
	run(t, admin, filledIn(name, "Harbour Row"), becomes(`!document.querySelector('`+css("settings-saved")+`')`))
}

// A practice that has not said where it is: the administrator's first page says
// so in its first step, the settings ask for nothing else, and what is saved
// reaches a console that was open all the while. The demo's clock shows a winter
// day in London; in Auckland, 13 hours ahead (IANA tz database), it is the day
// after.
func TestWhereThePracticeIsIsAskedFirst(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	err := a.DB.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		p.Zone, p.Country, p.Languages = "", "", nil
		return tx.Register().PutPractice(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	desk, admin := desktop(t, newBrowser(t)), desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	at(t, admin, bedtime)
	const seen = `document.querySelector('main').innerText`
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk#account"), chromedp.WaitVisible(sel("sign-out")))
	run(t, admin, chromedp.Navigate(a.URL()+"/demo/administrator"), chromedp.WaitVisible(sel("setup-state")))
	run(t, admin, seeIn("[data-test=setup-step]", "Zone, country and languages Open"), seeIn("[data-test=setup-step]", "No country"))
	run(t, admin, chromedp.Click(chromedp.CSS("[data-test=setup-step] a[href='#settings']")), chromedp.WaitVisible(sel("place-form")))
	if n, err := ask[int](admin, `document.querySelectorAll('[data-test=settings-form]').length`); err != nil || n != 0 {
		t.Errorf("the other settings are offered before, %v", err)
	}
	within := "[data-test=place-form]"
	set := func(what, value string) {
		t.Helper()
		if _, err := ask[bool](admin, `(() => {
			const field = document.querySelector('`+within+` [name="`+what+`"]');
			field.value = '`+value+`';
			field.dispatchEvent(new Event('input', { bubbles: true }));
			field.dispatchEvent(new Event('change', { bubbles: true }));
			return true;
		})()`); err != nil {
			t.Fatal(err)
		}
	}
	before, err := ask[string](desk, seen)
	if err != nil {
		t.Fatal(err)
	}
	set("zone", "Pacific/Auckland")
	set("country", "NZ")
	run(t, admin, chromedp.Click(chromedp.CSS("[data-test=place-form] [name=language-en]")), tap("place-save"), chromedp.WaitVisible(sel("settings-saved")))
	run(t, admin, seeIn("[data-test=place] summary", "New Zealand, time zone Pacific/Auckland, English"), chromedp.WaitVisible(sel("settings-form")))

	// From then on it is a part of the settings, saved with all others.
	run(t, admin, chromedp.Click(chromedp.CSS("[data-test=place] summary")))
	within = "[data-test=settings-form]"
	set("zone", "Pacific/Chatham")
	set("practice.name", "Harbour Lane")
	run(t, admin, tap("settings-save"), seeIn("[data-test=place] summary", "time zone Pacific/Chatham"))
	err = a.DB.View(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if p.Zone != "Pacific/Chatham" || p.Contacts.Zone != p.Zone || p.Name != "Harbour Lane" {
			t.Errorf("stored: zone %s, of the telephone hours %s, name %s; want what was written in both places", p.Zone, p.Contacts.Zone, p.Name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}

	run(t, desk, awaited(`Promise.resolve(document.dispatchEvent(new Event('visibilitychange')))`))
	until(t, "an open console shows times of the zone that was set", func() bool {
		after, err := ask[string](desk, seen)
		return err == nil && after != before
	})
}
