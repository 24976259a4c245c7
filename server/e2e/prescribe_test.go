package e2e_test

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// fill writes into the field that a label names, as a person would find it, and
// tells the page.
func fill(label, value string) step {
	poll := `(label, value) => {
		const named = (el) => (el.getAttribute('aria-label') ?? el.closest('label')?.innerText ?? '').trim().startsWith(label);
		const el = [...document.querySelectorAll('main input, main select, main textarea')].find(named);
		if (!el) return false;
		Object.getOwnPropertyDescriptor(Object.getPrototypeOf(el), 'value').set.call(el, value);
		el.dispatchEvent(new Event('input', { bubbles: true }));
		el.dispatchEvent(new Event('change', { bubbles: true }));
		return true;
	}`
	found := chromedp.PollFunction[bool](poll, chromedp.WithPollingArgs(label, value), chromedp.WithPollingTimeout(patience))
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := found(ctx, tab)
		return chromedp.Void{}, err
	}
}

// becomes waits until an expression is true.
func becomes(expression string) step {
	return polled(chromedp.PollFunction[bool](`() => `+expression, chromedp.WithPollingTimeout(patience)))
}

// The practitioner's first story: a prescription in the plus form is looked at,
// becomes a family and a plan, and the first visit is recorded. By hand: -3.81
// / +0.50 x 90 is -3.31 / -0.50 x 180, its spherical equivalent -3.56 D, of
// which 42 % is left after a first night (Chan, Cho and Cheung 2008: 58 % gone).
func TestFromSuitabilityToTheFirstVisit(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	hash := func(to string) step {
		return awaited(`Promise.resolve(location.hash = "#` + to + `").then(() => true)`)
	}
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), hash("suitability"), chromedp.WaitVisible(sel("suitability-show")))
	name := func(field, value string) step {
		return chromedp.SendKeys(chromedp.CSS(`input[name="`+field+`"]`), value)
	}
	run(t, desk, name("r-sphere", "-3.81"), name("r-cylinder", "+0.50"), seeIn("main", "finer than steps of 0.125 D"), tap("sure"), tap("suitability-show"), seeIn("main", "Axis: 0 to 180 degrees when there is a cylinder."), seeIn("main", "A number of years."))
	run(t, desk, name("r-axis", "90"), name("l-sphere", "−2"), name("age", "10"), tap("suitability-show"),
		see("suitability-result", "−3.31 / −0.50 × 180"), see("course", "−1.50 (−2.93 to −0.02)"), see("suitability-result", "For the practitioner to decide"))
	run(t, desk, awaited(`Promise.resolve(document.querySelector('.questions input').click()).then(() => true)`), see("suitability-result", "To weigh before going on"))
	shot(t, desk, "suitability")
	if n := printed(t, desk, "suitability-sheet", 210/25.4, 297/25.4); n != 1 {
		t.Errorf("the family sheet takes %d sheets of A4, want 1", n)
	}

	run(t, desk, hash("family"), fill("Name of the family", "Ashgrove"), fill("Who wears lenses", "Robin Ashgrove"), fill("Code at the practice", "W-0777"), fill("Parent or guardian", "Kim Ashgrove"), fill("Telephone", "+44 20 7946 0177"),
		chromedp.Click(chromedp.CSS("main form button.primary")), seeIn("main h1", "Ashgrove"))
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0777")
	run(t, desk, hash("plan/"+id), seeIn("main", "right −3.31 / −0.50 × 180, left −2.00. Of this wearer?"))
	shot(t, desk, "plan-carry")
	run(t, desk, tap("plan-carry"), fill("First night", "2026-03-25"),
		chromedp.Click(chromedp.CSS(css("plan-form")+" button.primary")), see("plan-look", "Robin Ashgrove, W-0777"), tap("plan-yes"), seeIn(".versions", "Version 1"))
	plans := getJSON[struct {
		Plans []struct {
			Right float64 `json:"baseline_right"`
			Left  float64 `json:"baseline_left"`
		}
	}](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan")
	if len(plans.Plans) != 1 || plans.Plans[0].Right != -3.56 || plans.Plans[0].Left != -2 {
		t.Errorf("the plan has %+v before treatment, want -3.56 and -2", plans.Plans)
	}

	// Another clinician is quicker: both see what differs, and nobody's is lost.
	theirs := getJSON[struct{ Plans []map[string]any }](t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan").Plans[0]
	theirs["base"], theirs["min_hours"], theirs["why"] = 1, 7, "theirs"
	for _, filled := range []string{"changed_by", "changed_at", "read_at", "version"} {
		delete(theirs, filled)
	}
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/plan", theirs)
	save := chromedp.Click(chromedp.CSS(css("plan-form") + " button.primary"))
	const curve = `document.querySelector('[name="right.base_curve_mm"]').value === '81'` // refused, and not lost with the page
	run(t, desk, fill("Why it changes", "mine"), fill("Right lens, base curve", "81"), becomes(curve), hash("wearer/"+id), see("points", "Points to raise"), hash("plan/"+id), see("plan-draft", "it is not saved yet"), becomes(curve),
		fill("Right lens, base curve", "8.1"),
		save, tap("plan-yes"), see("plan-clash", "Version 2, by Dr Imani Okafor, changed this since you began."), see("plan-clash", "Fewest hours in lenses: 6.0 h → 7.0 h"))
	shot(t, desk, "plan-clash")
	run(t, desk, seeIn(css("plan-form"), "Save mine after version 2"), save, tap("plan-yes"), seeIn(".versions", "Version 3"), seeIn(".versions", "mine"), chromedp.WaitNotPresent(sel("plan-draft")))

	run(t, desk, hash("visits/"+id), tap("visit-new"), fill("Kind", "suitability"), fill("right refraction sphere", "-3.25"), fill("right refraction cylinder", "-0.50"), fill("right refraction axis", "180"),
		fill("right unaided acuity", "o.7"), fill("right bulbar redness", "1"), fill("right staining, inferior", "0"), fill("Grading scale", "Efron grading scales, 0 to 4"), fill("Advice given", "No water near the lenses."),
		chromedp.Click(chromedp.CSS(css("visit-form")+" button.primary")), see("visit-form", "An acuity such as 0.10 logMAR"))
	run(t, desk, fill("right unaided acuity", "0.70 logMAR"), chromedp.Click(chromedp.CSS(css("visit-form")+" button.primary")), see("visit-row", "unaided 0.70"),
		see("visit-row", "bulbar redness 1; staining, inferior 0"), see("visit-row", "Efron grading scales, 0 to 4"), see("visit-row", "No water near the lenses."))
	sound(t, desk)
	seriousFinding(t, desk, hash("wearer/"+id))
}

// seriousFinding records an infiltrate: the form asks for what becomes of that eye's
// lens, the stop that was chosen is offered for writing and holds only once it is
// written, and the first screen of the review names the finding.
func seriousFinding(t *testing.T, desk context.Context, review step) {
	t.Helper()
	save := chromedp.Click(chromedp.CSS(css("visit-form") + " button.primary"))
	run(t, desk, tap("visit-new"), fill("Kind", "unscheduled"), fill("left infiltrates", "2"), review, see("points", "Points to raise"),
		awaited(`Promise.resolve(history.back()).then(() => true)`), see("visit-draft", "it is not saved yet"), save,
		see("visit-form", "left eye: infiltrates 2. Choose whether its lens stays out"))
	run(t, desk, fill("left lens from tonight", "stop"), save, see("stop-to-write", "No stop holds until it is written here"), see("say", "Write to the family"))
	sound(t, desk)
	run(t, desk, review, see("danger", "infiltrates 2"), see("points", "infiltrates 2; stop decided"), see("stand", "Left no stop"))
	shot(t, desk, "serious-finding")
}

// Everything that a morning at the practice needs can be done without a mouse,
// and what the address keeps of it names nobody.
func TestTheConsoleByKeyboard(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"))
	// to presses Tab until what has the focus says something, and shows that it has it.
	to := func(says string) {
		t.Helper()
		for range 120 {
			run(t, desk, chromedp.KeyEvent(kb.Tab))
			on, err := ask[string](desk, `(() => {
				const el = document.activeElement;
				const seen = getComputedStyle(el).outlineStyle !== 'none' || getComputedStyle(el).boxShadow !== 'none';
				return (el.getAttribute('aria-label') ?? el.closest('label')?.innerText ?? el.innerText ?? '').trim() + (seen ? '' : ' (unmarked)');
			})()`)
			if err != nil {
				t.Fatal(err)
			}
			if on == says {
				return
			}
		}
		t.Fatalf("120 tabs do not lead to %q with a mark of the focus", says)
	}
	to("Wearers")
	run(t, desk, chromedp.KeyEvent(kb.Enter), chromedp.WaitVisible(sel("wearer-row")))
	to("Name, parent, code, date of birth or telephone")
	run(t, desk, chromedp.KeyEvent("Feldmann"), see("wearer-row", "W-0010"), chromedp.WaitNotPresent(chromedp.CSS(css("wearer-row")+":nth-of-type(2)")))
	to("Jonas Feldmann")
	run(t, desk, chromedp.KeyEvent(kb.Enter), see("points", "Points to raise"))
	address, err := ask[string](desk, `location.href + ' ' + document.title`)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Jonas", "Feldmann", "W-0010"} {
		if strings.Contains(strings.ToLower(address), strings.ToLower(name)) {
			t.Errorf("the address or the title of the window names the wearer: %s", address)
		}
	}
	run(t, desk, chromedp.NavigateBack(), chromedp.WaitVisible(sel("wearer-row")))
	sound(t, desk)
}

