package e2e_test

import (
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// Outside an alert a clinician writes a word to a family, sees that it was
// read, and what they answered, stops an eye, and says "again": when a colleague has stopped the other
// eye meanwhile, nothing is written, the page says so, and what was typed stands.
func TestAWordOutsideAnAlert(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	id := wearerID(t, clinician(t, a), a, "W-0002") // the teen of the demo
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(chromedp.CSS("main h1")), toHash("wearer/"+id), tap("say-open"), chromedp.WaitVisible(sel("say-form")), seeIn("[data-test=say] h2:focus", "Write to the family"))
	run(t, tab, chromedp.SetValue(sel("say-phrase"), "call-us"), changed("say-phrase"), chromedp.SendKeys(sel("say-text"), "After four, please"), tap("say-send"),
		see("say-shown", "Please call us. After four, please"), see("say-shown", "Nobody has marked it as read."))
	teen := phone(t, newBrowser(t))
	at(t, teen, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), see("said", "After four, please"), see("said", "Last heard from the clinic:"),
		tap("said-answer"), see("said", "Nobody reads this now"), chromedp.SendKeys(sel("reply-text"), "We can at five. It burns a little"), tap("reply-send"),
		see("sore", "Is it about an eye now?"), chromedp.Reload(), ready(), chromedp.WaitVisible(sel("reply-text")),
		becomes(`document.querySelector('[data-test=reply-text]').value === 'We can at five. It burns a little'`), tap("reply-send"), // what was typed outlives the app
		see("sore", "Is it about an eye now?"), tap("sore-no"), see("said", "We can at five"), tap("said-read"))
	read := func() (n int) {
		err := a.DB.View(func(tx *store.Tx) error {
			for _, e := range tx.Log().WearEntries(care.WearerID(id)) {
				if e.Kind == care.Read {
					n++
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	until(t, "the receipt is stored", func() bool { return read() == 1 })
	run(t, tab, tap("say-open"), tap("say-open"), see("say-shown", "Read by "), see("say-shown", "We can at five"))

	run(t, tab, tap("say-stays"), chromedp.SetValue(sel("say-eyes"), "right"), changed("say-eyes"), tap("say-send"), see("wear-now", "Right eye: stop"), see("wear-now", "Left eye: no stop"))
	run(t, teen, chromedp.Navigate(a.URL()+"/"), ready(), see("said", ": no lens until your clinic says so here."))
	// Own words that read like a release are asked about, let no lens in, and what holds is still there ten weeks on.
	run(t, tab, chromedp.SendKeys(sel("say-text"), "Both lenses can go back in this evening."), tap("say-send"), see("own-words", "Right eye: no lens until your clinic says so here."),
		see("own-words", "Left eye: not stopped."), tap("unlikely-yes"), see("say-shown", "Both lenses can go back in this evening."))
	run(t, teen, chromedp.Reload(), ready(), see("said", "This lets no lens in. Right eye: no lens until your clinic says so here."))
	at(t, teen, bedtime.AddDate(0, 0, 70))
	run(t, teen, chromedp.Reload(), ready(), see("said", "Both lenses can go back in this evening."), see("said", ": no lens until your clinic says so here."))
	shot(t, teen, "said-in-spring")

	resume := []step{tap("say-resume"), chromedp.SetValue(sel("resume-basis"), "examined"), changed("resume-basis"), chromedp.SetValue(sel("resume-eyes"), "right"), changed("resume-eyes"), tonight("resume-from"),
		tap("resume-case"), chromedp.SendKeys(sel("say-text"), "Seen by me today")}
	run(t, tab, resume...)
	// their answer, which nobody has marked as read, is named here too
	run(t, tab, see("close-standing", "We can at five. It burns a little"), becomes(`document.querySelector('`+css("close-known")+`').matches(':invalid')`), tap("close-known"))
	stopLeft(t, a, care.WearerID(id))
	run(t, tab, tap("say-send"), see("say-error", "Nothing was written; what you typed is kept."), see("wear-now", "Left eye: stop"))
	if kept, err := ask[string](tab, `document.querySelector('[data-test=say-text]').value`); err != nil || kept != "Seen by me today" {
		t.Errorf("after the conflict the words are %q, %v", kept, err)
	}
	run(t, tab, tap("say-send"), see("own-words", "Right eye: lenses again from the night of"), see("own-words", "Left eye: no lens until your clinic says so here."), see("own-words", "Seen by me today"))
	shot(t, tab, "say-own-words")
	run(t, tab, tap("unlikely-yes"), see("wear-now", "Right eye: no stop"), see("wear-now", "Left eye: stop"), see("say-shown", "Right eye: lenses again from the night of"))
	sound(t, tab)
}

// stopLeft stops the left eye as a colleague would at another desk.
func stopLeft(t *testing.T, a program, id care.WearerID) {
	t.Helper()
	err := a.DB.Update(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(id)
		if err != nil {
			return err
		}
		body := []byte(`{"eyes":"left","reason":"examination","review_by":"` + civilDay(7) + `"}`)
		_, err = intake.Say(tx, care.Person{ID: "colleague", Name: "A colleague", Role: care.Clinician}, w, intake.Saying{Entries: []intake.Draft{{Kind: care.Cease, Body: body}}})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// civilDay is the date some days after bedtime.
func civilDay(days int) string { return bedtime.AddDate(0, 0, days).Format("2006-01-02") }

// A closed alert is found from Today and from the wearer's page by wearer,
// outcome and date, and opened again from there, with what it was closed with.
func TestTheArchiveOfClosedAlerts(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	id := wearerID(t, clinician(t, a), a, "W-0002")
	closeOne(t, a, care.WearerID(id), "spoken-to", "Called the mother")
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "deputy:"), seeIn("main", "Closed in the last day, 1"), seeIn("main", "Why this order"), tap("archive-open"), chromedp.WaitVisible(sel("archived")))
	run(t, tab, toHash("wearer/"+id), chromedp.Click(chromedp.CSS(`main nav a[href^="#archive"]`)), see("archive-whose", "Only of"), see("archived", "closed "))
	run(t, tab, chromedp.SetValue(sel("archive-outcome"), "not-reached"), changed("archive-outcome"), tap("archive-show"), see("archive-none", "No closed alert fits this."))
	run(t, tab, chromedp.SetValue(sel("archive-outcome"), "spoken-to"), changed("archive-outcome"), tap("archive-show"), chromedp.WaitVisible(sel("archived")))
	run(t, tab, toHash("archive?wearer="+id+"&from="+civilDay(1)), see("archive-none", "No closed alert fits this."))
	run(t, tab, toHash("archive?wearer="+id+"&from="+civilDay(0)+"&to="+civilDay(0)), chromedp.Click(chromedp.CSS(".archived summary")), seeIn(".closings", "Called the mother"), seeIn(".closings", "lenses: no decision needed"))
	run(t, tab, tap("reopen"), chromedp.SendKeys(sel("reopen-why"), "Pain again"), tap("reopen-save"), see("archived", "Open again"), seeIn(".archived", "see Today"))
	run(t, tab, toHash("today"), seeIn("main", "1 not acknowledged"))
	sound(t, tab)
}

// closeOne raises an alert and closes it.
func closeOne(t *testing.T, a program, id care.WearerID, outcome, note string) {
	t.Helper()
	err := a.DB.Update(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(id)
		if err != nil {
			return err
		}
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		rules.Outcomes = []string{outcome} // as the program gives them to the rules
		alert, err := dispatch.Apply(tx, rules, escalate.Alert{ID: "a-closed", Wearer: id, Family: w.Family, Rule: "pain-persists"},
			escalate.Event{Kind: escalate.Raised, Level: escalate.Urgent, Entry: "e-closed"})
		if err != nil {
			return err
		}
		_, err = dispatch.Apply(tx, rules, alert, escalate.Event{Kind: escalate.Close, By: "colleague", Name: "A colleague", Role: care.Clinician, Outcome: outcome, Text: note, Decision: escalate.NoneMade})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// toHash goes to another page of the console.
func toHash(to string) step {
	return awaited(`Promise.resolve(location.hash = "#` + to + `").then(() => true)`)
}
