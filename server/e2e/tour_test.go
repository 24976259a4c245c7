package e2e_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// tour walks one tab through every screen of the family app and the states
// that differ, and shows each to look.
type tour struct {
	t    *testing.T
	a    program
	tab  context.Context
	look func(screen string)
	foot string // where "Something is wrong" stands
}

// longName is a child's name that no phone is wide enough for.
const longName = "Maximiliana-Anastasia Featherstonehaugh-Wolfeschlegelstein"

// startTour returns a tour in a language, with the clock at bedtime. Nobody is
// signed in yet.
func startTour(t *testing.T, lang string) *tour {
	t.Helper()
	a := demoAt(t, bedtime)
	tr := &tour{t: t, a: a, tab: newBrowser(t)}
	width(t, tr.tab, 390, 844)
	at(t, tr.tab, bedtime)
	// A tour leaves forms half typed: the browser's own question about that would hold it up.
	run(t, tr.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `addEventListener('beforeunload', (e) => e.stopImmediatePropagation(), true)`})
		return chromedp.Void{}, err
	}, chromedp.Navigate(a.URL()+"/status"))
	tr.eval(fmt.Sprintf(`localStorage.setItem('lang', %q)`, lang))
	return tr
}

// eval runs an expression for its effect.
func (tr *tour) eval(expression string) {
	tr.t.Helper()
	if _, err := ask[bool](tr.tab, `(async () => { await (`+expression+`); return true; })()`); err != nil {
		tr.t.Fatal(err)
	}
}

// open goes to a screen by its address, waits until something on it can be
// seen, and looks.
func (tr *tour) open(name, address, selector string) {
	tr.t.Helper()
	tr.eval(`location.hash = '` + address + `'`)
	tr.see(name, selector)
}

func (tr *tour) see(name, selector string) {
	tr.t.Helper()
	defer tr.inPlace(name)
	run(tr.t, tr.tab, chromedp.WaitVisible(chromedp.CSS(selector)))
	tr.look(name)
}

// tap taps marks one after the other.
// inPlace fails when "Something is wrong" is not where it was on the first
// screen of the family's app, to the pixel, or lies under something. The
// console has no such button.
func (tr *tour) inPlace(screen string) {
	tr.t.Helper()
	now, err := ask[string](tr.tab, `(() => {
		const el = document.querySelector('`+css("wrong")+`');
		if (!el) return document.querySelector('.frame') ? 'nowhere' : '';
		const r = el.getBoundingClientRect();
		const free = el.contains(document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2));
		return [r.x, r.y, r.width, r.height].map(Math.round).join(' ') + (free ? '' : ' covered');
	})()`)
	if err != nil {
		tr.t.Fatal(err)
	}
	if tr.foot == "" {
		tr.foot = now
	}
	if now != tr.foot || strings.HasSuffix(now, "covered") {
		tr.t.Errorf("%s: \"Something is wrong\" stands at %s, on the first screen at %s", screen, now, tr.foot)
	}
}

func (tr *tour) tap(marks ...string) {
	tr.t.Helper()
	for _, m := range marks {
		run(tr.t, tr.tab, tap(m))
	}
}

// at turns both clocks and loads the page anew.
func (tr *tour) at(now time.Time) {
	tr.t.Helper()
	tr.a.clock.Set(now)
	at(tr.t, tr.tab, now)
	run(tr.t, tr.tab, chromedp.Navigate(tr.a.URL()+"/#/child"), chromedp.Reload(), chromedp.WaitVisible(sel("home")))
}

