package e2e_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// Focus never falls to the page (WCAG 2.2, 2.4.3): whatever takes away what was
// pressed leads to the heading of what has come in its place. Changing the
// language keeps it where it is (3.2.2), and "Undo" is one key before the page
// (2.4.3).
func TestFocusFollowsEachAction(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{phoneIn(t, e, bedtime)}
		onHeading := func(after string) {
			t.Helper()
			r.wait("a heading has the focus after "+after, func() (bool, error) {
				on, err := r.eval(`document.activeElement.tagName`)
				if err == nil && len(on) == 2 && on[0] == 'H' {
					return true, nil
				}
				return false, fmt.Errorf("it is on %s, %v", on, err)
			})
		}
		r.goTo(a.URL() + "/demo/parent#/child")
		r.ready()
		r.use("wear-in")
		r.visible(css("confirm"))
		onHeading("the first tap")
		r.until(`document.activeElement.textContent === 'Lenses are in'`) // the heading says which form has opened
		r.press(`.card[data-test=panel] .row button:last-of-type`)        // cancel
		r.visible(css("wear-in"))
		onHeading("cancelling")
		r.use("wear-in")
		r.use("confirm")
		r.gone(css("confirm"))
		onHeading("the second tap")
		r.do(`document.querySelector('` + css("undo-first") + `').focus()`)
		r.until(`document.querySelector('` + css("undo-first") + `').nextElementSibling.matches('main')`)
		r.must(r.keys(pressKey), "pressing the space bar")
		r.until(`document.querySelector('` + css("live") + `').textContent.length > 0`)
		r.visible(css("wear-in"))
		r.until(`document.activeElement.matches('` + css("undo-first") + `')`) // which brings it back now
		r.use("anytime")
		r.do(`[...document.querySelectorAll('` + css("care-usual") + `')].find((b) => b.offsetParent && (b.focus(), b.click(), true))`)
		r.visible(css("confirm"))
		onHeading("the tap on what can be logged at any time")
		r.until(`document.activeElement.textContent === 'Cleaned and stored' && !!document.activeElement.closest('details')`)
		r.do(`location.hash = '#/night/2026-03-23'`)
		r.use("add-note")
		r.visible("#note-text")
		onHeading("the tap on a note")
		r.until(`document.activeElement.textContent === 'Note for the clinic' && !!document.activeElement.closest('.card').querySelector('#note-text')`)
		r.do(`location.hash = '#/more'`)
		r.visible(css("language"))
		r.do(`(() => { const s = document.querySelector('` + css("language") + `'); s.focus(); s.value = 'es'; s.dispatchEvent(new Event('change', {bubbles: true})); })()`)
		r.until(`document.documentElement.lang === 'es'`)
		r.seeIn("main", "Idioma")
		r.until(`document.activeElement.dataset.test === 'language'`)
		r.until(`document.title.startsWith('Más')`)
		r.sound()
	})
}

// Choosing another language leaves the focus where it was (WCAG 2.2, 3.2.2): on a phone
// that has not joined yet, and in the console, which starts again in it and says that it
// was saved.
func TestALanguageIsChosenWithoutLosingThePlace(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		phone := reader{phoneIn(t, e, bedtime)}
		phone.goTo(a.URL() + "/join")
		phone.visible(css("join"))
		phone.tabTo("language")
		phone.must(phone.keys("esp"), "choosing “Español” by its first letters")
		phone.until(`document.documentElement.lang === 'es'`)
		phone.hear("combobox: Idioma", "heading: Le damos la bienvenida")
		phone.until(`document.activeElement.dataset.test === 'language'`) // Firefox's tree has it on the choice inside
		phone.sound()
		desk := reader{deskIn(t, e, bedtime)}
		desk.goTo(a.URL() + "/demo/clinician")
		desk.seeIn("main", "Who needs a call")
		desk.do(`location.hash = '#account'`)
		desk.tabTo("own-language")
		desk.must(desk.keys("esp"), "choosing “Español” by its first letters")
		desk.use("own-language-save")
		desk.until(`document.documentElement.lang === 'es'`)
		desk.told("Guardado.")
		desk.hear("*button: Guardar")
		desk.sound()
	})
}

