package e2e_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"nightkeep/pwa"
)

// numberField is one number field as the page has it.
type numberField struct {
	Name          string
	Min, Max      float64
	Whole, Halves bool
}

// numbersJS lists the number fields of the page. A number input of the browser's
// own is one too many: it changes under the cursor and takes no comma everywhere.
const numbersJS = `(() => {
	if (document.querySelector('main input[type=number]')) return [{ Name: 'input type=number', Min: 0, Max: 0 }];
	return [...document.querySelectorAll('main input[data-number]')].filter((el) => !el.matches(':disabled')).map((el) => ({ Name: el.dataset.number, Min: Number(el.dataset.min), Max: Number(el.dataset.max), Whole: 'whole' in el.dataset, Halves: 'halves' in el.dataset }));
})()`

// typed goes to a number field, empties it, presses the keys of a text one after
// the other, and returns what stands there while typing and after leaving.
func typed(t *testing.T, tab context.Context, name, text string) (during, after, fault string) {
	t.Helper()
	at := `document.querySelector('[data-number="` + name + `"]')`
	if ok, err := ask[bool](tab, `(() => { const el = `+at+`; el.scrollIntoView({ block: 'center', behavior: 'instant' }); el.focus(); el.select(); return document.activeElement === el; })()`); err != nil || !ok {
		t.Fatalf("%s cannot be gone to: %v", name, err)
	}
	run(t, tab, chromedp.KeyEvent(kb.Delete))
	for _, c := range text {
		run(t, tab, chromedp.KeyEvent(string(c)))
	}
	const painted = `await new Promise((done) => requestAnimationFrame(() => setTimeout(done)))`
	during, err := ask[string](tab, `(async () => { `+painted+`; return `+at+`.value; })()`)
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.KeyEvent(kb.Tab))
	got, err := ask[[]string](tab, `(async () => { `+painted+`; const el = `+at+`; return [el.value, el.validationMessage]; })()`)
	if err != nil {
		t.Fatal(err)
	}
	return during, got[0], got[1]
}

// understood is the number at the head of a field, as it is said back.
func understood(text string) (float64, error) {
	text = strings.ReplaceAll(text, "−", "-")
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) })
	if end >= 0 {
		text = text[:end]
	}
	return strconv.ParseFloat(text, 64)
}

// endedWear ends wear of a wearer of the demo, and returns its id.
func endedWear(t *testing.T, c *http.Client, a program) string {
	t.Helper()
	id := wearerID(t, c, a, "W-0011")
	post(t, c, a.URL()+"/api/clinic/wearers/"+id+"/end", map[string]any{"stopped": "2026-03-10", "reason": "comfort", "base": 1, "sure": true})
	return id
}

// The numbers of a lens, typed key by key as the trade writes them, in every engine:
// each is said back with its unit once the field is left.
func TestNumbersOfALensInEveryEngine(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		id := wearerID(t, clinician(t, a), a, "W-0010")
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.do(`(location.hash = "#plan/` + id + `")`)
		w.visible(css("plan-form"))
		for _, n := range []struct{ field, keys, says string }{
			{"right.base_curve_mm", "8.1", "8.10 mm"},
			{"left.base_curve_mm", "7,95", "7.95 mm"},
			{"right.power", "-2.75", "−2.75 D"},
			{"left.power", "+0,5", "+0.50 D"},
			{"right.diameter_mm", "10.6", "10.6 mm"},
		} {
			field := `[data-number="` + n.field + `"]`
			w.write(field, n.keys)
			w.until(`document.querySelector(` + quoted(field) + `).value === ` + quoted(n.keys)) // nothing changes under the cursor
			w.must(w.keys(tabKey), "leaving the field")
			w.until(`document.querySelector(` + quoted(field) + `).value === ` + quoted(n.says))
		}
		w.sound()
	})
}

