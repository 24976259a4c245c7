package e2e_test

import (
	"context"
	"net/http"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// stand is what the clinic reads of where a wearer stands.
type stand struct {
	Causes []string
	Wear   map[string]struct{ State string }
	Unread []struct{ Entry string }
	In     []struct{ Entry string } `json:"lenses_in"`
}

// known are what a clinician who releases says to know: words nobody has read, and lenses
// that are in.
func (s stand) known() (ids []string) {
	for _, x := range slices.Concat(s.Unread, s.In) {
		ids = append(ids, x.Entry)
	}
	return ids
}

func standing(t *testing.T, c *http.Client, a program, wearer string) stand {
	t.Helper()
	return getJSON[stand](t, c, a.URL()+"/api/clinic/wearers/"+wearer+"/wear")
}

// resume is what the clinician's page sends: it takes what waits, and lists the
// causes it showed.
func resume(t *testing.T, c *http.Client, a program, wearer, eyes, from string) {
	t.Helper()
	queue := getJSON[struct {
		Alerts []struct{ ID, Wearer, State string }
	}](t, c, a.URL()+"/api/clinic/alerts")
	for _, alert := range queue.Alerts {
		if alert.Wearer == wearer && alert.State == "open" {
			post(t, c, a.URL()+"/api/clinic/alerts/"+alert.ID+"/acknowledge", map[string]any{})
		}
	}
	now := standing(t, c, a, wearer)
	causes := now.Causes
	body := map[string]any{"eyes": eyes, "answers": causes, "from": from, "basis": "examined", "new_case": true}
	post(t, c, a.URL()+"/api/clinic/wearers/"+wearer+"/say", map[string]any{"causes": causes, "known": now.known(), "entries": []any{map[string]any{"kind": "resume", "body": body}}})
}

// An emergency is reported; the lenses come out; the phone says no lens, at once,
// after a reload, without a network, the next evening; "in" is taken down all the
// same, with thanks; only what the clinician says ends it, on the day it names.
func TestNoLensUntilTheClinicSaysFromWhen(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		w.tap("wrong", "now-pain")
		w.visible(css("advice"))
		w.tap("home", "open-child")
		w.seeIn("main", "Lenses out now")
		w.visible(css("call-after"))
		w.sent()
		w.shot("wear-1-out-now")
		w.tap("wear-out", "confirm")
		w.see("now-hold", "No lenses")
		w.gone(css("now-rest"))
		w.sent()
		w.shot("wear-2-stop")
		if s := standing(t, c, a, id); s.Wear["right"].State != "stop" || s.Wear["left"].State != "stop" {
			t.Fatalf("the clinic reads %+v, want both eyes stopped", s)
		}
		w.tap("home")
		w.see("board", "No lenses")

		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		w.anew("/child")
		w.see("now-hold", "No lenses")
		w.tap("wear-say")
		w.see("wear-against", "Not released")
		w.tap("against-no")
		w.see("now-hold", "No lenses")
		w.gone(css("unsent"))
		w.tap("wear-say", "confirm")
		w.see("live", "Thank you for saying so")
		w.seeIn("main", "Lenses out now")
		w.tap("wear-out", "confirm")
		w.see("now-hold", "does not have this")
		w.gone(css("now-in"))
		w.shot("wear-3-unsent")
		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		w.sent()
		if got := liveAlerts(t, a, "W-0012"); len(got) != 1 || got[0] != "emergency" {
			t.Errorf("at the clinic: %v, want one alert, an emergency, that has the lenses of the stop too", got)
		}

		next := bedtime.AddDate(0, 0, 1)
		a.clock.Set(next)
		w.at(next)
		w.anew("/child")
		w.see("now-hold", "No lenses")
		w.gone(css("now-in"))
		w.sent()
		resume(t, c, a, id, "both", "2026-03-26")
		w.anew("/child")
		w.see("now-hold", "No lenses until Thu") // WebKit writes a comma after the day
		w.see("now-hold", "26 Mar")
		w.gone(css("now-in"))
		w.shot("wear-4-until")
		free := bedtime.AddDate(0, 0, 2)
		a.clock.Set(free)
		w.at(free)
		w.anew("/child")
		w.see("now-in", "Lenses in")
		w.gone(css("now-hold"))
		w.sound()
	})
}