// Every page names itself in the window's title (WCAG 2.2, 2.4.2), by a word of
// its own and never by a key of the catalogue.
func TestEveryPageHasATitle(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/join"), chromedp.WaitVisible(sel("join")), awaited(`new Promise((done) => { const look = () => document.title === 'Welcome – Nightkeep' ? done(true) : setTimeout(look, 20); look(); })`))
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready())
	seen := map[string]string{}
	for _, view := range []string{"child", "check", "evening", "help", "help/red-eye", "progress", "more", "more/privacy", "supplies", "unsent", "devices", "reminders", "acuity", "night/2026-03-23", "night/2026-03-22", "guide"} {
		title, err := ask[string](tab, `(async () => {
			const before = document.title, same = location.hash === '#/`+view+`';
			location.hash = '#/`+view+`';
			for (let n = 0; n < 500 && !same && document.title === before; n++) await new Promise((done) => setTimeout(done, 20));
			return document.title;
		})()`)
		if err != nil || !strings.HasSuffix(title, " – Nightkeep") || strings.Contains(strings.TrimSuffix(title, " – Nightkeep"), ".") {
			t.Errorf("%s is called %q, %v", view, title, err)
		}
		if other := seen[title]; other != "" {
			t.Errorf("%s and %s are both called %q", view, other, title)
		}
		seen[title] = view
	}
	sound(t, tab)
}

// Every page of the console names itself in the window's title, each by a name of its
// own, and none of them says whom it is about.
func TestEveryPageOfTheConsoleHasATitle(t *testing.T) {
	t.Parallel()
	for _, role := range []string{"clinician", "administrator"} {
		t.Run(role, func(t *testing.T) {
			t.Parallel()
			tr := startTour(t, "en")
			desktop(t, tr.tab)
			seen := map[string]string{role + "-suitability-W": "Suitability · Nightkeep clinic"} // the same page, filled in
			tr.look = func(screen string) {
				title, err := ask[string](tr.tab, `document.title`)
				name, ours := strings.CutSuffix(title, " · Nightkeep clinic")
				if err != nil || !ours || name == "" || strings.Contains(name, "Feldmann") || strings.Contains(name, "Petrov") {
					t.Errorf("%s is called %q, %v", screen, title, err)
				}
				for other, had := range seen {
					if had == title && !strings.HasPrefix(other, screen) && !strings.HasPrefix(screen, other) {
						t.Errorf("%s and %s are both called %q", screen, other, title)
					}
				}
				if screen != role+"-suitability" {
					seen[screen] = title
				}
			}
			tr.console(role)
			sound(t, tr.tab)
		})
	}
}

// ringJS names every control of the page whose ring of focus has less than 3:1
// against what is round it (WCAG 2.2, 1.4.11; contrast as in its definition of
// "relative luminance").
const ringJS = `(async () => {
	const lum = ([r, g, b]) => [r, g, b].map((v) => v / 255).map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4).reduce((n, v, i) => n + v * [0.2126, 0.7152, 0.0722][i], 0);
	const rgb = (css) => { const m = css.match(/[\d.]+/g)?.map(Number) ?? []; return m.length === 4 && m[3] === 0 ? null : m.slice(0, 3); };
	const behind = (el) => { for (let at = el.parentElement; at; at = at.parentElement) { const c = rgb(getComputedStyle(at).backgroundColor); if (c) return c; } return [255, 255, 255]; };
	const out = [], was = document.activeElement;
	let n = 0;
	for (const el of document.querySelectorAll('a[href], button, select, input, textarea, summary, [tabindex="0"]')) {
		if (!el.checkVisibility({visibilityProperty: true}) || el.matches(':disabled')) continue;
		el.focus({preventScroll: true});
		if (document.activeElement !== el) continue;
		n++;
		const s = getComputedStyle(el);
		const name = el.tagName + ' ' + (el.dataset.test ?? el.className) + ' "' + (el.innerText ?? '').slice(0, 20) + '"';
		if (s.outlineStyle === 'none' || parseFloat(s.outlineWidth) < 2) { out.push(name + ' has no ring'); continue; }
		const [a, b] = [lum(rgb(s.outlineColor)), lum(behind(el))].sort((x, y) => y - x);
		const ratio = (a + 0.05) / (b + 0.05);
		if (ratio < 3) out.push(name + ' ' + ratio.toFixed(2) + ' ' + s.outlineColor + ' on ' + behind(el));
	}
	was?.focus({preventScroll: true});
	return n > 1 ? out : [...out, 'only ' + n + ' controls were looked at'];
})()`

