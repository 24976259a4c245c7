package e2e_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// ringsJS counts what the page plays, in place of the browser's sound.
const ringsJS = `(() => {
	globalThis.rings = 0;
	globalThis.AudioContext = class {
		constructor() { rings++; this.currentTime = 0; this.destination = {}; }
		createOscillator() { return {frequency: {}, connect: (x) => x, start() {}, stop() {}}; }
		createGain() { return {gain: {setValueAtTime() {}, exponentialRampToValueAtTime() {}}, connect: (x) => x}; }
		close() {}
	};
	return true;
})()`

// A new emergency at an open console: it rings once, the tab's title counts it,
// and it is taken, commented and closed by keyboard alone. The next one goes
// to the top of the queue.
func TestANewEmergencyAtAnOpenConsole(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	wearer := care.WearerID(wearerID(t, c, a, "W-0002"))
	raise := func(id care.AlertID, level escalate.Level) { raise(t, a, wearer, id, level) }
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(ringsJS))
	run(t, tab, chromedp.Click(chromedp.CSS(".switch input"))) // turning the sound on rings once, as a proof
	raise("a-urgent", escalate.Urgent)
	run(t, tab, chromedp.WaitVisible(chromedp.CSS(`[data-alert="a-urgent"]`)))
	if n, err := ask[int](tab, `rings`); err != nil || n != 1 {
		t.Errorf("rang %d times without an emergency, %v; want the one proof", n, err)
	}
	raise("a-emergency", escalate.Emergency)
	run(t, tab, chromedp.WaitVisible(chromedp.CSS(`[data-alert="a-emergency"]`)), titled("(2) "))
	if n, err := ask[int](tab, `rings`); err != nil || n != 2 {
		t.Errorf("rang %d times, %v; want once for the emergency", n-1, err)
	}
	if first, err := ask[string](tab, `document.querySelector('[data-alert]').dataset.alert`); err != nil || first != "a-emergency" {
		t.Errorf("first in the queue is %q, %v", first, err)
	}
	row := chromedp.CSS(`[data-alert="a-emergency"]`)
	run(t, tab, chromedp.Focus(row), chromedp.KeyEvent("a"), seeIn(`[data-alert="a-emergency"]`, "Dr Imani Okafor"), titled("(1) "))
	// What is open comes first, so the one just taken is now below the other.
	run(t, tab, chromedp.Focus(row), chromedp.KeyEvent("k"))
	if on, err := ask[string](tab, `document.activeElement.dataset.alert`); err != nil || on != "a-urgent" {
		t.Errorf("k leads to %q, %v; want the one above", on, err)
	}
	run(t, tab, chromedp.Focus(chromedp.CSS(`[data-alert="a-urgent"]`)), chromedp.KeyEvent("a"), titled("Today"))
	run(t, tab, chromedp.Focus(row), chromedp.KeyEvent("m"), chromedp.WaitVisible(chromedp.CSS(`[data-alert="a-emergency"] .inline-form input`)))
	run(t, tab, chromedp.SendKeys(chromedp.CSS(`[data-alert="a-emergency"] .inline-form input`), "On the way here"), chromedp.KeyEvent(kb.Enter))
	until(t, "the comment is in the history", func() bool {
		var text string
		err := a.DB.View(func(tx *store.Tx) error {
			x, err := tx.Duty().Alert("a-emergency")
			for _, e := range x.History {
				text += e.Text + " "
			}
			return err
		})
		return err == nil && strings.Contains(text, "On the way here")
	})
	sound(t, tab)
}