// An eye that will not open, its lens in it: no screen says "take the lenses out"
// where the advice says not to press, and each says to go now, before and after
// the clinic has taken it. (AAO, first aid for eye injuries: no pressing.)
func TestTheFirstScreenOfAnEmergencySaysWhatItsAdviceSays(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	tab := phoneAt(t, bedtime)
	const ease, leave = "Lens out only if it comes with ease", "Go to emergency eye care now"
	never := becomes(`!/Take the lenses out|with clean hands|Take them out/.test(document.querySelector('main').innerText)`)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")),
		tap("wrong"), tap("now-shut"), see("advice", ease), see("advice", leave), tap("home"), seeIn("main", ease), seeIn("main", leave), never,
		tap("open-child"), see("now-out", ease), see("now-out", leave), seeIn("main", "Go here now"), never, sent())
	shot(t, tab, "wear-emergency-in")
	run(t, tab, tap("wear-out"), tap("confirm"), see("now-hold", ease), see("now-hold", leave), see("now-hold", "Go here now"), never, sent())
	list := getJSON[struct {
		Alerts []struct{ ID, Level, State string }
	}](t, c, a.URL()+"/api/clinic/alerts?wearer="+wearerID(t, c, a, "W-0012"))
	for _, al := range list.Alerts {
		if al.Level == "emergency" && al.State == "open" {
			post(t, c, a.URL()+"/api/clinic/alerts/"+al.ID+"/acknowledge", map[string]any{})
		}
	}
	run(t, tab, chromedp.Reload(), see("now-hold", "has read it"), see("now-hold", ease), see("now-hold", leave), never)
	shot(t, tab, "wear-emergency-taken")
	sound(t, tab)
}

// A lens is in and the report says that it is stuck, or leaves open what may be
// serious: the first screen says that with the number, and not "take the lenses out"
// of a lens that does not come.
func TestTheFirstScreenSaysWhatIsUrgentWhileALensIsIn(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")),
		tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-in"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), tap("home"),
		see("now-out", "It may be serious. Lenses out, none tonight, and phone today."), chromedp.WaitVisible(sel("call-after")))
	shot(t, tab, "wear-unsure-in")
	run(t, tab, tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-stuck"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), tap("home"),
		see("now-out", "Do not pull at the lens, or search the eye for it."), see("now-out", "Be seen within 24 hours."), chromedp.WaitVisible(sel("call-after")), chromedp.WaitVisible(sel("wear-advice")),
		becomes(`!/Take the lenses out|Lenses out now/.test(document.querySelector('[data-test=now-out]').innerText)`))
	shot(t, tab, "wear-stuck-in")
	sound(t, tab)
}