// coveredJS gives the focus to every control of the page, from the first to the last
// and back again, and names those that then stand outside the window or lie under
// something that stays put while the page scrolls.
const coveredJS = `(() => {
	const was = document.activeElement;
	const stays = (el) => { for (let at = el; at; at = at.parentElement) if (['fixed', 'sticky'].includes(getComputedStyle(at).position)) return at; };
	const all = [...document.querySelectorAll('main :is(a[href], button, select, input, textarea, summary, [tabindex="0"])')].filter((el) => el.checkVisibility({visibilityProperty: true}) && !el.matches(':disabled, [tabindex="-1"]'));
	const out = new Set();
	for (const el of [...all, ...all.toReversed()]) {
		el.focus();
		if (document.activeElement !== el) continue;
		const r = el.getBoundingClientRect(), x = Math.min(Math.max(r.x + r.width / 2, 1), innerWidth - 1);
		const name = el.tagName + ' ' + (el.dataset.test ?? el.className) + ' "' + (el.innerText || el.name || '').slice(0, 20) + '"';
		for (const y of r.height < 2 || r.height > innerHeight / 2 ? [] : el.matches('textarea') ? [r.top + 1] : [r.top + 1, r.bottom - 1]) { // of a text the browser shows the line that is written
			const top = document.elementFromPoint(x, y), over = top && !el.contains(top) && !top.contains(el) && !el.labels?.[0]?.contains(top) && stays(top);
			if (y < 0 || y > innerHeight) out.add(name + ' is outside the window: ' + Math.round(y));
			else if (over && !over.contains(el)) out.add(name + ' lies under ' + (over.dataset.test ?? over.className));
		}
	}
	was?.focus({preventScroll: true});
	return [...out];
})()`

// The focus can be seen on every screen of both apps, by day and by night: its ring on
// each surface, dark cards and the word "Saved" included (WCAG 2.2, 1.4.11), and what
// has it lies under no bar and no banner, on a phone of 4 inches and while an emergency
// stands on top of the console's page (2.4.11).
func TestTheFocusIsSeenOnEveryScreen(t *testing.T) {
	t.Parallel()
	start := func(t *testing.T) (*tour, func(screen string)) {
		tr := startTour(t, "en")
		a := newAudit(t, tr.tab)
		return tr, func(screen string) {
			run(t, tr.tab, chromedp.KeyEvent(kb.Shift)) // a ring is for whoever uses keys
			a.measure(screen, "light", ringJS)
			dark(t, tr.tab, true)
			a.measure(screen, "dark", ringJS)
			dark(t, tr.tab, false)
		}
	}
	t.Run("family", func(t *testing.T) {
		t.Parallel()
		tr, rings := start(t)
		tr.look = func(screen string) {
			rings(screen)
			width(t, tr.tab, 320, 568)
			newAudit(t, tr.tab).measure(screen, "320 x 568", coveredJS)
			width(t, tr.tab, 390, 844)
		}
		tr.family()
		sound(t, tr.tab)
	})
	for _, role := range []string{"clinician", "desk", "administrator"} {
		t.Run(role, func(t *testing.T) {
			t.Parallel()
			tr, rings := start(t)
			desktop(t, tr.tab)
			raise(t, tr.a, care.WearerID(wearerID(t, clinician(t, tr.a), tr.a, "W-0002")), "a-emergency", escalate.Emergency)
			tr.look = func(screen string) {
				rings(screen)
				newAudit(t, tr.tab).measure(screen, "1280 x 800", coveredJS)
			}
			tr.console(role)
			sound(t, tr.tab)
		})
	}
}

