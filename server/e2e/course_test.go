package e2e_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// pictureFile writes an invented picture: a red disc on black.
func pictureFile(t *testing.T) string {
	t.Helper()
	p := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 {
			c := color.RGBA{A: 255}
			if (x-200)*(x-200)+(y-150)*(y-150) < 100*100 {
				c.R = 200
			}
			p.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, nil); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "slit-lamp.jpg")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A clinician attaches a picture to a visit and sees it; the desk sees that of no
// child. What is no picture is said in words.
func TestAPictureIsAttachedAndSeen(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0010")
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	page := filepath.Join(t.TempDir(), "page.jpg")
	if err := os.WriteFile(page, []byte("<script>alert(1)</script>"), 0o600); err != nil {
		t.Fatal(err)
	}
	upload := func(path string) step { return chromedp.SetUploadFiles(sel("attach-file"), []string{path}) }
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#visits/`+id+`").then(() => true)`),
		upload(page), fill("What it shows", "Slit lamp, centred"), tap("attach-send"), see("attach-form", "This is no picture that the browser can read"),
		upload(pictureFile(t)), tap("attach-send"), see("attachment", "Slit lamp, centred"), tap("attachment-show"),
		becomes(`document.querySelector('`+css("attached-picture")+`')?.naturalWidth === 400`))
	shot(t, desk, "attachment")
	sound(t, desk)
}

// A lens is noted as given out and stands as what the family has at home; wear is
// ended with a reason, and the phone says so; the wash-out is followed; a new course
// begins with the refraction after it as its baseline.
func TestWearIsEndedAndStartedOver(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002") // the teen of the demo
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#course/`+id+`").then(() => true)`),
		see("at-home", "No lens is noted as given out."), tap("lens-new"), tap("lens-save"), chromedp.WaitVisible(chromedp.CSS("[data-test=lens-form] [name=eye][aria-invalid=true]")),
		fill("Eye", "right"), fill("Design", "toric"), tap("lens-save"), see("unlikely", "Nothing of this lens is written"), fill("Serial number", "A-17"), chromedp.WaitNotPresent(sel("unlikely")), fill("Lot", "L4"),
		awaited(`Promise.resolve(location.hash = "#wearer/`+id+`").then(() => true)`), see("points", "Points to raise"), awaited(`Promise.resolve(history.back()).then(() => true)`), see("lens-draft", "it is not saved yet"), fill("Given to the family", "2026-01-10"), tap("lens-save"),
		see("at-home", "serial A-17"), tap("lens-new"), chromedp.WaitNotPresent(sel("lens-draft")), see("at-home", "since 10 Jan"))
	run(t, desk, see("stretch", "Course 1"), tap("end-open"), fill("First night without lenses", "2026-02-20"), fill("Why", "comfort"), fill("Words to the family", "Please bring all lenses to the visit."), tap("end-send"),
		see("unlikely", "Nights logged with lenses from 20 Feb 2026 on"), tap("unlikely-yes"), see("own-words", "Please bring all lenses to the visit."), tap("unlikely-yes"), see("wash-out", "not measured since the end"), see("stretch", "Ended: discomfort"))
	teen := phone(t, newBrowser(t))
	at(t, teen, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), see("said", ": no lens until your clinic says so here."), see("said", "Please bring all lenses to the visit."))
	shot(t, teen, "ended-phone")
	for date, sphere := range map[string]float64{"2026-03-08": -2.25, "2026-03-20": -2.5} {
		r := map[string]any{"refraction": map[string]any{"sphere": sphere}}
		post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/visits", map[string]any{"date": date, "due": "", "kind": "recall", "state": "kept", "right": r, "left": r, "sure": true})
	}
	run(t, desk, chromedp.Reload(), see("wash-out", "Both readings agree: steady."), see("wash-out", "−2.50 D"))
	shot(t, desk, "wash-out")
	run(t, desk, tap("start-over"), becomes(`document.querySelector('input[name=baseline_right]')?.value === '−2.50 D'`), fill("First night of the new course", "2026-03-25"), tap("again-send"),
		becomes(`document.querySelectorAll('`+css("stretch")+`').length === 2`), see("courses", "Course 2: from 25 Mar 2026 on"), chromedp.WaitVisible(sel("end-open")))
	shot(t, desk, "started-over")
	run(t, teen, chromedp.Navigate(a.URL()+"/"), ready(), see("said", "lenses again from"))
	shot(t, teen, "started-over-phone")
	// On its first day the review is about the new course, as the list is.
	next := bedtime.AddDate(0, 0, 1)
	a.clock.Set(next)
	at(t, desk, next)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#wearer/`+id+`").then(() => true)`),
		see("period", "from 25 Mar 2026 on: no night is over yet"), seeIn("main", "course 2 · first night 25 Mar 2026 · last visit 20 Mar 2026"))
	shot(t, desk, "started-over-review")
	sound(t, desk)
}

