package e2e_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// linked lets an administrator have made a sign-in link for a colleague, which holds.
func linked(t *testing.T, a program, name string) {
	t.Helper()
	err := a.DB.Update(func(tx *store.Tx) error {
		staff, err := tx.Register().Staff()
		if err != nil {
			return err
		}
		by := map[string]care.PersonID{}
		role := care.Role("")
		for _, p := range staff {
			by[p.Name] = p.ID
			if p.Name == name {
				role = p.Role
			}
		}
		return dispatch.NoteStaffChange(tx, register.StaffChange{ID: access.NewID(), Kind: register.StaffLinked, Person: by[name], Role: role, By: by["Joan Whitlock"], At: tx.Now, From: tx.Now})
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A sign-in link that was made for a colleague is told to the others, with who made it;
// seen, it is gone, also from the page loaded anew. On paper it never stands: a family's
// sheet is no place for the practice's own business.
func TestASignInOfAColleagueIsLookedAt(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		linked(t, a, "Tomas Lindqvist")
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.see("staff-past", "Sign-ins to look at: 1")
		w.press(css("staff-past") + " > summary")
		w.see("staff-past", "Tomas Lindqvist was given a sign-in link as clinician by Joan Whitlock")
		w.tap("staff-seen")
		w.gone(css("staff-past"))
		w.again()
		w.seeIn("main", "Who needs a call")
		w.gone(css("staff-past"))
		w.sound()
	})
}

// On the sheets of a review nothing of the console stands, whatever it has to tell: its
// menu, its buttons, sign-ins of colleagues, an emergency elsewhere.
func TestNothingOfTheConsoleIsPrinted(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	linked(t, a, "Tomas Lindqvist")
	raise(t, a, care.WearerID(wearerID(t, c, a, "W-0002")), "a-emergency", escalate.Emergency)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"),
		awaited(`Promise.resolve(globalThis.print = () => {}).then(() => true)`), // the browser's own dialogue would hold the page
		toHash("wearer/"+wearerID(t, c, a, "W-0010")), chromedp.WaitVisible(sel("points")), chromedp.WaitVisible(sel("staff-past")), chromedp.WaitVisible(sel("arrived")))
	for mark, feet := range map[string][]string{"print-one": {"Page 1 of 1."}, "print-two": {"Page 1 of 2.", "Page 2 of 2."}} {
		run(t, desk, tap(mark), chromedp.WaitReady(chromedp.CSS(map[string]string{"print-one": ".one-sheet", "print-two": ".two-sheets"}[mark])))
		onPaper(t, desk, true)
		text, err := ask[string](desk, `document.body.innerText`)
		if err != nil {
			t.Fatal(err)
		}
		for _, not := range []string{"Sign-ins to look at", "Mira Castellan", "I have this", "Sound for a new emergency", "Two sheets", "Settings", "On duty"} {
			if strings.Contains(text, not) {
				t.Errorf("%s: on paper stands %q", mark, not)
			}
		}
		for _, foot := range feet {
			if strings.Count(text, foot) != 1 {
				t.Errorf("%s: %q stands %d times on paper, want once", mark, foot, strings.Count(text, foot))
			}
		}
		if !strings.Contains(text, "Jonas Feldmann") || !strings.Contains(text, "Printed 24 Mar 2026 by Dr Imani Okafor, Harbour Lane Eye Practice.") || !strings.Contains(text, "since the last visit") {
			t.Errorf("%s: whose, of which period and who printed it are missing: %.300s", mark, text)
		}
		onPaper(t, desk, false)
		run(t, desk, chromedp.WaitVisible(sel(mark)))
	}
	sound(t, desk)
}

// An alert that was handed on says to whom, on the card of both, until the other takes
// it; then it says who has it.
func TestACardSaysToWhomItWasHanded(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		raise(t, a, care.WearerID(wearerID(t, clinician(t, a), a, "W-0010")), "a-one", escalate.Urgent)
		w, other := deskIn(t, e, bedtime), deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.visible(`[data-alert="a-one"]`)
		w.press(`[data-alert="a-one"] ` + css("hand-over"))
		w.visible(`[data-alert="a-one"] .inline-form select`)
		w.do(`(() => { const s = document.querySelector('[data-alert="a-one"] .inline-form select'); s.value = [...s.options].find((o) => o.text.startsWith('Priya Raman')).value; s.dispatchEvent(new Event('change', { bubbles: true })); })()`)
		w.press(`[data-alert="a-one"] .inline-form button.primary`)
		w.seeIn(`[data-alert="a-one"] .delivery`, "Nobody has acknowledged this.")
		w.seeIn(`[data-alert="a-one"] .delivery`, "Handed to Priya Raman.")
		other.goTo(a.URL() + "/demo/desk")
		other.seeIn(`[data-alert="a-one"] .delivery`, "Handed to Priya Raman.")
		w.again()
		w.seeIn(`[data-alert="a-one"] .delivery`, "Handed to Priya Raman.")
		w.press(`[data-alert="a-one"] ` + css("acknowledge"))
		w.seeIn(`[data-alert="a-one"] .delivery`, "Dr Imani Okafor has this since")
		w.sound()
		other.sound()
	})
}

// A stop that was decided at a visit and not written stands on Today, and leads to where
// it is written: the form has that eye and the stop, and once it is sent Today is rid of it.
func TestTheStopOfAVisitIsWrittenFromToday(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0010")
		post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/visits", map[string]any{"date": "2026-03-24", "due": "", "kind": "unscheduled", "state": "kept", "scale": "Efron grading scales, 0 to 4", "sure": true,
			"right": map[string]any{}, "left": map[string]any{"grades": map[string]any{"infiltrates": 2}, "wear": "stop"}})
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Stop decided, not written")
		w.tap("stop-link")
		w.seeIn("main h1", "Jonas Feldmann")
		w.see("stop-to-write", "None holds until it is written here")
		w.see("say", "Write to the family")
		w.until(`document.querySelector('[data-test=say-eyes]')?.value === 'left'`)
		w.shot("stop-from-today")
		// Whoever leaves the page and comes back by any other way finds it there too.
		w.do(`(location.hash = '#wearers')`)
		w.gone(css("stop-to-write"))
		w.do(`(location.hash = '#visits/` + id + `')`)
		w.see("stop-to-write", "None holds until it is written here")
		w.until(`document.querySelector('[data-test=say-eyes]')?.value === 'left'`)
		w.tap("say-send")
		w.see("say-sent", "Written.")
		w.gone(css("stop-to-write"))
		w.do(`(location.hash = '#today')`)
		w.seeIn("main", "Who needs a call")
		w.until(`!document.querySelector('main').innerText.includes('Stop decided, not written')`)
		w.sound()
	})
}