// raise puts an alert about a wearer into the queue.
func raise(t *testing.T, a program, wearer care.WearerID, id care.AlertID, level escalate.Level) {
	t.Helper()
	err := a.DB.Update(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(wearer)
		if err != nil {
			return err
		}
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		_, err = dispatch.Apply(tx, rules, escalate.Alert{ID: id, Wearer: wearer, Family: w.Family, Rule: "pain-persists"},
			escalate.Event{Kind: escalate.Raised, Level: level, Eye: "left", Entry: care.EntryID("e-" + id)})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// An emergency that nobody has taken stands on top of whatever page is open,
// before the page's own heading and also on a page that was scrolled, and takes
// nothing from whoever is typing. It goes when somebody has it.
func TestAnEmergencyTakesTheTopOfAnyPage(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	ids := strings.NewReplacer("W", wearerID(t, c, a, "W-0010"), "F", "family-Petrov")
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"))
	if _, err := ask[string](tab, `location.hash = "#wearers"`); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.WaitVisible(sel("wearer-row")), chromedp.SendKeys(sel("wearer-search"), "acht"))
	raise(t, a, care.WearerID(wearerID(t, c, a, "W-0002")), "a-emergency", escalate.Emergency)
	run(t, tab, chromedp.WaitVisible(sel("arrived")), chromedp.KeyEvent("erberg"))
	if text, err := ask[string](tab, `document.querySelector('[data-test=wearer-search]').value`); err != nil || text != "achterberg" {
		t.Errorf("while it came, %q was typed, %v; want achterberg", text, err)
	}
	run(t, tab, seeIn("[data-test=arrived]", "Mira Castellan, 15"), seeIn("[data-test=arrived]", "I have this"))
	for _, p := range consolePages("clinician") {
		if p.at == "today" || p.shows == refusal {
			continue
		}
		hash := ids.Replace(p.at)
		if _, err := ask[string](tab, `location.hash = "#`+hash+`"`); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Run(tab, chromedp.PollFunction[bool](quietJS, chromedp.WithPollingArgs(hash), chromedp.WithPollingTimeout(patience))); err != nil {
			t.Fatalf("%s: %v", p.at, err)
		}
		const above = `(() => {
			scrollTo(0, document.body.scrollHeight);
			const at = document.querySelector('[data-test=arrived]').getBoundingClientRect();
			scrollTo(0, 0);
			return at.top >= 0 && at.top < 60 && document.querySelector('[data-test=arrived]').getBoundingClientRect().bottom <= document.querySelector('main h1').getBoundingClientRect().top;
		})()`
		if ok, err := ask[bool](tab, above); err != nil || !ok {
			t.Errorf("%s: the emergency is not on top, %v", p.at, err)
		}
	}
	// Taken from the middle of a form it stays a banner with its number, and the form stays; else it leads to its card.
	raise(t, a, care.WearerID(wearerID(t, c, a, "W-0003")), "b-emergency", escalate.Emergency)
	run(t, tab, seeIn("[data-arrived=b-emergency]", "Leon Petrov"), toHash(ids.Replace("visits/W")), tap("visit-new"), chromedp.WaitVisible(sel("visit-form")), chromedp.SendKeys(sel("visit-note"), "half a sentence"))
	// what has just come takes no click for a moment
	run(t, tab, awaited(`Promise.all(document.querySelector('.arrived').getAnimations({ subtree: true }).map((a) => a.finished)).then(() => true)`))
	run(t, tab, chromedp.Click(`[data-arrived=b-emergency] [data-test=arrived-take]`), seeIn("[data-arrived=b-emergency]", "You have this."))
	if text, err := ask[string](tab, `document.querySelector('[data-test=visit-note]').value + ' ' + !!document.querySelector('[data-arrived=b-emergency] a.dial')`); err != nil || text != "half a sentence true" {
		t.Errorf("what was typed is %q, and whether the number is there, %v", text, err)
	}
	// Two pressed at once and the other was first: the banner says who has it, by the server's word.
	err := a.DB.Update(func(tx *store.Tx) error {
		x, err := tx.Duty().Alert("b-emergency")
		if err != nil {
			return err
		}
		x.AckName = "Tomas Lindqvist"
		return tx.Duty().PutAlert(x)
	})
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, seeIn("[data-arrived=b-emergency]", "Tomas Lindqvist has this"))
	run(t, tab, chromedp.Click(`[data-arrived=b-emergency] a[href*="today"]`), seeIn("main", "Who needs a call"))
	loseTheRace(t, a, tab, care.WearerID(wearerID(t, c, a, "W-0005")))
	run(t, tab, toHash("wearers"), chromedp.Click(`[data-arrived=a-emergency] [data-test=arrived-take]`), chromedp.WaitVisible(`[data-alert="a-emergency"]:focus a.dial`))
	err = a.DB.View(func(tx *store.Tx) error {
		x, err := tx.Duty().Alert("a-emergency")
		if err == nil && x.AckName != "Dr Imani Okafor" {
			t.Errorf("it is with %q", x.AckName)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, tab)
}

// loseTheRace presses "I have this" in a banner that does not know yet that a colleague
// has it: until the press is refused, no queue comes. The banner then names the
// colleague on whatever page is opened, and never says that who pressed has it.
func loseTheRace(t *testing.T, a program, tab context.Context, wearer care.WearerID) {
	t.Helper()
	raise(t, a, wearer, "c-emergency", escalate.Emergency)
	run(t, tab, toHash("recalls"), chromedp.WaitVisible(`[data-arrived=c-emergency] [data-test=arrived-take]`),
		awaited(`Promise.all(document.querySelector('.arrived').getAnimations({ subtree: true }).map((a) => a.finished)).then(() => true)`))
	const hold = `(() => { const real = window.fetch; let go; const pressed = new Promise((r) => { go = r; });
		window.fetch = async (path, init) => {
			if (String(path).endsWith('clinic/alerts')) await pressed;
			const answer = await real(path, init);
			if (String(path).endsWith('c-emergency/acknowledge')) { go(); window.fetch = real; }
			return answer;
		}; return true; })()`
	if _, err := ask[bool](tab, hold); err != nil {
		t.Fatal(err)
	}
	err := a.DB.Update(func(tx *store.Tx) error {
		x, err := tx.Duty().Alert("c-emergency")
		if err != nil {
			return err
		}
		x.State, x.AckBy, x.AckName, x.AckAt = escalate.Acknowledged, "tomas", "Tomas Lindqvist", bedtime
		return tx.Duty().PutAlert(x)
	})
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.Click(`[data-arrived=c-emergency] [data-test=arrived-take]`))
	for _, page := range []string{"recalls", "wearers", "practice"} {
		run(t, tab, toHash(page), seeIn("[data-arrived=c-emergency] [data-test=arrived-taken]", "Tomas Lindqvist has this"))
		if text, err := ask[string](tab, `document.querySelector('[data-arrived=c-emergency]').textContent`); err != nil || strings.Contains(text, "You have this") {
			t.Errorf("%s: who lost the race reads %q, %v", page, text, err)
		}
	}
}

// A clinician on duty in bed, with a phone, and the desk in the morning: name, age, level,
// sign, the number to dial and "I have this", for the desk "Desk has phoned", stand on the
// first screen, without scrolling. That the desk has phoned takes the alert from no
// clinician; the desk can log a call, and write that no lens goes in.
func TestAlertCardFitsAPhone(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	wearer := care.WearerID(wearerID(t, clinician(t, a), a, "W-0002"))
	raise(t, a, wearer, "a-1", escalate.Emergency)
	for role, takes := range map[string]string{"clinician": "I have this", "desk": "Desk has phoned"} {
		tab := phone(t, newBrowser(t))
		at(t, tab, bedtime)
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/"+role), see("acknowledge", takes))
		run(t, tab, see("alert-birth", "Born "))
		shot(t, tab, "alert-card-phone-"+role)
		for _, part := range []string{".level", "h3", ".whom", "[data-test=dial]", "[data-test=acknowledge]"} {
			below, err := ask[float64](tab, `document.querySelector('[data-test=alert-row] `+part+`').getBoundingClientRect().bottom - innerHeight`)
			if err != nil || below > 0 {
				t.Errorf("%s: %s ends %.0f px below the first screen, %v", role, part, below, err)
			}
		}
		whom, err := ask[string](tab, `document.querySelector('[data-test=alert-row] .whom').textContent`)
		if err != nil || !strings.HasPrefix(whom, "Mira Castellan, 15") {
			t.Errorf("%s: whom: %q, %v", role, whom, err)
		}
		if to, err := ask[string](tab, `document.querySelector('[data-test=dial]').href`); err != nil || !strings.HasPrefix(to, "tel:+") {
			t.Errorf("%s: dials %q, %v", role, to, err)
		}
		sound(t, tab)
	}
	desk := phone(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk"), tap("acknowledge"), see("alert-row", "The desk has phoned"), see("alert-row", "a clinician is still told"), chromedp.WaitNotPresent(sel("acknowledge")),
		chromedp.WaitVisible(sel("call")), chromedp.WaitNotPresent(sel("close")), tap("card-write"), tap("say-stays"), chromedp.WaitNotPresent(sel("say-resume")),
		chromedp.SetValue(sel("say-eyes"), "left"), changed("say-eyes"), tap("say-send"), see("wear-now", "Left eye: stop"), see("wear-now", "Right eye: no stop"))
	shot(t, desk, "desk-writes")
	if got := liveAlerts(t, a, "W-0002"); len(got) != 1 || alertsOf(t, clinician(t, a), a, string(wearer))[0].State != "open" {
		t.Errorf("once the desk has phoned: %v, want one alert that nobody has", got)
	}
	sound(t, desk)
}

// titled waits until the window's title begins with a text.
func titled(text string) step {
	return awaited(`new Promise((done) => {
		const look = () => (document.title.startsWith('` + text + `') ? done(true) : setTimeout(look, 20));
		look();
	})`)
}

// A chemical that nobody has taken for seven minutes, and a newer emergency in the same
// alert: the banner and the card lead with the chemical, as the phone does, and name the
// newer sign in their heads (the two clocks are set here).
func TestANewerSignHidesNoLongerWait(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	first, second := phoneAt(t, bedtime), phoneAt(t, bedtime.Add(7*time.Minute))
	run(t, first, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("now-chemical"), see("advice", "Rinse the eye now"), sent())
	a.clock.Set(bedtime.Add(7 * time.Minute))
	run(t, second, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), see("now-hold", "Rinse the eye now"), tap("wrong"), tap("now-shut"), chromedp.WaitVisible(sel("advice")), sent())
	for name, tab := range map[string]context.Context{"wait-card": desktop(t, newBrowser(t)), "wait-card-phone": phone(t, newBrowser(t))} {
		at(t, tab, bedtime.Add(7*time.Minute))
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), see("alert-row", "A chemical in the eye: peroxide"))
		for page, head := range map[string]string{"today": "[data-test=alert-row] header", "recalls": "[data-test=arrived]"} {
			run(t, tab, awaited(`Promise.resolve(location.hash = "#`+page+`").then(() => true)`), seeIn(head+" :is(h3, b)", "A chemical in the eye: peroxide"), seeIn(head, "7 min ago"), seeIn(head+" [data-test=later]", "The eye will not open"))
			shot(t, tab, name+page)
			below, err := ask[float64](tab, `document.querySelector('`+head+`').parentElement.querySelector('.primary').getBoundingClientRect().bottom - innerHeight`)
			if err != nil || below > 0 {
				t.Errorf("%s: “I have this” ends %.0f px below the first screen, %v", name+page, below, err)
			}
		}
		sound(t, tab)
	}
}