// One eye is released: only its lens is offered, the other stays stopped beside
// it. Taking the report back says that this releases nothing, and releases
// nothing. The phone's clock is three minutes slow, and the new case counts as new.
func TestEyesStandApart(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime.Add(-3*time.Minute))
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.visible(css("wear-in"))
		w.tap("wrong", "now-pain")
		w.visible(css("advice"))
		w.tap("home", "open-child")
		w.see("now-hold", "No lenses")
		w.sent()
		w.tap("back-symptoms")
		w.see("saved", "releases nothing")
		w.see("now-hold", "No lenses")
		w.sent()
		resume(t, c, a, id, "right", "2026-03-24")
		w.anew("/child")
		w.see("now-in", "Lens in: right eye")
		w.see("now-hold", "not stopped")
		w.see("now-hold", "Left eye: Lenses out now")
		w.shot("wear-5-apart")
		// A lens that goes in before the new case that the release asks for comes out again.
		w.see("conditions", "a new lens case first")
		w.tap("wear-in")
		w.see("wear-against", "a new lens case first")
		w.tap("confirm")
		w.see("now-out", "a new lens case first")
		w.gone(css("now-asleep"))
		w.sent()
		w.see("now-out", "a new lens case first")
		w.shot("wear-5-old-case")
		w.tap("back-insertion")
		w.see("now-in", "Lens in: right eye")
		w.sent()
		w.screen("/supplies")
		w.tap("supply-case", "confirm")
		w.see("saved", "Saved")
		w.sent()
		w.anew("/child")                                // from what the phone has read back
		w.see("said", "lenses again from the night of") // it comes with what is asked for
		w.gone(css("conditions"))
		w.tap("wear-in")
		w.seeIn("main", "Lens in at 21:")
		w.seeIn("main", "right eye")
		w.tap("confirm")
		w.seeIn("main", "Sleep well")
		w.visible(css("now-hold"))
		w.sent()
		w.sound()
	})
}

// A morning on which a lens will not move, and the lenses are said to be out: which
// lens is in still is asked, and the check begins with that eye and that answer; left
// unfinished, it stands by itself: on the phone at once, as of a lens that is stuck,
// and in the clinic's queue.
func TestAStuckLensOfTheMorningIsHeard(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		a.clock.Set(morning)
		w.at(morning)
		w.anew("/child")
		w.tap("wear-out", "eyes-not", "moved-stuck", "confirm")
		w.visible(css("step-now")) // the check is open, and asks that first
		w.see("still-in", "Is a lens still in an eye?")
		w.shot("wear-6-still-in")
		w.tap("still-right")
		w.see("check-left", "You logged: Stuck")
		w.gone("[data-test^=whose-]")
		w.tap("check-go-on")
		w.see("step-injury", "Right eye")
		w.tap("answer-injury-no")
		w.visible(css("answer-lens-stuck") + `[aria-pressed="true"]`)
		w.shot("wear-6-known")
		w.tap("home", "open-child")
		w.see("now-out", "Do not pull at the lens")
		w.gone(css("now-rest"))
		w.gone(css("now-care"))
		w.sent()
		w.shot("wear-7-morning")
		if s := standing(t, c, a, id); s.Wear["right"].State != "stop" || s.Wear["left"].State != "stop" {
			t.Errorf("the clinic reads %+v after a stuck lens, want both eyes stopped", s)
		}
		if got := liveAlerts(t, a, "W-0012"); len(got) != 1 || got[0] != "urgent" {
			t.Errorf("at the clinic: %v, want one alert, urgent", got)
		}
		desk := deskIn(t, e, morning)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.see("alert-row", "Daniel Achterberg")
		desk.see("alert-row", "Urgent")
		desk.see("logged", "tuck")
		desk.sound()
		w.sound()
	})
}