// What the tab key reaches is never left under the bar at the foot (WCAG 2.2,
// 2.4.11), on a small phone, from the top of home to its end.
func TestNothingIsLeftUnderTheFootBar(t *testing.T) {
	inEngines(t, []feature{pressing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := startIn(t, e, 375, 667, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.visible(css("anytime"))
		last := ""
		for n := range 60 {
			w.must(w.keys(tabKey), "pressing the tab key")
			under := read[[2]string](w, `(() => {
				const el = document.activeElement;
				if (!el.closest('main')) return [el.closest('.foot') ? 'foot' : '', ''];
				const r = el.getBoundingClientRect(), foot = document.querySelector('.foot').getBoundingClientRect();
				return ['main', r.bottom > foot.top || r.top < 0 ? (el.innerText || el.tagName) + ' from ' + r.top + ' to ' + r.bottom + ' with the bar at ' + foot.top : ''];
			})()`)
			if under[1] != "" {
				t.Errorf("tab %d: %s", n+1, under[1])
			}
			if last == "main" && under[0] == "foot" {
				return
			}
			last = under[0]
		}
		t.Error("sixty presses of the tab key do not lead through the page to the bar at the foot")
	})
}

// The console says what was done and what has come, whatever page is open, by one
// region that was there before (WCAG 2.2, 4.1.3), and the focus goes on to the
// card in its new place (2.4.3): a new emergency while a plan is open, "I have
// this" and a comment by the keyboard alone.
func TestTheConsoleIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		wearer := care.WearerID(wearerID(t, clinician(t, a), a, "W-0002"))
		r := reader{deskIn(t, e, bedtime)}
		press := func(selector string) {
			t.Helper()
			r.reach(selector)
			r.must(r.keys(pressKey), "pressing the space bar")
		}
		r.goTo(a.URL() + "/demo/clinician")
		r.seeIn("main", "Who needs a call")
		r.named()
		r.do(`(globalThis.live = document.querySelector('` + css("live") + `'), location.hash = '#suitability')`)
		r.seeIn("main h1", "Suitability")
		r.named()
		raise(t, a, wearer, "a-new", escalate.Emergency)
		r.told("New emergency: ", "left eye", "Mira Castellan")
		r.until(`live.isConnected && live.textContent.includes('New emergency: ')`)
		r.do(`location.hash = '#today'`)
		r.visible(`[data-alert="a-new"]`)
		press(`[data-alert="a-new"] [data-test=acknowledge]`)
		r.told("You have this: ")
		r.until(`document.activeElement.matches('[data-alert="a-new"] h3')`)
		press(`[data-alert="a-new"] [data-test=comment]`)
		r.until(`document.activeElement.matches('[data-alert="a-new"] .inline-form input')`)
		r.must(r.keys("On the way\ue007"), "writing a comment")
		r.told("Comment saved: ")
		r.until(`document.activeElement.matches('[data-alert="a-new"] h3')`)
		// a call that is logged, and a closing (the desk phones, the clinician decides)
		press(`[data-alert="a-new"] [data-test=call]`)
		r.until(`document.activeElement.matches('[data-test=call-result]')`)
		r.must(r.keys("r"), "choosing “reached” by its first letter")
		press(css("call-save"))
		r.told("Call logged: ")
		r.until(`document.activeElement.matches('[data-alert="a-new"] h3')`)
		press(`[data-alert="a-new"] [data-test=close]`)
		r.until(`document.activeElement.matches('[data-test=decide-stays]')`) // the first thing it asks for
		r.until(`document.querySelector('[data-test=decide-none]').checked`)  // no eye is stopped
		r.tabTo("close-outcome")
		r.must(r.keys("spo"), "choosing “Spoken to” by its first letters")
		r.tabTo("close-note")
		r.must(r.keys("Spoken to"), "writing what was done")
		press(css("close-save"))
		r.told("Closed: ")
		r.until(`live.isConnected`)
		r.until(`document.activeElement.matches('h2, h3, #alerts-title')`)
		if n := read[int](r.window, `document.querySelectorAll('[role=img] :is(a, button, input, select, [tabindex])').length`); n != 0 {
			t.Errorf("%d controls are hidden inside pictures", n)
		}
		r.sound()
	})
}

// A window that nobody uses warns two minutes before it is locked; locked, it
// shows nothing of the practice; and after the same person's passkey what was
// typed is still there (WCAG 2.2, 2.2.1).
func TestALockedWindowKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "200")
	d.does(`make()`, "200")
	desktop(t, d.tab)
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#suitability"), seeIn("main h1", "Suitability"), chromedp.WaitVisible("main input[type=text], main input[inputmode]"))
	if _, err := ask[bool](d.tab, `(() => { globalThis.typed = document.querySelector('main input[type=text], main input[inputmode]'); typed.focus(); return true; })()`); err != nil {
		t.Fatal(err)
	}
	run(t, d.tab, chromedp.KeyEvent("-3.25"))
	later := func(by time.Duration) {
		t.Helper()
		d.later(by)
		if _, err := ask[bool](d.tab, fmt.Sprintf(`(() => { const now = Date.now; Date.now = () => now() + %d; return true; })()`, by.Milliseconds())); err != nil {
			t.Fatal(err)
		}
	}
	later(28*time.Minute + 10*time.Second)
	run(t, d.tab, see("idle", "In two minutes it is locked"), tap("idle-stay"), chromedp.WaitNotPresent(sel("idle")))
	later(28*time.Minute + 10*time.Second)
	run(t, d.tab, see("idle", "What is typed here stays for you"))
	later(3 * time.Minute)
	run(t, d.tab, chromedp.WaitVisible(sel("passkey-sign-in")))
	if text, err := ask[string](d.tab, `document.body.innerText`); err != nil || strings.Contains(text, "Suitability") {
		t.Errorf("the locked window shows %q, %v", text, err)
	}
	run(t, d.tab, tap("passkey-sign-in"), chromedp.WaitNotPresent(sel("passkey-sign-in")), seeIn("main h1", "Suitability"))
	if kept, err := ask[string](d.tab, `typed.isConnected && document.activeElement === typed ? typed.value : 'lost: ' + document.activeElement.outerHTML.slice(0, 80)`); err != nil || !strings.Contains(kept, "3.25") {
		t.Errorf("what was typed is %q, %v; want -3.25", kept, err)
	}
}