// family is the whole tour of the family app.
func (tr *tour) family() {
	tr.t.Helper()
	run(tr.t, tr.tab, chromedp.Navigate(tr.a.URL()+"/join#ABCDEFGHJKLM"))
	tr.see("join", css("join"))
	tr.tap("wrong")
	tr.see("join-wrong", css("outside"))
	tr.tap("outside-back")
	run(tr.t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/parent"), ready())
	tr.see("board", css("board"))
	tr.reminders()
	tr.evening()
	tr.pages()
	tr.morning()
	tr.reports()
	tr.crowded()
}

// reminders pauses the evening, ends the pause, and puts the evening off.
func (tr *tour) reminders() {
	tr.t.Helper()
	tr.open("reminders", "#/reminders", css("pause-away"))
	tr.tap("own-holiday", "own-night-5")
	tr.see("reminders-own", "#own-free-insertion_at")
	tr.tap("pause-ill")
	tr.see("reminders-ill", css("pause-save"))
	tr.tap("pause-save")
	tr.see("reminders-paused", css("pauses"))
	tr.open("home-paused", "#/child", css("now-paused"))
	tr.tap("pause-end", "snooze")
	tr.see("home-snoozed", css("snoozed"))
}

func (tr *tour) evening() {
	tr.see("home-evening", css("wear-in"))
	tr.tap("wear-in")
	tr.see("panel-in", css("confirm"))
	tr.tap("line-at")
	tr.see("panel-in-time", "#u-at")
	tr.tap("cancel", "not-worn")
	tr.see("panel-not-worn", css("reason-forgot"))
	tr.tap("cancel", "wear-in", "confirm")
	tr.see("saved", css("saved"))
	tr.open("evening", "#/evening", css("rating-3"))
	tr.tap("rating-2")
	tr.see("evening-rated", css("confirm"))
}

func (tr *tour) pages() {
	tr.open("first", "#/first", css("first-1"))
	tr.tap("first-next")
	tr.see("first-notify", css("first-2"))
	tr.tap("first-skip")
	tr.see("first-times", css("first-3"))
	tr.open("help", "#/help", css("card-red-eye"))
	tr.open("help-card", "#/help/red-eye", ".figure")
	tr.open("guide", "#/guide", css("guide-hands"))
	for range 8 {
		tr.tap("guide-next")
	}
	tr.see("guide-ahead", css("guide-expect"))
	tr.open("taught", "#/taught", css("learnt-hands"))
	tr.open("progress", "#/progress", ".figures")
	tr.open("supplies", "#/supplies", css("supply-solution"))
	tr.tap("supply-lens", "lens-kept", "confirm")
	tr.see("supplies-spare", css("spares"))
	tr.tap("supply-solution")
	tr.see("supplies-bottle", "#s-days")
	tr.open("more", "#/more", css("to-unsent"))
	tr.tap("to-devices", "device-add")
	run(tr.t, tr.tab, chromedp.WaitVisible(sel("device-code"))) // its coming moves what stands below
	tr.tap("calendar-make")
	run(tr.t, tr.tab, chromedp.WaitVisible(sel("calendar-end")))
	tr.see("devices", css("calendar-address"))
	tr.open("parts", "#/parts", css("parts"))
	tr.open("unsent-none", "#/unsent", css("unsent-state"))
	tr.open("night", "#/night/2026-03-20", css("add-note"))
	tr.tap("add-note")
	tr.see("night-note", "#note-text")
	tr.open("acuity-card", "#/acuity", css("card-size"))
	tr.calibrated()
	tr.see("acuity-prepare", css("acuity-start"))
	tr.calibrated()
	tr.tap("acuity-right", "by-tape", "acuity-ready", "acuity-start")
	tr.see("acuity-run", css("acuity-run"))
	tr.calibrated()
	tr.tap("acuity-right", "by-tape", "acuity-ready", "acuity-start", "way-up", "way-left", "acuity-stop")
	tr.see("acuity-few", css("acuity-result"))
}

func (tr *tour) morning() {
	tr.at(bedtime.Add(9*time.Hour + 40*time.Minute))
	tr.see("home-morning", css("wear-out"))
	tr.tap("wear-out")
	tr.see("panel-out", css("confirm"))
	tr.tap("eyes-not")
	tr.see("panel-out-trouble", ".notice.alarm")
	tr.tap("cancel", "wear-out", "confirm")
	tr.see("home-look", css("look-not"))
	tr.tap("look-fine")
	run(tr.t, tr.tab, chromedp.WaitVisible(sel("now-care")))
	tr.tap("care-usual")
	tr.see("panel-care", css("confirm"))
	tr.tap("care-all", "trouble-yes")
	tr.see("panel-care-different", css("tap_water"))
	tr.tap("tap_water", "confirm")
	tr.see("home-done", ".now.calm")
	tr.tap("record-tap-water")
	tr.see("home-record", css("record"))
	tr.tap("anytime")
	tr.see("home-more", ".summary")
}

// calm are the answers of an eye that has nothing, screen by screen: what to
// look at, and what to tap.
var calm = []struct {
	look string
	taps []string
}{
	{"injury", []string{"answer-injury-no"}},
	{"lens", []string{"answer-lens-out"}},
	{"feel", []string{"answer-pain-none", "answer-gritty-no"}},
	{"look", []string{"answer-redness-none", "answer-spot-no", "answer-pupil-no"}},
	{"lid", []string{"answer-lid-no", "answer-discharge-none"}},
	{"see", []string{"answer-sight-same", "answer-light-no"}},
	{"last", []string{"began-hours", "answer-water-no", "answer-ill-no", "answer-other-usual"}},
}

// check walks the eye check of one eye from its first screen and looks at every
// screen.
func (tr *tour) check() {
	tr.t.Helper()
	tr.tap("eye-right")
	for _, screen := range calm {
		tr.see("check-"+screen.look, css("step-"+screen.look))
		tr.tap(screen.taps...)
	}
	tr.see("check-told", css("step-last"))
	tr.tap("check-stop")
}

func (tr *tour) reports() {
	tr.tap("wrong")
	tr.see("check-eye", css("eye-right"))
	tr.check()
	tr.see("advice-none", css("advice"))
	tr.tap("wrong", "eye-both", "answer-injury-no", "answer-lens-out", "apart-pain")
	tr.see("check-apart", css("answer-pain-none-left"))
	tr.tap("answer-pain-none-right", "answer-pain-none-left", "answer-gritty-no", "apart-redness", "answer-redness-mild-right")
	tr.see("check-apart-short", css("answer-redness-mild-left"))
	tr.tap("check-stop")
	tr.see("advice-urgent", ".advice-head.urgent")
	tr.tap("wrong", "eye-both", "answer-injury-chemical")
	tr.see("advice-emergency", ".advice-head.emergency")
	tr.tap("home")
	tr.see("board-with-report", css("child-hold"))
	tr.open("home-with-report", "#/child", css("now-hold"))
	tr.at(bedtime.Add(24 * time.Hour))
	tr.see("home-hold", css("hold-not-worn"))
}

// crowded is a family of four children, one with a long name, whose phone has
// no network.
func (tr *tour) crowded() {
	tr.more(longName, "Bo", "Çağla")
	run(tr.t, tr.tab, chromedp.Reload(), chromedp.WaitVisible(sel("wearer")))
	tr.see("home-four", css("wearer"))
	tr.open("board-four", "#/", css("board"))
	tr.eval(`globalThis.fetch = () => Promise.reject(new TypeError('no network'))`)
	tr.eval(`location.hash = '#/evening'`)
	tr.tap("rating-4", "confirm")
	tr.see("board-four-unsent", css("unsent"))
	tr.tap("unsent")
	tr.see("unsent", css("unsent-list"))
	tr.tap("wrong")
	tr.see("check-whose", "[data-test^=whose-]")
	tr.eval(`document.querySelector('[data-test^=whose-]').click()`)
	tr.tap("eye-both")
	tr.see("check-both", css("apart-injury"))
}

// more renames the family's child and adds two.
func (tr *tour) more(first string, others ...string) {
	tr.t.Helper()
	err := tr.a.DB.Update(func(tx *store.Tx) error {
		var one care.Wearer
		if err := tx.Register().AllWearers(func(w care.Wearer) bool {
			if w.Code == "W-0012" {
				one = w
			}
			return true
		}); err != nil {
			return err
		}
		if err := tx.Register().ChangeWearer(one.ID, func(w *care.Wearer) { w.Name = first }); err != nil {
			return err
		}
		for i, name := range others {
			w := care.Wearer{ID: care.WearerID(access.NewID()), Family: one.Family, Code: fmt.Sprintf("W-90%02d", i), Name: name}
			if err := tx.Register().AddWearer(w); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		tr.t.Fatal(err)
	}
}

// dark turns the page dark or light.
func dark(t *testing.T, tab context.Context, on bool) {
	t.Helper()
	media(t, tab, "prefers-color-scheme", map[bool]string{true: "dark", false: "light"}[on])
}

// media makes the page believe one wish of its reader.
func media(t *testing.T, tab context.Context, name, value string) {
	t.Helper()
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: name, Value: value}}})
		return chromedp.Void{}, err
	})
}

