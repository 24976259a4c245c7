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

// The review fits on two sheets of A4 (ISO 216, 210 by 297 mm) however much
// there is to raise, and on two of Letter (8.5 by 11 inches), and says what it
// leaves to the screen.
func TestReviewPrintsOnTwoSheets(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	c := clinician(t, a)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Who needs a call"))
	for _, tc := range []struct {
		name, code, from, before, more string
	}{
		{"as it is", "W-0003", "2025-03-24", "true", ""},
		{"everything at once", "W-0002", "2025-03-24", worstReview, "And 17 more on screen."}, // of 25, 8 are printed
		{"everything of two years", "W-0002", "2024-03-25", "true", ""},
		{"fullest at the usual size", "W-0002", "2025-03-23", cutTo(8, 0, 0, 30, 3), ""}, // each cuts what the one before left
		{"fullest at the larger size", "W-0002", "2025-03-22", cutTo(4, 0, 0, 0, 3), ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if _, err := ask[bool](desk, tc.before); err != nil {
				t.Fatal(err)
			}
			hash := "#wearer/" + wearerID(t, c, a, tc.code) + "?from=" + tc.from
			if _, err := ask[string](desk, `location.hash = "`+hash+`"`); err != nil {
				t.Fatal(err)
			}
			run(t, desk, chromedp.WaitVisible(sel("points")), chromedp.WaitNotPresent(".review > .only-print"), chromedp.WaitVisible(sel("nights-chart")), seeIn("main", "How far to trust this log"))
			if text, err := ask[string](desk, `document.querySelector('[data-test=points]').textContent`); err != nil || !bytes.Contains([]byte(text), []byte(tc.more)) {
				t.Errorf("the sheet does not say %q, %v", tc.more, err)
			}
			if n := printed(t, desk, "review-a4-"+tc.name, 210/25.4, 297/25.4); n != 2 {
				t.Errorf("A4: %d sheets, want 2", n)
			}
			if n := printed(t, desk, "review-letter-"+tc.name, 8.5, 11); n != 2 {
				t.Errorf("Letter: %d sheets, want 2", n)
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
	run(t, desk, chromedp.WaitVisible(sel("points")), seeIn(".review-head", "reminders paused until"), chromedp.WaitReady(".t-mark.t-pause"), seeIn("main", "Pauses"), seeIn(".nights .legend", "Reminders paused by the family"), seeIn(".nights .pauses", "the nights count"))
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
	run(t, desk, chromedp.WaitReady(".review-head button:disabled"), chromedp.WaitReady(".review > .only-print"))
	if text, err := ask[string](desk, `document.querySelector('.review > .only-print').textContent`); err != nil || !strings.HasPrefix(text, "Printed before the review was ready") {
		t.Errorf("paper that comes too early says %q, %v", text, err)
	}
	sound(t, desk)
}
