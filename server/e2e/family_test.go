package e2e_test

import (
	"context"
	"regexp"
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
	for at, shown := range map[string]string{"check": "eye-right", "": "anytime", "progress": "outlook", "more": "to-privacy"} {
		run(t, teen, atScreen("#/"+at), chromedp.WaitVisible(sel(shown)))
		if text, err := ask[string](teen, `document.querySelector('main').innerText`); err != nil || text == "" || strings.Contains(text, "Brother") || strings.Contains(text, "Whose eyes?") {
			t.Errorf("a teen reads at %q: %s, %v", at, text, err)
		}
	}
	sound(t, teen)

	parent := phoneAt(t, bedtime)
	run(t, parent, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("wearer")), tap("wrong"), seeIn("main", "Whose eyes?"))
	sound(t, parent)
}

// Nobody's eyes are guessed: from the board and from help, which are about no
// child, the check asks for the name first, with nobody chosen and nothing that
// could be tapped for the wrong child; what is tapped then is of the child named.
// From a child's own screen it is about that child at once.
func TestTheCheckAsksWhoseEyesBeforeAnythingElse(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	id := wearerID(t, clinician(t, a), a, "W-0012")
	tab := phoneAt(t, bedtime)
	nobody := chromedp.Steps(chromedp.WaitVisible(sel("whose-"+id)), becomes(`document.querySelectorAll('[data-test^=whose-]').length === 2 && !document.querySelector('[data-test^=whose-][aria-pressed=true], [data-test=now-pain], [data-test=eye-right]')`))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("board")), tap("wrong"), nobody)
	shot(t, tab, "whose-eyes")
	name, err := ask[string](tab, `document.querySelector('`+css("whose-"+id)+`').textContent`)
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, atScreen("#/help"), tap("wrong"), nobody, tap("whose-"+id), tap("now-pain"), see("advice-whose", name), tap("home"), tap("open-child"),
		chromedp.WaitVisible(sel("now-hold")), tap("wrong"), chromedp.WaitVisible(sel("now-pain")), becomes(`document.querySelector('`+css("whose-"+id)+`').getAttribute('aria-pressed') === 'true'`))
	sound(t, tab)
}

// A child is enrolled and has no plan yet: the phone asks for no lens, at bedtime
// either, and says what it waits for. With a sore eye it is there all the same.
func TestNoPlanAsksForNoLens(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	post(t, c, a.URL()+"/api/clinic/families/family-Achterberg/wearers", map[string]string{"name": "Zoe Achterberg", "code": "W-0902", "birth": ""})
	id := wearerID(t, c, a, "W-0902")
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("wearer")),
		awaited(`(async () => { const s = document.querySelector('[data-test=wearer]'); s.value = '`+id+`'; s.dispatchEvent(new Event('change', { bubbles: true })); return true; })()`),
		see("now-before", "Waiting for the plan"), chromedp.WaitNotPresent(chromedp.CSS(css("now-before")+" button")))
	shot(t, tab, "no-plan")
	run(t, tab, awaited(`Promise.resolve(location.hash = "#/progress").then(() => true)`), seeIn("main", "Nothing is planned yet."))
	shot(t, tab, "no-plan-progress")
	if text, err := ask[string](tab, `document.querySelector('main').innerText`); err != nil || strings.Contains(text, "28") {
		t.Errorf("nights that nobody planned are counted: %s, %v", text, err)
	}
	// A lens that goes in all the same is asked about, and is to come out.
	run(t, tab, atScreen("#/child"), seeIn("main", "No lens before the plan is here"), tap("anytime"), tap("wear-in"), see("wear-against", "There is no plan yet"), tap("confirm"), see("now-out", "There is no plan yet"), sent())
	shot(t, tab, "no-plan-in")
	// and the clinic's list of today names her.
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Lenses worn before a plan asks"), seeIn("main", "nights logged with lenses all the same: 1, last 24 Mar 2026"))
	shot(t, desk, "no-plan-today")
	sound(t, desk)
	run(t, tab, tap("wrong"), tap("eye-right"), chromedp.WaitVisible(sel("step-injury")))
	sound(t, tab)
}

// A second parent joins on a phone of his own and writes the evening down; the
// first parent's phone says who did, and takes it back; his phone asks again. A
// second phone of hers joins by the picture on her first one.
func TestTwoParentsAndASecondPhone(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	first := phoneAt(t, bedtime)
	run(t, first, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), atScreen("#/child"), chromedp.WaitVisible(sel("wear-in")))

	const family = "/api/clinic/families/family-Achterberg"
	added := decoded[struct{ People []struct{ ID, Name string } }](t, post(t, c, a.URL()+family+"/people", map[string]string{"name": "Otto Achterberg", "role": "parent", "phone": ""}))
	id := ""
	for _, p := range added.People {
		if p.Name == "Otto Achterberg" {
			id = p.ID
		}
	}
	join := func(address string) context.Context {
		tab := phoneAt(t, bedtime)
		run(t, tab, chromedp.Navigate(address), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), chromedp.WaitVisible(sel("first-1")), tap("home"), ready())
		return tab
	}
	second := join(decoded[struct{ URL string }](t, post(t, c, a.URL()+family+"/invitations", map[string]string{"person": id})).URL)
	run(t, second, atScreen("#/child"), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())

	const tonight = "#/night/2026-03-24"
	run(t, first, chromedp.Navigate(a.URL()+"/#/child"), chromedp.Reload(), ready(), seeIn("main", "Sleep well"), awaited(`Promise.resolve(location.hash = "`+tonight+`").then(() => true)`), chromedp.WaitVisible(sel("add-note")),
		see("logged", "Lenses in 21:20 – Otto Achterberg"))
	shot(t, first, "two-parents")
	run(t, first, awaited(`Promise.resolve(document.querySelector('`+css("logged")+` button[aria-label="Take back: Lenses in"]').click()).then(() => true)`),
		becomes(`!!document.querySelector('`+css("add-note")+`') && !document.querySelector('`+css("logged")+`')?.innerText.includes('Lenses in')`), sent())
	run(t, second, chromedp.Navigate(a.URL()+"/#/child"), chromedp.Reload(), ready(), chromedp.WaitVisible(sel("wear-in")))

	run(t, first, awaited(`Promise.resolve(location.hash = "#/devices").then(() => true)`), tap("device-add"), becomes(`/([0-9A-Z]{4}-){2}[0-9A-Z]{4}/.test(document.querySelector('`+css("device-code")+`')?.innerText)`))
	text, err := ask[string](first, `document.querySelector('`+css("device-code")+`').innerText`)
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile(`[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}`).FindString(text)
	third := join(a.URL() + "/join#" + strings.ReplaceAll(code, "-", ""))
	run(t, third, atScreen("#/child"), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	run(t, first, chromedp.Navigate(a.URL()+"/#/child"), chromedp.Reload(), ready(), seeIn("main", "Sleep well"), awaited(`Promise.resolve(location.hash = "`+tonight+`").then(() => true)`), chromedp.WaitVisible(sel("add-note")), see("logged", "Lenses in 21:20 – you"))
	for _, tab := range []context.Context{first, second, third} {
		sound(t, tab)
	}
}