// Whoever else signs in at a locked window gets a page of their own: nothing that the
// first one typed is on it.
func TestALockedWindowGivesNothingToAnother(t *testing.T) {
	t.Parallel()
	d := practiceAt(t)
	d.does(`say('POST', 'sign-in', {code: 'linkc'})`, "200")
	d.does(`make()`, "200")
	desktop(t, d.tab)
	run(t, d.tab, chromedp.Navigate(d.url+"/clinic#suitability"), seeIn("main h1", "Suitability"), fill("Age", "137"))
	d.later(31 * time.Minute)
	if _, err := ask[bool](d.tab, `(() => { const now = Date.now; Date.now = () => now() + 31 * 60000; return true; })()`); err != nil {
		t.Fatal(err)
	}
	run(t, d.tab, chromedp.WaitVisible(sel("passkey-sign-in")))
	// The administrator has a key on this machine, and the clinician's is not there.
	if _, err := ask[bool](d.tab, ceremoniesJS); err != nil {
		t.Fatal(err)
	}
	run(t, d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, webauthn.ClearCredentials, webauthn.ClearCredentialsParams{AuthenticatorID: d.key})
		return chromedp.Void{}, err
	})
	d.does(`say('POST', 'sign-in', {code: 'linka'})`, "200")
	d.does(`make()`, "200")
	d.leads("passkey-sign-in")
	run(t, d.tab, seeIn(".signed-in", "administrator"))
	if kept, err := ask[bool](d.tab, `document.body.innerText.includes('137') || [...document.querySelectorAll('input, textarea')].some((el) => el.value.includes('137'))`); err != nil || kept {
		t.Errorf("what the clinician typed is before the administrator, %v", err)
	}
}

// The sight of the evenings runs from right to left where the language does, with
// its dates, and is read out in words.
func TestTheSightChartRunsAsTheLanguageDoes(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	for _, tc := range []struct{ lang, first string }{{"en", "left"}, {"ar", "right"}} {
		tab := phoneAt(t, bedtime)
		run(t, tab, chromedp.Navigate(a.URL()+"/status"), awaited(`Promise.resolve(localStorage.setItem('lang', '`+tc.lang+`')).then(() => true)`),
			chromedp.Navigate(a.URL()+"/demo/parent#/progress"), chromedp.WaitVisible(".sight-chart"))
		got, err := ask[struct {
			Side, Label string
			Dots, Dates int
		}](tab, `(() => {
			const box = document.querySelector('.sight-chart'), dates = [...box.querySelectorAll('text')].slice(-2).map((x) => x.getBoundingClientRect());
			return {side: dates[0].x < dates[1].x ? 'left' : 'right', label: box.getAttribute('aria-label'), dots: box.querySelectorAll('circle').length, dates: dates.filter((r) => r.left >= box.getBoundingClientRect().left - 1 && r.right <= box.getBoundingClientRect().right + 1).length};
		})()`)
		if err != nil || got.Side != tc.first || got.Dots < 2 || got.Dates != 2 {
			t.Errorf("%s: %+v, %v; want the first date on the %s, both inside", tc.lang, got, err, tc.first)
		}
		if want := fmt.Sprint(got.Dots); tc.lang == "en" && !strings.Contains(got.Label, "Evenings rated: "+want+". The worst: ") {
			t.Errorf("it is read out as %q, want %s evenings and the worst", got.Label, want)
		}
		run(t, tab, awaited(`Promise.resolve(document.querySelector('.sight-chart').scrollIntoView({block: 'center'})).then(() => true)`))
		shot(t, tab, "sight-chart-"+tc.lang)
		sound(t, tab)
	}
}
