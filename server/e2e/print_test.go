package e2e_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// worstReview makes the next review the fullest there can be: every rule fires
// with evidence as long as it gets, every care item is short, everything has
// changed, and there are thirty reports of symptoms.
const worstReview = `(() => {
	const real = globalThis.fetch;
	globalThis.fetch = async (url, init) => {
		const answer = await real(url, init);
		if (!String(url).includes('/review')) return answer;
		const sum = await answer.json();
		const rules = ['alert-not-closed','symptoms','sore-eye-nights','stuck-lens','water-contact','fast-growth','sight-fading','halos-persist','adaptation-behind',
			'nights-missed','weekday-pattern','nights-short','recall-missed','supply-overdue','deposit-removal-overdue','not-logged','written-late','entries-differ',
			'care-hand-wash','care-rub','care-rinse','care-case-emptied','care-case-wiped','care-case-dried','care-topping-off'];
		const text = 'Water got to the lenses or the case. It is an easy slip, and the one we most want to help with: water can carry germs that solution does not deal with.';
		const evidence = '2026-01-01 water contact; '.repeat(6) + 'and 40 more';
		sum.points = rules.map((rule) => ({ rule, text, evidence, basis: 'common practice' }));
		sum.changes = rules.slice(0, 12).map((what) => ({ what, text: 'Nights with every care item done down from 88 % to 44 %', before: '44 of 50 (88 %)', now: '22 of 50 (44 %)' }));
		sum.cannot_tell = rules.slice(0, 4).map(() => 'Never answered in this range, so left out of "every item done": no topping up of old solution; no tap water on lens or case.');
		const words = 'right eye: pain persists, redness marked, light hurts, sight blurred; left eye: discharge on waking, gritty';
		sum.symptoms = Array.from({ length: 30 }, (_, i) => ({ entry: 'e' + i, night: '2026-02-' + String(i % 28 + 1).padStart(2, '0'), at: '', words, note: 'it was sore when I woke up and I took the lens out' }));
		sum.glance.raise = rules.slice(0, 5).map((title) => ({ title, text: evidence.slice(0, 160), rules: [title], danger: true }));
		sum.glance.doubt = { level: 'much', words: 'Filled in from memory: 301 of 365 nights, up to 14 at once, the same clock every night.', detail: '64 of 365 nights have no entry. Two entries disagree on 12 nights.', memory: 301 };
		sum.glance.danger = { item: 'tap_water', title: 'Tap water', nights: 129, of: 164, last: '2026-03-23', when: 'none on Friday or Saturday evenings' };
		sum.glance.findings = ['Unaided, logMAR', 'Best corrected, logMAR', 'Left over, D', 'Axial length, mm', 'Staining', 'Other grades', 'Fluorescein', 'Centration', 'Lens'].map((name) => ({ name, right: 'central 1, inferior 2, temporal 1', left: 'inferior 1', right_on: '2026-01-02', left_on: '2026-01-02' }));
		sum.alerts = rules.slice(0, 6).map((id) => ({ id, wearer: '', rule: id, title: 'Pain that persists after removal', level: 'emergency', state: 'closed', opened: '2026-02-01T08:00:00Z', ack_at: '2026-02-01T08:04:00Z', outcome: 'treated' }));
		sum.trust = { ...sum.trust, words: rules.slice(0, 7).map(() => '31 of 172 nights were first written more than a day late; 4 times three or more were written in one day.') };
		return new Response(JSON.stringify(sum), { headers: { 'Content-Type': 'application/json' } });
	};
	return true;
})()`

// cutTo leaves of the next review the first so many points, changes, things
// the log cannot tell, reports and notes of trust: the most that each way of
// setting a sheet is to hold.
func cutTo(points, changes, cannot, reports, trust int) string {
	return fmt.Sprintf(`(() => {
	const real = globalThis.fetch;
	globalThis.fetch = async (url, init) => {
		const answer = await real(url, init);
		if (!String(url).includes('/review')) return answer;
		const sum = await answer.json();
		sum.points = sum.points.slice(0, %d);
		sum.changes = sum.changes.slice(0, %d);
		sum.cannot_tell = sum.cannot_tell.slice(0, %d);
		sum.symptoms = sum.symptoms.slice(0, %d);
		sum.trust.words = sum.trust.words.slice(0, %d);
		return new Response(JSON.stringify(sum), { headers: { 'Content-Type': 'application/json' } });
	};
	return true;
})()`, points, changes, cannot, reports, trust)
}

// pageOfPDF finds the page objects of a PDF that keeps them uncompressed.
var pageOfPDF = regexp.MustCompile(`/Type\s*/Page\b`)

// printed prints a tab on paper of a size in inches and returns how many
// sheets it takes.
func printed(t *testing.T, tab context.Context, name string, width, height float64) (sheets int) {
	t.Helper()
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		out, err := cdp.Call(ctx, tab, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: width, PaperHeight: height})
		if err != nil {
			return chromedp.Void{}, err
		}
		pdf, err := base64.StdEncoding.DecodeString(string(out.Data))
		if err != nil {
			pdf = []byte(out.Data)
		}
		if !bytes.HasPrefix(pdf, []byte("%PDF")) {
			t.Fatalf("%q is no PDF", pdf[:min(8, len(pdf))])
		}
		sheets = len(pageOfPDF.FindAll(pdf, -1))
		if dir := os.Getenv("NIGHTKEEP_SHOTS"); dir != "" {
			return chromedp.Void{}, os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o600)
		}
		return chromedp.Void{}, nil
	})
	return sheets
}