// A lens was said to be stuck and the lenses to be out, and nobody answers which is
// true: it counts as stuck. Said to be out after all, the finding stays, the check
// begins with what was logged, and neither child nor sign is asked for again.
func TestALensSaidToBeStuckAndOut(t *testing.T) {
	t.Parallel()
	morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	torn := chromedp.Steps(chromedp.Reload(), tap("wear-out"), tap("eyes-not"), tap("moved-stuck"), tap("confirm"), chromedp.WaitVisible(sel("step-now")), chromedp.WaitVisible(sel("still-in")))
	tab, second := lensesIn(t, a, "parent#/child"), lensesIn(t, a, "teen")
	a.clock.Set(morning)
	at(t, tab, morning)
	run(t, tab, torn, tap("still-none"), see("check-known", "You logged: Stuck"), chromedp.WaitNotPresent(chromedp.CSS("[data-test^=whose-]")))
	shot(t, tab, "wear-stuck-known")
	run(t, tab, tap("eye-right"), tap("answer-injury-no"), chromedp.WaitVisible(sel("answer-lens-stuck-came-off")+`[aria-pressed="true"]`), sent())
	if s := standing(t, c, a, id); s.Wear["right"].State == "none" || s.Wear["left"].State == "none" {
		t.Errorf("the clinic reads %+v after a lens that was stuck", s)
	}
	at(t, second, morning)
	run(t, second, chromedp.Reload(), tap("wear-out"), tap("eyes-not"), tap("moved-stuck"), tap("comfort-0"), tap("confirm"), chromedp.WaitVisible(sel("step-now")), see("still-in", "Where is the stuck lens?"), chromedp.WaitVisible(sel("call-after")),
		toHash("/"), chromedp.Reload(), see("now-out", "Do not pull at the lens"), see("now-out", "Phone now"), see("still-in", "Where is the stuck lens?"), chromedp.WaitNotPresent(sel("wear-out")), sent())
	shot(t, second, "wear-stuck-unanswered")
	run(t, second, tap("wear-advice"), see("advice", "Do not pull at the lens"), becomes(`!document.querySelector('[data-test=advice]').innerText.includes('press the lid')`))
	sound(t, tab)
}

// A lens is said to be stuck while nobody knows yet when the lenses came out: the
// answer where it is is saved without a time, and the phone starts again. What an
// older version of the app has left without a time stops it no more than that.
func TestAStuckLensNeedsNoTime(t *testing.T) {
	t.Parallel()
	evening := bedtime.AddDate(0, 0, 1).Add(10 * time.Minute) // asked when they came out
	a := demoAt(t, bedtime)
	tab := lensesIn(t, a, "teen")
	a.clock.Set(evening)
	at(t, tab, evening)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("eyes-not"), tap("moved-stuck"), tap("confirm"), chromedp.WaitVisible(sel("step-now")), chromedp.WaitVisible(sel("still-in")),
		chromedp.Reload(), tap("still-none"), see("check-known", "Stuck"), sent(),
		tap("home"), chromedp.Reload(), chromedp.WaitVisible(sel("home")), chromedp.WaitNotPresent(sel("unsent")))
	damage := `new Promise((done, fail) => {
		const open = indexedDB.open('nightkeep');
		open.onsuccess = () => {
			const tx = open.result.transaction('entries', 'readwrite'), entries = tx.objectStore('entries');
			entries.getAll().onsuccess = (e) => {
				const r = e.target.result.find((r) => r.entry.kind === 'insertion');
				entries.put({...r, entry: {...r.entry, body: {...r.entry.body, at: ''}}});
			};
			tx.oncomplete = () => { open.result.close(); done(true); };
			tx.onerror = () => fail(tx.error);
		};
	})`
	if _, err := ask[bool](tab, damage); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("home")))
	sound(t, tab)
}

// The lenses were logged as out, and then a lens is said to be stuck: the one that is
// still in counts as in again, and its check is begun; once it is said to be out, it is.
func TestALensLoggedAsOutIsStuck(t *testing.T) {
	t.Parallel()
	morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
	a := demoAt(t, bedtime)
	tab := lensesIn(t, a, "teen")
	a.clock.Set(morning)
	at(t, tab, morning)
	run(t, tab, chromedp.Reload(), tap("wear-out"), tap("confirm"), tap("look-not"), tap("moved-stuck"), tap("confirm"), tap("still-left"), see("check-left", "You logged: Stuck"), tap("check-go-on"), see("step-injury", "Left eye"),
		tap("home"), see("now-out", "Do not pull at the lens"), see("now-out", "left eye"))
	run(t, tab, tap("wear-out"), tap("confirm"), see("now-hold", "No lenses"), see("now-hold", "Be seen within 24 hours."), chromedp.WaitVisible(sel("call-after")), sent())
	shot(t, tab, "wear-stuck-out")
	sound(t, tab)
}