// Wear is ended from a night that is still to come: until then lenses are offered, and
// from that night on none is, also on a phone that has no network by then. Taken back
// in time, lenses are offered again.
func TestAnEndToComeHoldsWithoutANetwork(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime) // Tuesday 24 March
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002")
	base := len(getJSON[struct{ Plans []any }](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan").Plans)
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/end", map[string]any{"stopped": "2026-03-26", "reason": "finished", "base": base})
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), see("said", "no lens from the night of Thu 26 Mar on"), chromedp.WaitVisible(sel("wear-in")))
	shot(t, teen, "end-ahead")
	offline(t, teen, true)
	at(t, teen, bedtime.AddDate(0, 0, 2))
	run(t, teen, chromedp.Reload(), see("now-hold", "No lenses"), chromedp.WaitNotPresent(sel("wear-in")), becomes(`!/throw nothing away|Nobody answers/.test(document.querySelector('[data-test=now-hold]').innerText)`))
	shot(t, teen, "end-come")
	run(t, teen, tap("wear-say"), see("wear-against", "Not released"), tap("against-no"))
	a.clock.Set(bedtime.AddDate(0, 0, 1))
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/go-on", map[string]any{"base": base + 1})
	offline(t, teen, false)
	a.clock.Set(bedtime.AddDate(0, 0, 2))
	run(t, teen, chromedp.Reload(), chromedp.WaitVisible(sel("wear-in")), chromedp.WaitNotPresent(sel("now-hold")))
	sound(t, teen)
}

// A phone lies open while the practice ends wear, begins it again, and sends the first plan
// of another child: it follows without being loaded anew. Its clock stands still, so that
// it does not ask for what the practice has set because a minute has gone by.
func TestAnOpenPhoneFollowsThePractice(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	wearer := a.URL() + "/api/clinic/wearers/" + wearerID(t, c, a, "W-0002")
	base := len(getJSON[struct{ Plans []any }](t, c, wearer+"/plan").Plans)
	post(t, c, a.URL()+"/api/clinic/families/family-Achterberg/wearers", map[string]string{"name": "Zoe Achterberg", "code": "W-0902", "birth": ""})
	stand := awaited(`(() => { const now = Date.now(); Date.now = () => now; return Promise.resolve(true); })()`)
	teen, parent := phoneAt(t, bedtime), phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), chromedp.WaitVisible(sel("wear-in")), stand)
	run(t, parent, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), awaited(`(async () => { const s = document.querySelector('[data-test=wearer]'); s.value = '`+wearerID(t, c, a, "W-0902")+`'; s.dispatchEvent(new Event('change', { bubbles: true })); return true; })()`),
		see("now-before", "Waiting for the plan"), stand)
	post(t, c, wearer+"/end", map[string]any{"stopped": "2026-03-24", "reason": "finished", "base": base})
	run(t, teen, see("ended", "No lens goes in from the night of Tue 24 Mar"), chromedp.WaitNotPresent(sel("wear-in")),
		becomes(`(() => { const top = (mark) => document.querySelector('[data-test=' + mark + ']').getBoundingClientRect().top; return top('now-hold') < top('ended') && top('ended') < top('anytime'); })()`))
	shot(t, teen, "ended-open")
	post(t, c, wearer+"/go-on", map[string]any{"base": base + 1})
	run(t, teen, chromedp.WaitVisible(sel("wear-in")), chromedp.WaitNotPresent(sel("ended")))
	plans := a.URL() + "/api/clinic/wearers/" + wearerID(t, c, a, "W-0902") + "/plan"
	plan := getJSON[struct{ Usual map[string]any }](t, c, plans).Usual
	plan["first_night"] = "2026-03-24"
	post(t, c, plans, plan)
	run(t, parent, see("now-in", "Lenses in"))
	shot(t, parent, "plan-open")
	sound(t, teen)
	sound(t, parent)
}