// The glance of the review fits on one sheet of A4 (ISO 216, 210 by 297 mm) and of
// Letter (8.5 by 11 inches), and all of it on two, however much there is to raise.
// Each sheet says its period, who printed it and its number.
func TestReviewPrintsOnOneSheetOrTwo(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"),
		awaited(`Promise.resolve(globalThis.print = () => {}).then(() => true)`)) // the browser's own dialogue would hold the page
	for _, tc := range []struct {
		name, code, from, before, more string
	}{
		{"as it is", "W-0003", "2025-03-24", "true", ""},
		{"everything at once", "W-0002", "2025-03-24", worstReview, "And 17 more on screen."}, // of 25, 8 are printed
		{"everything of two years", "W-0002", "2024-03-25", "true", ""},
		{"fullest at the usual size", "W-0002", "2025-03-23", cutTo(8, 0, 0, 30, 2), ""}, // each cuts what the one before left
		{"fullest at the larger size", "W-0002", "2025-03-22", cutTo(4, 0, 0, 0, 2), ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if _, err := ask[bool](desk, tc.before); err != nil {
				t.Fatal(err)
			}
			hash := "#wearer/" + wearerID(t, c, a, tc.code) + "?from=" + tc.from
			if _, err := ask[string](desk, `location.hash = "`+hash+`"`); err != nil {
				t.Fatal(err)
			}
			run(t, desk, chromedp.WaitVisible(sel("points")), chromedp.WaitNotPresent(".review > .only-print"), chromedp.WaitVisible(sel("score")))
			for _, sheets := range []int{1, 2} {
				mark := map[int]string{1: "print-one", 2: "print-two"}[sheets]
				run(t, desk, tap(mark), chromedp.WaitReady(chromedp.CSS(map[int]string{1: ".one-sheet", 2: ".two-sheets"}[sheets])))
				foot, err := ask[string](desk, `document.querySelector('.sheet-one .foot').textContent`)
				if want := fmt.Sprintf("by Dr Imani Okafor, Harbour Lane Eye Practice. Page 1 of %d.", sheets); err != nil || !strings.Contains(foot, want) || !strings.Contains(foot, "2026, ") {
					t.Errorf("the foot says %q, %v; want the period and %q", foot, err, want)
				}
				for _, paper := range []struct {
					name          string
					width, height float64
				}{{"A4", 210 / 25.4, 297 / 25.4}, {"Letter", 8.5, 11}} {
					if n := printed(t, desk, fmt.Sprintf("review-%s-%d-%s", paper.name, sheets, tc.name), paper.width, paper.height); n != sheets {
						t.Errorf("%s: %d sheets, want %d", paper.name, n, sheets)
					}
				}
			}
			if text, err := ask[string](desk, `document.querySelector('[data-test=all-points]').textContent`); err != nil || !bytes.Contains([]byte(text), []byte(tc.more)) {
				t.Errorf("the sheet does not say %q, %v", tc.more, err)
			}
		})
	}
}

// A pause that the family sets on its phone stands beside the wearer's name and
// on the time axis, as a mark and as a line of the table. While another range is
// on its way the page is not to be printed.
func TestAPauseReachesTheReview(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	parent := phoneAt(t, bedtime)
	run(t, parent, chromedp.Navigate(a.URL()+"/demo/parent#/reminders"), ready(), tap("pause-ill"), tap("pause-save"), chromedp.WaitVisible(sel("pauses")), sent())

	c := clinician(t, a)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"))
	if _, err := ask[string](desk, `location.hash = "#wearer/`+wearerID(t, c, a, "W-0012")+`"`); err != nil {
		t.Fatal(err)
	}
	run(t, desk, chromedp.WaitVisible(sel("points")), chromedp.Click(chromedp.CSS(css("rest")+" > summary")), seeIn(".review-head", "reminders paused until"), chromedp.WaitReady(".t-mark.t-pause"), seeIn("main", "Pauses"), seeIn(".nights .legend", "Reminders paused by the family"), seeIn(".nights .pauses", "the nights count"))
	const pauses = `[...document.querySelectorAll('.review td')].filter((c) => c.textContent.startsWith('reminders paused by the family until')).length`
	if n, err := ask[int](desk, pauses); err != nil || n != 1 {
		t.Errorf("%d lines of the table tell of the pause, %v; want 1", n, err)
	}
	// Tonight and what is to come of the pause: in the calendar, in its table, and
	// on an axis that does not end today.
	for what, count := range map[string]string{
		"cells of the calendar": `document.querySelectorAll('.calendar td.own-pause').length`,
		"rows of the table":     `[...document.querySelectorAll('.nights .figures tr')].filter((r) => r.textContent.includes('reminders paused by the family') && r.textContent.includes('To come')).length`,
		"nights of the axis":    `document.querySelector('.t-today') ? document.querySelectorAll('.t-span').length : 0`,
	} {
		if n, err := ask[int](desk, count); err != nil || n < 1 {
			t.Errorf("%s in the pause: %d, %v; want at least 1", what, n, err)
		}
	}
	// An answer that does not come: the page of before is still to be seen.
	const hold = `(() => { globalThis.fetch = () => new Promise(() => {}); location.hash += '?from=2026-01-01'; return true; })()`
	if _, err := ask[bool](desk, hold); err != nil {
		t.Fatal(err)
	}
	run(t, desk, chromedp.WaitReady(".review-bar button:disabled"), chromedp.WaitReady(".review > .only-print"))
	if text, err := ask[string](desk, `document.querySelector('.review > .only-print').textContent`); err != nil || !strings.HasPrefix(text, "Printed before the review was ready") {
		t.Errorf("paper that comes too early says %q, %v", text, err)
	}
	sound(t, desk)
}