// What is urgent is told on the board of several children, with the numbers, until the
// clinic has decided: whether or not a lens is in.
func TestTheBoardSaysWhatIsUrgentWithTheLensesOut(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"), tap("check-next"), tap("answer-redness-mild"), tap("check-stop"),
		see("advice", "Be seen within 24 hours."), tap("home"), see("board", "Be seen within 24 hours."), see("board", "No lenses"), chromedp.WaitVisible(sel("call-after")), chromedp.WaitVisible(sel("call-emergency")))
	shot(t, tab, "board-urgent-out")
	run(t, tab, tap("child-see"), see("advice", "Be seen within 24 hours."))
	sound(t, tab)
}

// A lens is in and the eye a little red, and no log says that a lens is in: home says
// of it what the advice says.
func TestALittleRedWithTheLensInIsSaidOnHome(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-in"), tap("check-next"), tap("answer-redness-mild"), tap("check-stop"),
		see("advice", "Lenses out now."), tap("home"), see("board", "Lenses out now."), see("board", "Be seen within 24 hours."), tap("open-child"), see("now-hold", "Lenses out now."), see("now-hold", "left eye"))
	shot(t, tab, "wear-red-in")
	sound(t, tab)
}

// One eye is released and the other is not: the child's page says which, and
// offers the lens that may go in. Where the numbers of the clinic stand, whom to
// phone while it is closed stands too.
func TestEachEyeIsNamedOnceOneIsReleased(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), tap("home"), tap("open-child"), see("now-hold", "No lenses"), sent())
	resume(t, c, a, id, "right", bedtime.Format(time.DateOnly))
	run(t, tab, chromedp.Reload(), see("now-hold", "Left eye: no lens"), see("wear-in", "Right lens is in"))
	shot(t, tab, "wear-5-one-eye")
	run(t, tab, atScreen("#/"), see("board", "Right lens is in"), see("board", "Left eye: no lens"), atScreen("#/child"))
	// Of the night that nobody logged, the usual answer is about the released eye alone.
	early := bedtime.Add(9*time.Hour + 20*time.Minute) // 06:40, before the plan's removal
	a.clock.Set(early)
	at(t, tab, early)
	run(t, tab, chromedp.Reload(), see("missed-usual", "Right eye: Worn as usual"), tap("missed-usual"), see("panel", "Right eye: Worn as usual"), see("panel", "Lens in at 21:30: right eye"), chromedp.WaitNotPresent(sel("wear-against")))
	shot(t, tab, "wear-5-one-eye-missed")
	run(t, tab, tap("confirm"), chromedp.WaitVisible(sel("saved")), see("now-out", "Lenses out"))
	run(t, tab, chromedp.Navigate(a.URL()+"/#/more"), chromedp.WaitVisible(sel("call-after")), chromedp.WaitVisible(sel("call-emergency")), see("contacts", "Out of hours"))
	shot(t, tab, "more-contacts")
}

// A lens was in when the eye was reported, and the clinic releases both eyes the same
// evening: the phone does not say that it is in before somebody has said so.
func TestAReleaseSaysNothingOfTheLens(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	tab := lensesIn(t, a, "parent#/child")
	run(t, tab, tap("wrong"), tap("now-pain"), chromedp.WaitVisible(sel("advice")), tap("home"), tap("open-child"), see("now-out", "Lenses out now"), sent())
	resume(t, c, a, id, "both", "2026-03-24")
	run(t, tab, chromedp.Reload(), see("now-out", "Are the lenses out?"), see("now-out", "You were told to take lenses out."), chromedp.WaitVisible(sel("wear-out")))
	shot(t, tab, "wear-8-unsaid")
	run(t, tab, tap("still-there"), see("now-asleep", "Lenses in since 21:20"), chromedp.WaitVisible(sel("saved")))
	sound(t, tab)
}

// lensesIn is a phone of the demo, of somebody who has logged in the evening that the
// lenses are in.
func lensesIn(t *testing.T, a program, who string) context.Context {
	t.Helper()
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/"+who), ready(), tap("wear-in"), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	return tab
}
