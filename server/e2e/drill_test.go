package e2e_test

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// The gate and a drill, walked as the people who meet them. The desk wants to
// invite a new family and is told what is missing; it starts a drill from the daily
// check and its own tap ends nothing; a phone of the practice joins the drill
// family as a parent's would and shows whom the drill is about; the clinician finds
// the drill on Today, apart from children, and takes it; the daily check that the desk
// has open shows who, without being opened anew; and when the rest is in place, the family is invited.
func TestTheGateAndADrillAsDeskClinicianAndParent(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	err := d.db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "A Parent", Role: care.Parent}),
			tx.Access().Invite("LINKK", register.Invitation{Person: "k1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	desk := desktop(t, newBrowser(t))
	run(t, desk, chromedp.Navigate(d.url+"/staff#LINKK"), seeIn("main", "passkey"), chromedp.Navigate(d.url+"/clinic#family/f1"), tap("invite"),
		seeIn(css("invite-refused"), "No drill was answered yet"), seeIn(css("invite-refused"), "No rota"), seeIn(css("invite-refused"), "No telephone number of the practice"))
	shot(t, desk, "gate-1-refused")
	run(t, desk, chromedp.Navigate(d.url+"/clinic#check"), seeIn(css("check-state"), "No new family is invited"), seeIn(css("drills"), "There was none yet"))
	shot(t, desk, "gate-2-daily-check")
	run(t, desk, tap("drill-start"), seeIn(css("drill-table"), "running"), tap("drill-phone"), chromedp.WaitVisible(sel("invite-code")))
	code, err := ask[string](desk, `document.querySelector('[data-test=invite-code]').textContent`)
	if err != nil {
		t.Fatal(err)
	}
	parent := newBrowser(t)
	run(t, parent, chromedp.Navigate(d.url+"/join#"+strings.TrimSpace(code)), chromedp.WaitVisible(sel("join")), tap("join-agree"), tap("join"), seeIn("body", "nobody is ill"))
	shot(t, parent, "drill-3-phone-of-the-practice")

	run(t, desk, chromedp.Navigate(d.url+"/clinic#today"), seeIn(css("drill-row"), "nobody is ill"), tap("acknowledge"), seeIn(css("drill-row"), "a clinician is still told"))
	shot(t, desk, "drill-4-desk")
	run(t, desk, chromedp.Navigate(d.url+"/clinic#check"), seeIn(css("drill-table"), "running"), seeIn(css("check-state"), "not in order"))
	run(t, d.tab, chromedp.Navigate(d.url+"/staff#LINKC"), seeIn("main", "passkey"), chromedp.Navigate(d.url+"/clinic#today"), seeIn(css("drill-row"), "Drill: nobody is ill"))
	shot(t, d.tab, "drill-5-clinician")
	run(t, d.tab, tap("acknowledge"), chromedp.WaitNotPresent(sel("drill-row")))
	run(t, desk, chromedp.WaitVisible(chromedp.CSS(`[data-test=drill-result][data-state=answered]`)), seeIn(css("drill-table"), "desk: K"), seeIn("header.side", "Nobody is on duty now"))
	shot(t, desk, "drill-6-result")

	rota := escalate.Rota{Zone: "Europe/London"}
	for day := range 7 { // on whatever day this runs
		rota.Slots = append(rota.Slots, escalate.Slot{Weekday: day, To: 12 * 60, Person: "c1"}, escalate.Slot{Weekday: day, From: 12 * 60, Person: "c1"})
	}
	err = d.db.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		p.Unwatched = true
		p.Contacts = care.Contacts{Clinic: "P", Phone: "020 7946 0100", AfterHours: "020 7946 0111", Emergency: "999", Zone: "Europe/London",
			Place: care.Place{Name: "Eye casualty"}, Hours: []care.Hours{{Weekday: 1, From: 9 * 60, To: 17 * 60}}}
		for _, err := range []error{
			tx.Register().PutPractice(p), tx.Register().SetReadBack(tx.Now),
			tx.Register().SetSetting("rota", rota),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	// The page that the desk has open shows the rota and who is on duty, by itself.
	run(t, desk, seeIn("header.side", "On duty: C"))
	// This server has no mail: the one thing left, and it alone is said.
	run(t, desk, chromedp.Navigate(d.url+"/clinic#family/f1"), tap("invite"), seeIn(css("invite-refused"), "No mail server"))
	left, err := ask[string](desk, `document.querySelector('[data-test=invite-refused] p').textContent`)
	if err != nil || strings.Count(left, "\n") != 1 {
		t.Errorf("refused with %q, %v; want mail alone", left, err)
	}
	shot(t, desk, "gate-7-mail-alone")
}

// The demo invites whatever stands open, so neither its daily check nor Today says
// that no family is invited.
func TestTheDemoSaysNothingOfAGateItHasNot(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn(css("check-line"), "not in order"))
	line, err := ask[string](tab, `document.querySelector('[data-test=check-line]').textContent`)
	if err != nil || strings.Contains(line, "invited") {
		t.Errorf("Today: %q %v", line, err)
	}
	run(t, tab, chromedp.Navigate(a.URL()+"/clinic#check"), seeIn(css("check-state"), "not in order"))
	state, err := ask[string](tab, `document.querySelector('main').textContent`)
	if err != nil || strings.Contains(state, "family is invited") {
		t.Errorf("daily check: %q %v", state, err)
	}
	sound(t, tab)
}