// The desk adds a brother who writes for himself and a second parent, mends a
// name, and takes somebody out again.
func TestAFamilyChanges(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk"), seeIn("main", "Who needs a call"), awaited(`Promise.resolve(location.hash = "#family/family-Petrov").then(() => true)`), see("family-wearers", "Leon Petrov"))
	send := func(mark string) step { return chromedp.Click(chromedp.CSS(css(mark+"-form") + " button.primary")) }
	run(t, desk, tap("add-wearer"), fill("Who wears lenses", "Vera Petrov"), fill("Code at the practice", "W-0003"), send("add-wearer"), see("add-wearer-form", "another wearer of the practice has this code"))
	shot(t, desk, "family-refused")
	run(t, desk, fill("Code at the practice", "W-0203"), send("add-wearer"), see("family-wearers", "Vera Petrov W-0203"))
	run(t, desk, chromedp.Click(chromedp.CSS(`[aria-label="Enrolled by mistake: Vera Petrov"]`)), send("drop-wearer"), becomes(`!document.querySelector('`+css("family-wearers")+`').innerText.includes('Vera')`),
		tap("add-wearer"), fill("Who wears lenses", "Vera Petrov"), fill("Code at the practice", "W-0203"), send("add-wearer"), see("family-wearers", "Vera Petrov W-0203"))
	run(t, desk, tap("add-parent"), fill("Name", "Boris Petrov"), fill("Telephone", "+44 20 7946 0144"), send("add-parent"), seeIn("main", "Boris Petrov parent"), seeIn("main", "+44 20 7946 0144"))
	run(t, desk, tap("add-teen"), fill("Who", "nobody"), awaited(`Promise.resolve(document.querySelector('`+css("add-teen-form")+` select').selectedIndex = 0).then(() => true)`))
	shot(t, desk, "family-adding")
	run(t, desk, chromedp.Click(chromedp.CSS(css("add-teen-form")+" button:not(.primary)")))
	run(t, desk, becomes(`document.activeElement.innerText === 'A wearer writes entries too'`))
	last := `[...document.querySelectorAll('` + css("person") + `')].find((p) => p.innerText.startsWith('Boris')).querySelector('` + css("drop-person") + `').click()`
	run(t, desk, awaited(`Promise.resolve(`+last+`).then(() => true)`), see("drop-person-form", "Every device of Boris Petrov is shut out at once"))
	shot(t, desk, "family-leaving")
	run(t, desk, send("drop-person"), becomes(`![...document.querySelectorAll('`+css("person")+`')].some((p) => p.innerText.startsWith('Boris'))`))
	sound(t, desk)
}
