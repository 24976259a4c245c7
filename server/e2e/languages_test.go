package e2e_test

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

var catalogueKey = regexp.MustCompile(`(?m)^  (?:'((?:[^'\\]|\\.)*)'|"((?:[^"\\]|\\.)*)"|(\w+)):`)

// englishOf returns the English texts, of the console and of the server, that the
// console has in a language, without those that have something filled in.
func englishOf(t *testing.T, lang string) (keys []string) {
	t.Helper()
	for _, name := range []string{lang, lang + "-server"} {
		raw, err := os.ReadFile("../../pwa/clinic/text/" + name + ".js")
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range catalogueKey.FindAllStringSubmatch(string(raw), -1) {
			key := strings.ReplaceAll(m[1]+m[2]+m[3], `\'`, `'`)
			if len(key) > 2 && !strings.Contains(key, "{") {
				keys = append(keys, key)
			}
		}
	}
	if len(keys) < 1000 {
		t.Fatalf("only %d English texts found for %s", len(keys), lang)
	}
	return keys
}

// leftJS names what stands on the page in English though there are words for it;
// a part that says it is English, such as a source, may.
const leftJS = `(keys) => {
	const ours = new Set(keys), out = [];
	const look = (text) => { text = text.trim().replace(/\.$/, ''); if (ours.has(text)) out.push('English: ' + text); };
	const w = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (w.nextNode()) if (!w.currentNode.parentElement.closest('script, style, noscript, [lang=en], option[lang]')) look(w.currentNode.data);
	for (const el of document.querySelectorAll('[aria-label], [title], [placeholder]')) for (const a of ['aria-label', 'title', 'placeholder']) look(el.getAttribute(a) ?? '');
	return out;
}`

// overprintJS names texts of a chart in parts of their own: from right to left a
// browser sets the second over the first, and 25 % reads as 64 %.
const overprintJS = `[...document.querySelectorAll('[dir=rtl] svg text tspan')].map((el) => 'overprinted: ' + el.parentElement.textContent)`

// Every page of the console as each role in each of its languages: WCAG 2.2 AA by
// axe-core, nothing that scrolls sideways on a phone, the page says its language
// and direction, and no text of ours is left in English.
func TestTheConsoleInItsLanguages(t *testing.T) {
	t.Parallel()
	for lang, says := range map[string]string{"es": "es ltr", "zh": "zh-Hans ltr", "ar": "ar rtl"} {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "en")
			speaking(t, tr, lang)
			keys, _ := json.Marshal(englishOf(t, lang))
			a := newAudit(t, tr.tab)
			rules := colourless
			if strings.HasSuffix(says, "rtl") {
				rules = wcag
			}
			desktop(t, tr.tab)
			tr.look = func(screen string) {
				a.expect(screen, lang, a.violations(rules))
				if got, err := ask[string](tr.tab, `document.documentElement.lang + ' ' + document.documentElement.dir`); err != nil || got != says {
					t.Errorf("%s: the page says %q, want %q (%v)", screen, got, says, err)
				}
				if lang != "es" { // some words are the same in English and Spanish
					a.measure(screen, lang, "("+leftJS+")("+string(keys)+")")
				}
				a.measure(screen, lang, overprintJS)
				whole(t, tr, screen+"-"+lang)
				run(t, tr.tab, chromedp.EmulateViewport(320, 640))
				a.measure(screen, "320 px", sidewaysJS)
				desktop(t, tr.tab)
			}
			for _, role := range []string{"clinician", "desk", "administrator"} {
				tr.console(role)
				sound(t, tr.tab)
			}
		})
	}
}

// A clinician chooses Arabic; an emergency's card and what closing it asks for are
// then in Arabic, from right to left, and so they are after signing in again.
func TestAClinicianChoosesArabic(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	teen := phone(t, newBrowser(t))
	at(t, teen, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"),
		tap("answer-pain-persists"), tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	tab := desktop(t, newBrowser(t))
	at(t, tab, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")), chromedp.Navigate(a.URL()+"/clinic#account"),
		chromedp.WaitVisible(sel("own-language")), chromedp.SetValue(sel("own-language"), "ar"), changed("own-language"), tap("own-language-save"),
		chromedp.WaitVisible(chromedp.CSS("html[dir=rtl] [data-test=own-language]")))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(chromedp.CSS("html[dir=rtl] [data-test=alert-row]")),
		tap("close"), chromedp.WaitVisible(sel("close-form")))
	keys, _ := json.Marshal(englishOf(t, "ar"))
	left, err := ask[[]string](tab, "("+leftJS+")("+string(keys)+")")
	if slices.Sort(left); err != nil || len(left) > 0 {
		t.Errorf("left in English: %v %v", left, err)
	}
	newAudit(t, tab).expect("card", "ar", newAudit(t, tab).violations(wcag))
	sound(t, tab)
}
