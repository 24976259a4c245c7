package e2e_test

import (
	"encoding/json"
	"os"
	"testing"
	"unicode/utf8"
)

// brokenJS names words that a line ends inside, of those that stand in headings,
// buttons and the links of a list. A word is broken where its first character
// and its last are not on one line.
const brokenJS = `(words) => {
	const out = [];
	for (const el of document.querySelectorAll('h1, h2, h3, legend, button, summary, th, dt, .cards a, a.btn')) {
		if (!el.checkVisibility()) continue;
		const w = document.createTreeWalker(el, NodeFilter.SHOW_TEXT);
		while (w.nextNode()) for (const word of words) for (let at = w.currentNode.data.indexOf(word); at >= 0; at = w.currentNode.data.indexOf(word, at + 1)) {
			const top = (i) => { const r = document.createRange(); r.setStart(w.currentNode, at + i); r.setEnd(w.currentNode, at + i + 1); return r.getBoundingClientRect().top; };
			if (Math.abs(top(0) - top(word.length - 1)) > 4) out.push(word + ' in ' + el.innerText.slice(0, 30));
		}
	}
	return out;
}`

// termsOf returns the short words of a language's list of terms.
func termsOf(t *testing.T, lang string) (words []string) {
	t.Helper()
	raw, err := os.ReadFile("../../pwa/app/text/" + lang + "/terms.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []struct{ Use string }
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	for _, term := range list {
		if n := utf8.RuneCountInString(term.Use); n == 2 || n == 3 {
			words = append(words, term.Use)
		}
	}
	return words
}

// On a narrow phone no line of a heading, a button or a link of Help ends inside
// a Chinese word of the trade, in either script.
func TestNoLineEndsInsideAChineseWord(t *testing.T) {
	t.Parallel()
	more := map[string][]string{
		"zh":      {"急诊", "平时", "左眼", "右眼", "化学品", "自来水", "护理液", "沉淀物"},
		"zh-Hant": {"急診", "平時", "左眼", "右眼", "化學品", "自來水", "護理液", "沉澱物"},
	}
	for lang, trade := range more {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, lang)
			words, _ := json.Marshal(append(termsOf(t, lang), trade...))
			tr.look = func(screen string) {
				if spaced, err := ask[[]string](tr.tab, `document.body.innerText.match(/.{0,8}[。，：；？！、] +\S.{0,8}/g) ?? []`); err != nil || len(spaced) > 0 {
					t.Errorf("%s: a space after a full-width mark: %q %v", screen, spaced, err)
				}
				for _, px := range []int64{320, 360, 390} {
					width(t, tr.tab, px, 640)
					found, err := ask[[]string](tr.tab, "("+brokenJS+")("+string(words)+")")
					if err != nil || len(found) > 0 {
						t.Errorf("%s at %d px: %v %v", screen, px, found, err)
					}
				}
				width(t, tr.tab, 390, 844)
			}
			tr.family()
			sound(t, tr.tab)
		})
	}
}