// width makes the window so many CSS px wide, on a screen that stays the same:
// the sight test must be measured anew on another. 320 is also what 1280 become
// at a zoom of 400 % (WCAG 2.2, 1.4.10).
func width(t *testing.T, tab context.Context, px, height int64) {
	t.Helper()
	run(t, tab, chromedp.EmulateViewport(px, height, chromedp.EmulateScale(2), func(m *emulation.SetDeviceMetricsOverrideParams, _ *emulation.SetTouchEmulationEnabledParams) {
		m.Mobile = px < 600
		m.ScreenWidth, m.ScreenHeight = 390, 844
	}), awaited(`new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`)) // what the page measures of itself is told before it is painted
}

// calibrated opens the sight test anew, past the card: a picture at another zoom
// has ended it, as it must.
func (tr *tour) calibrated() {
	tr.t.Helper()
	run(tr.t, tr.tab, awaited(`Promise.resolve(location.hash = '#/').then(() => true)`), chromedp.WaitVisible(sel("home")),
		awaited(`Promise.resolve(location.hash = '#/acuity').then(() => true)`), awaited(`new Promise((done) => {
			const look = () => (document.querySelector('[data-test=card-done], [data-test=acuity-right]') ? done(true) : setTimeout(look, 20));
			look();
		})`))
	asked, err := ask[bool](tr.tab, `!!document.querySelector('[data-test=card-done]')`)
	if err != nil {
		tr.t.Fatal(err)
	}
	if asked {
		tr.tap("card-done", "card-sure")
	}
}
