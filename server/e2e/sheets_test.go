package e2e_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// The sheets for when the app is no help are printed from the practice's own
// settings, each on one sheet of A4 and of Letter, in four languages. The
// numbers are those of testdata/demo/practice.json.
func TestPapersForWhenTheAppIsNoHelp(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk"), chromedp.WaitVisible(chromedp.CSS("main h1")))
	for _, sheet := range []string{"fridge", "practice"} {
		for lang, dir := range map[string]string{"en": "ltr", "es": "ltr", "zh": "ltr", "ar": "rtl"} {
			where := `[data-test=paper-` + sheet + `][lang|=` + lang + `][dir=` + dir + `]`
			if _, err := ask[string](desk, `location.hash = "#paper/`+sheet+`?lang=`+lang+`"`); err != nil {
				t.Fatal(err)
			}
			run(t, desk, chromedp.WaitVisible(chromedp.CSS(where)))
			text, err := ask[string](desk, `document.querySelector('`+where+`').innerText`)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range []string{"+44 20 7946 0123", "+44 20 7946 0987", "999", "1 Quay Road", "09:00–19:00"} {
				if !strings.Contains(text, want) {
					t.Errorf("%s in %s does not say %q", sheet, lang, want)
				}
			}
			// NHS, Eye injuries (page reviewed 7 June 2022): at least 20 minutes.
			if !regexp.MustCompile(`\b20 (minut|分)|20 دقيقة`).MatchString(text) {
				t.Errorf("%s in %s does not say for how long a chemical is rinsed", sheet, lang)
			}
			if unread := strings.Contains(text, "No practitioner who speaks"); unread {
				t.Errorf("%s in %s says in English that nobody has read it", sheet, lang)
			}
			for _, paper := range []struct {
				name          string
				width, height float64
			}{{"A4", 210 / 25.4, 297 / 25.4}, {"Letter", 8.5, 11}} {
				if n := printed(t, desk, "paper-"+sheet+"-"+lang+"-"+paper.name, paper.width, paper.height); n != 1 {
					t.Errorf("%s in %s takes %d sheets of %s, want 1", sheet, lang, n, paper.name)
				}
			}
		}
	}
}

// The family's and the staff's manual are pages of the program in four languages,
// with the practice's own numbers, names and minutes, and without a word in another
// language than the one chosen. Numbers and names are those of
// testdata/demo/practice.json, minutes the usual ones of the ladder.
func TestManualsHaveThePracticesOwnNumbers(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/desk"), chromedp.WaitVisible(chromedp.CSS("main h1")))
	for _, sheet := range []struct {
		name    string
		says    []string
		english string // of the first line in English
	}{
		{"family", []string{"+44 20 7946 0123", "+44 20 7946 0987", "999", "1 Quay Road", "09:00–19:00"}, "Keep it with the lenses"},
		{"staff", []string{"+44 20 7946 0123", "Dr Imani Okafor", "Tomas Lindqvist", "10", "15", "60"}, "For everybody who works here"},
	} {
		for _, lang := range []string{"en", "es", "zh", "ar"} {
			where := `[data-test=paper-` + sheet.name + `][lang|=` + lang + `]`
			if _, err := ask[string](desk, `location.hash = "#paper/`+sheet.name+`?lang=`+lang+`"`); err != nil {
				t.Fatal(err)
			}
			run(t, desk, chromedp.WaitVisible(chromedp.CSS(where)))
			text, err := ask[string](desk, `document.querySelector('`+where+`').innerText`)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range sheet.says {
				if !strings.Contains(text, want) {
					t.Errorf("%s in %s does not say %q", sheet.name, lang, want)
				}
			}
			if strings.Contains(text, sheet.english) != (lang == "en") || strings.Contains(text, "{") {
				t.Errorf("%s in %s is in another language, or has a place left open", sheet.name, lang)
			}
			if n := printed(t, desk, "paper-"+sheet.name+"-"+lang, 210/25.4, 297/25.4); n < 1 || n > 12 {
				t.Errorf("%s in %s takes %d sheets of A4", sheet.name, lang, n)
			}
		}
	}
}

// What is not set yet is the practice's own trouble: on an administrator's screen it
// stands above the manual, and on paper it does not.
func TestWhatIsNotSetIsNotPrinted(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := desktop(t, newBrowser(t))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/administrator"), chromedp.WaitVisible(sel("setup-state")))
	run(t, tab, chromedp.Navigate(a.URL()+"/clinic#paper/staff"), chromedp.WaitVisible(sel("paper-staff")), chromedp.WaitVisible(sel("not-set")))
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return chromedp.Void{}, err
	})
	if n, err := ask[int](tab, `document.querySelector('[data-test=not-set]').getClientRects().length`); err != nil || n != 0 {
		t.Errorf("what is not set stands on the paper, %v", err)
	}
}

// One hazard is found by its id, also by one that was merged into another, with
// what stops it and the test that shows it.
func TestAHazardIsFoundInTheConsole(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := desktop(t, newBrowser(t))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(chromedp.CSS("main h1")))
	if _, err := ask[string](tab, `location.hash = "#rules"`); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.Click(chromedp.CSS("main a[href='#safety']")), chromedp.SendKeys(sel("hazard-find"), "H-004"))
	run(t, tab, seeIn("[data-test=hazard]", "H-003, H-004 "), seeIn("[data-test=hazard]", "TestWearInvariants"))
	if n, err := ask[int](tab, `document.querySelectorAll('[data-test=hazard]').length`); err != nil || n != 1 {
		t.Errorf("%d hazards are found by H-004, %v; want 1", n, err)
	}
}

// A breach is noted on the console's page about privacy, where the text for whoever
// keeps the server stands too.
func TestABreachIsNotedInTheConsole(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := desktop(t, newBrowser(t))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/desk"), chromedp.Click(chromedp.CSS("nav a[href='#privacy']")), chromedp.Click(sel("breach-new")))
	for _, field := range []string{"found", "what", "whose", "effects", "measures", "told"} {
		run(t, tab, chromedp.SendKeys(chromedp.CSS("[data-test=breaches] textarea[name="+field+"]"), "the "+field))
	}
	run(t, tab, chromedp.Click(chromedp.CSS("[data-test=breaches] form button.primary")), seeIn("[data-test=breaches] summary", "the found: the what"))
	text, err := ask[string](tab, `document.querySelector('[data-test=processor]').textContent`)
	if err != nil || !strings.Contains(text, "(a) ") || !strings.Contains(text, "(h) ") {
		t.Errorf("the text for a processor lacks a point of article 28(3): %q, %v", text, err)
	}
}