// Every number field of the console takes what is typed, key by key: with a
// point and with a comma, nothing changes under the cursor, the number that was
// typed is the one that is understood, and a number past either end is refused
// with the range.
func TestNumbersAreTakenAsTyped(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	id := wearerID(t, c, a, "W-0010")
	seen := map[string]bool{}
	for _, page := range []struct{ role, hash, ready, open string }{
		{"clinician", "plan/" + id, css("plan-form"), ""},
		{"clinician", "visits/" + id, css("visit-new"), "visit-new"},
		{"clinician", "suitability", css("suitability-show"), ""},
		{"clinician", "course/" + id, css("lens-new"), "lens-new"},
		{"clinician", "course/" + endedWear(t, c, a), css("start-over"), "start-over"},
		{"administrator", "settings", css("settings-form"), ""},
		{"administrator", "staff", css("keep-save"), ""},
	} {
		tab := desktop(t, newBrowser(t))
		at(t, tab, bedtime)
		run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, tab, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
			return chromedp.Void{}, err
		})
		run(t, tab, chromedp.Navigate(a.URL()+"/demo/"+page.role+"#"+page.hash), chromedp.WaitVisible(chromedp.CSS("main h1")),
			awaited(`Promise.resolve(location.hash = "#`+page.hash+`").then(() => true)`), chromedp.WaitVisible(chromedp.CSS(page.ready)))
		if page.open == "lens-new" { // and the form of an event
			run(t, tab, tap(page.open), chromedp.WaitVisible(sel("lens-form")), tap("event-new"), chromedp.WaitVisible(sel("event-form")))
		} else if page.open == "start-over" {
			run(t, tab, tap(page.open), chromedp.WaitVisible(sel("again-form")))
		} else if page.open != "" {
			run(t, tab, tap(page.open), chromedp.WaitVisible(sel("visit-form")))
			if _, after, fault := typed(t, tab, "right.best_corrected", "1.0"); after != "1.0" || !strings.Contains(fault, "how it is meant") {
				t.Errorf("an acuity of 1.0 in no notation is taken: %q, %q", after, fault)
			}
			run(t, tab, chromedp.SetValue(sel("notation"), "logmar"), changed("notation"))
		}
		fields, err := ask[[]numberField](tab, numbersJS)
		if err != nil || len(fields) == 0 {
			t.Fatalf("%s: %v, %v", page.hash, fields, err)
		}
		for _, f := range fields {
			seen[f.Name] = true
			now, err := ask[[]numberField](tab, numbersJS) // the range of a step of the ladder follows the steps around it
			if i := slices.IndexFunc(now, func(x numberField) bool { return x.Name == f.Name }); err != nil || i < 0 {
				t.Fatalf("%s is gone: %v", f.Name, err)
			} else {
				f = now[i]
			}
			// A number inside the range with a fraction where the field takes one.
			n := fmt.Sprintf("%.0f", f.Min+float64(int((f.Max-f.Min)/2)))
			if f.Halves {
				n = "1.5"
			} else if !f.Whole {
				n = fmt.Sprintf("%.2f", f.Min+(f.Max-f.Min)*0.37)
			}
			unit := ""
			if strings.HasPrefix(f.Name, "sight_") {
				unit = " logMAR" // of an event: a bare acuity is in no notation there
				if _, after, fault := typed(t, tab, f.Name, "0.8"); after != "0.8" || fault == "" {
					t.Errorf("%s takes an acuity of 0.8 in no notation: %q, %q", f.Name, after, fault)
				}
			}
			for _, text := range []string{n + unit, strings.ReplaceAll(n, ".", ",") + unit} {
				during, after, _ := typed(t, tab, f.Name, text)
				want, _ := strconv.ParseFloat(n, 64)
				if got, err := understood(after); during != text || err != nil || got != want {
					t.Errorf("%s: typed %q, saw %q while typing and %q after (%v)", f.Name, text, during, after, err)
				}
			}
			if _, after, fault := typed(t, tab, f.Name, "1o"); after != "1o" || fault == "" {
				t.Errorf("%s takes letters: %q, %q", f.Name, after, fault)
			}
			for _, beyond := range []float64{f.Min - 2, f.Max + 1} {
				if _, _, fault := typed(t, tab, f.Name, strconv.FormatFloat(beyond, 'f', -1, 64)+unit); !strings.Contains(fault, "not possible") && !strings.Contains(fault, "Want a") {
					t.Errorf("%s takes %v: %q", f.Name, beyond, fault)
				}
			}
		}
		sound(t, tab)
	}
	// The fields are those of the table that the server reads too.
	var table struct{ Visit, Plan map[string]string }
	if err := json.Unmarshal(pwa.Quantities, &table); err != nil {
		t.Fatal(err)
	}
	for path := range table.Plan {
		if !seen[path] {
			t.Errorf("the plan's form has no field %s", path)
		}
	}
	for path := range table.Visit {
		for _, eye := range []string{"right.", "left."} {
			if !seen[eye+path] {
				t.Errorf("the form of a visit has no field %s", eye+path)
			}
		}
	}
}
