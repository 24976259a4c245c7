package e2e_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// inPeroxide lets a wearer's plan say that the lenses lie in peroxide.
func inPeroxide(t *testing.T, a program, code string) care.WearerID {
	t.Helper()
	id := care.WearerID(wearerID(t, clinician(t, a), a, code))
	err := a.DB.Update(func(tx *store.Tx) error {
		r, err := tx.Chart().Plan(id)
		if err != nil {
			return err
		}
		var plan map[string]any
		if err := json.Unmarshal(r.Plan, &plan); err != nil {
			return err
		}
		plan["care_system"], plan["soak_minutes"] = "peroxide", 360
		raw, err := json.Marshal(plan)
		if err != nil {
			return err
		}
		_, err = tx.Chart().PutPlan(id, r.By, raw)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// A lens from peroxide that soaked an hour instead of six is a possible chemical
// exposure (FDA consumer notice 2016): the check of the eye opens and says why and
// what to do, and left without an answer it stands in the log as begun. Help shows the cards of
// peroxide and none of the other system.
func TestAShortPeroxideSoakOpensTheCheck(t *testing.T) {
	t.Parallel()
	eight := time.Date(2026, 3, 24, 20, 0, 0, 0, time.UTC)
	a := demoAt(t, eight)
	id := inPeroxide(t, a, "W-0002") // the teen of the demo
	tab := phoneAt(t, eight.Add(10*time.Minute))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), toHash("night/2026-03-23"), tap("add-care"), tap("care-all"), tap("closed-change"), awaited(closedAt("20:00")), tap("trouble-no"), tap("confirm"), chromedp.WaitVisible(sel("saved")))
	at(t, tab, eight.Add(time.Hour))
	run(t, tab, chromedp.Navigate(a.URL()+"/#night/2026-03-24"), chromedp.Reload(), tap("add-in"), tap("confirm"), chromedp.WaitVisible(sel("step-now")), chromedp.WaitVisible(sel("now-chemical")),
		see("soaked", "A lens went in before the peroxide was safe"), see("soaked", "If you feel nothing: take the lens out"), sent())
	shot(t, tab, "peroxide-short")
	begun := 0
	if err := a.DB.View(func(tx *store.Tx) error {
		return tx.Log().WearerEntries(id, civil.MustDate("2026-03-24"), civil.MustDate("2026-03-24"), func(e care.Entry) bool {
			if e.Kind == care.CheckOpen {
				begun++
			}
			return true
		})
	}); err != nil || begun != 1 {
		t.Errorf("%d checks stand in the log as begun, want 1; %v", begun, err)
	}
	run(t, tab, toHash("help"), chromedp.WaitVisible(sel("card-cleaning-peroxide")), chromedp.WaitVisible(sel("card-insertion-peroxide")), chromedp.WaitNotPresent(sel("card-cleaning-multipurpose")), chromedp.WaitNotPresent(sel("card-insertion")))
	sound(t, tab)
}

// The case belongs to its bottle (FDA, Hydrogen Peroxide Solution): a new bottle
// asks for its new case. Without it the page says not to use the old one, and
// the first screen goes on saying so; with it the case is in use from that day.
func TestANewBottleOfPeroxideAsksForItsCase(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	inPeroxide(t, a, "W-0002")
	tab := phoneAt(t, bedtime)
	bottle := chromedp.Steps(toHash("supplies"), tap("supply-solution"), chromedp.WaitVisible(sel("box-yes")))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), bottle, tap("confirm"), seeIn("main", "Please say whether its new case is in use."),
		tap("box-no"), seeIn("main", "Do not use the old case with a new bottle."))
	shot(t, tab, "peroxide-old-case")
	run(t, tab, tap("confirm"), chromedp.WaitVisible(sel("saved")), toHash(""), chromedp.WaitVisible(sel("record-old-case")))
	run(t, tab, bottle, tap("box-yes"), tap("confirm"), chromedp.WaitVisible(sel("saved")), see("in-use", "Lens case since Tue 24 Mar"), see("in-use", "Bottle of solution since Tue 24 Mar"))
	shot(t, tab, "peroxide-case-with-bottle")
	run(t, tab, toHash(""), chromedp.WaitVisible(sel("home")), chromedp.WaitNotPresent(sel("record-old-case")), sent())
	sound(t, tab)
}
