package e2e_test

import (
	"context"
	"testing"

	"github.com/chromedp/chromedp"
)

// A clinician asks a colleague to take a duty; the colleague reads so on Today and
// confirms; only then another name, with its number, stands in the list.
func TestADutyIsSwappedInTheConsole(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, other := desktop(t, newBrowser(t)), desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	at(t, other, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"), tap("duties-open"), chromedp.WaitVisible(sel("duty-row")))
	const mine = `(() => [...document.querySelectorAll('[data-test=duty-row]')].filter((r) => r.children[1].textContent.includes('Dr Imani Okafor')).length)()`
	before, err := ask[int](tab, mine)
	if err != nil || before < 2 {
		t.Fatalf("%d duties of hers, %v", before, err)
	}
	// The last of hers, which is not tonight's.
	const open = `(() => { const all = [...document.querySelectorAll('[data-test=swap]')].filter((b) => b.closest('tr').children[1].textContent.includes('Dr Imani Okafor')); all.at(-1).click(); return true; })()`
	if _, err := ask[bool](tab, open); err != nil {
		t.Fatal(err)
	}
	const choose = `(() => { const s = document.querySelector('[data-test=swap-with]'); s.value = [...s.options].find((o) => o.text === 'Priya Raman').value; s.dispatchEvent(new Event('change', { bubbles: true })); return true; })()`
	run(t, tab, chromedp.WaitVisible(sel("swap-with")))
	if _, err := ask[bool](tab, choose); err != nil {
		t.Fatal(err)
	}
	run(t, tab, tap("swap-ask-now"), seeIn("[data-test=unlikely]", "Priya Raman is no clinician"), tap("unlikely-yes"), seeIn("[data-test=swap-ask]", "Nothing changes until they confirm."))
	if n, err := ask[int](tab, mine); err != nil || n != before {
		t.Errorf("asking alone left %d duties of %d, %v", n, before, err)
	}
	// What was asked stands for both until it is settled, also on a page loaded anew.
	run(t, tab, chromedp.Reload(), seeIn("[data-test=swap-ask]", "You asked Priya Raman to take"))
	run(t, other, chromedp.Navigate(a.URL()+"/demo/desk"), seeIn("[data-test=duty]", "You are asked to take a duty"), chromedp.Reload(), seeIn("[data-test=duty]", "You are asked to take a duty"), tap("duties-open"),
		seeIn("[data-test=swap-ask]", "Dr Imani Okafor asks you to take"), tap("swap-accept"), chromedp.WaitNotPresent(sel("swap-ask")))
	if n, err := ask[int](other, mine); err != nil || n != before-1 {
		t.Errorf("confirmed, %d duties are hers, %v; want %d", n, err, before-1)
	}
	run(t, tab, chromedp.Reload(), chromedp.WaitVisible(sel("duty-row")), chromedp.WaitNotPresent(sel("swap-ask")))
	for who, page := range map[string]context.Context{"who asked": tab, "who took it": other} {
		const hers = `[...document.querySelectorAll('[data-test=duty-row]')].filter((r) => r.children[1].textContent.startsWith('Priya Raman')).map((r) => r.children[1].textContent.trim()).join()`
		run(t, page, chromedp.Reload(), chromedp.WaitVisible(sel("duty-row")))
		if text, err := ask[string](page, hers); err != nil || text != "Priya Raman +44 20 7946 0962" { // testdata/demo/practice.json
			t.Errorf("loaded anew by %s the duty is of %q, %v", who, text, err)
		}
	}
	sound(t, tab)
	sound(t, other)
}