// An emergency, and an end of wear beside it: to come, it says that what stands above holds
// until then; come, it stands below the order and every number, on the board as on home.
func TestAnEndOfWearStandsBelowAnEmergency(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime) // Tuesday 24 March
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0012")
	base := len(getJSON[struct{ Plans []any }](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan").Plans)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), chromedp.WaitVisible(sel("wear-in")), tap("wrong"), tap("now-sight"), see("advice", "Go to emergency eye care now"), sent())
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/end", map[string]any{"stopped": "2026-03-26", "reason": "finished", "base": base})
	below := func(box string) step {
		return becomes(`(() => {
			const box = document.querySelector('` + box + `');
			const top = (mark) => box.querySelector('[data-test=' + mark + ']')?.getBoundingClientRect().top;
			return /Go to emergency eye care now/.test(box.innerText) && top('ended') > top('call-emergency') && top('ended') > top('place');
		})()`)
	}
	run(t, tab, chromedp.Reload(), ready(), toHash("/child"), see("ended", "Until then, what stands above holds"), below("main"), toHash("/"), see("board", "Until then, what stands above holds"), below(".child.no"))
	later := bedtime.AddDate(0, 0, 2)
	a.clock.Set(later)
	at(t, tab, later)
	run(t, tab, chromedp.Reload(), ready(), see("ended", "Lens wear has ended"), below(".child.no"))
	shot(t, tab, "end-below-board")
	run(t, tab, tap("open-child"), see("ended", "No lens goes in from"), below("main"))
	shot(t, tab, "end-below-home")
	sound(t, tab)
}

// An adverse event that came by no alert is written down with the lens it was in, and
// stands in the practice's figures and on one sheet of paper.
func TestAnAdverseEventIsWrittenDown(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0010")
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/lenses", map[string]any{"base": 0, "eye": "right", "design": "toric", "lot": "L4", "dispensed": "2026-01-10"})
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#course/`+id+`").then(() => true)`),
		tap("event-new"), fill("What it was", "infiltrate"), fill("Eye", "right"), fill("Began", "2026-03-10"), fill("What happened", "Red right eye on waking, grey spot near the limbus."), tap("event-save"))
	run(t, desk, see("event", "Infiltrate without infection"), see("event", "Version 1"))
	// Nobody wrote how it came out, and no stop holds: one is offered for that eye.
	run(t, desk, see("events-unstopped", "no stop holds: Infiltrate without infection, right eye"),
		toHash("wearer/"+id), see("owed", "An adverse event is not settled: Infiltrate without infection, right eye"), see("points", "No stop written: An adverse event is not settled"), see("points", "the family's phones may ask for lenses"),
		toHash("course/"+id), tap("event-stop"), see("say-form", "Eyes without a lens"))
	shot(t, desk, "adverse-event")
	// What the button asks the browser for is done below, and a page is printed once at a time.
	run(t, desk, see("event", "Not known yet"), awaited(`Promise.resolve(window.print = () => {}).then(() => true)`), tap("event-print"), becomes(`document.body.classList.contains('event-on-paper')`))
	if n := printed(t, desk, "adverse-event-sheet", 210/25.4, 297/25.4); n != 1 {
		t.Errorf("an event takes %d sheets of A4, want 1", n)
	}
	run(t, desk, awaited(`Promise.resolve(location.hash = "#practice").then(() => true)`), see("adverse-figures", "Infiltrate without infection"), becomes(`[...document.querySelectorAll("[data-test=adverse-figures] tr")].filter((r) => (r.innerText.includes("All events") && /^[1-9]/.test(r.querySelector("td").innerText)) || (r.innerText.includes("Infiltrate") && r.querySelector("td").innerText === "1")).length === 2`))
	shot(t, desk, "adverse-figures")
	run(t, desk, awaited(`Promise.resolve(location.hash = "#wearer/`+id+`").then(() => true)`), see("danger", "Infiltrate without infection, right eye"))
	shot(t, desk, "adverse-danger")
	sound(t, desk)
}

// What a form wanted is told to whoever does not see it, and no longer once it is there:
// a refusal that stayed would be read of a lens that is saved.
func TestWhatAFormWantedIsSaidNoMore(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0002")
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	heard := func(is string) step { return becomes(`document.querySelector('[data-test=live]').textContent` + is) }
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), toHash("course/"+id),
		tap("lens-new"), fill("Eye", "right"), fill("Design", "toric"), fill("Ordered", "2027-01-01"), tap("lens-save"), heard(`.includes('Not after')`),
		fill("Ordered", "2026-01-10"), heard(` === ''`))
	sound(t, desk)
}

// What was answered before fitting is kept in the record, and stands there beside who
// of the family consented.
func TestAnswersBeforeFittingAreKept(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0010")
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	hash := func(to string) step {
		return awaited(`Promise.resolve(location.hash = "#` + to + `").then(() => true)`)
	}
	name := func(field, value string) step {
		return chromedp.SendKeys(chromedp.CSS(`input[name="`+field+`"]`), value)
	}
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), hash("suitability/"+id), chromedp.WaitVisible(sel("suitability-show")),
		name("r-sphere", "-3"), name("l-sphere", "-2"), name("age", "10"), tap("suitability-show"), see("suitability-result", "For the practitioner to decide"),
		awaited(`Promise.resolve(document.querySelector('.questions input').click()).then(() => true)`), see("suitability-result", "To weigh before going on"), tap("keep-answers"),
		see("answers-kept", "Kept in the record"), hash("course/"+id), see("before", "questions answered"), see("before", "Yes"), see("before", "agreed to version"))
	shot(t, desk, "before-fitting")
	sound(t, desk)
}
