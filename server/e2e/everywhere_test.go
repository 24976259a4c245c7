package e2e_test

import (
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Joining in every engine: by the code in the letter, with the browser's own
// question whether to keep the log left without an answer, a page loaded anew
// before the first run stood, and notifications passed over.
func TestJoiningInEveryEngine(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		inv := newcomers(t, a, clinician(t, a))()
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/join")
		w.visible(css("join"))
		// A question that nobody answers: the promise of it stays open.
		w.do(`navigator.storage && (navigator.storage.persist = () => { globalThis.askedToKeep = true; return new Promise(() => {}); })`)
		w.write(css("join-code"), strings.ToLower(inv.Code))
		w.tap("join-agree", "join")
		w.see("first-1", "In a private window the log is gone")
		if e.lacks[unheard] == "" {
			w.until(`globalThis.askedToKeep === true`)
		}
		w.shot("join-first-run")
		w.tap("first-skip", "first-skip")
		w.visible(css("first-3"))
		w.tap("first-next")
		w.visible(css("wear-in"))
		w.seeIn(".now", "Lenses in")
		if at := read[string](w, `location.pathname + location.hash`); at != "/#/" {
			t.Errorf("the address is %q after joining: the code must not stay in it", at)
		}
		w.sound()
	})
}

// The device is made and the page is loaded anew before the app has entered: the
// first run is walked all the same, and only once.
func TestAReloadWhileJoiningStillWalksTheFirstRun(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		inv := newcomers(t, a, clinician(t, a))()
		w := phoneIn(t, e, bedtime)
		w.goTo(inv.URL)
		w.visible(css("join-agree")) // the words are there
		w.do(`(() => {
			const real = globalThis.fetch;
			globalThis.fetch = (url, init) => (String(url).includes('/api/join') ? real(url, init) : new Promise(() => {})); // nothing after it is answered
		})()`)
		w.tap("join-agree", "join")
		until(t, "the device is made", func() bool {
			return devicesOf(t, a, "Astrid Lindqvist") == 1
		})
		w.again()
		w.visible(css("first-1"))
		w.goTo(a.URL() + "/")
		w.visible(css("wear-in"))
		w.sound()
	})
}

// A start without a server in every engine: the whole app stands, also a screen
// that was never opened before.
func TestStartsWithoutAServer(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.seeIn(css("logged"), "Evening sight")
		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		w.again()
		w.visible(css("wear-in"))
		w.goTo(a.URL() + "/#/help")
		w.visible(css("card-red-eye"))
		w.tap("wrong")
		w.visible("[data-test^=whose-]")
		w.shot("without-a-server")
		w.sound()
	})
}

// A zoom in the middle of a sight test ends it in every engine, in words: rings
// already answered are kept, and the screen is measured again before the next
// one. In WebKit a zoom does not show in devicePixelRatio.
func TestSightTestEndsWhenTheZoomChanges(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.do(`location.hash = '#/acuity'`)
		w.tap("card-done", "card-sure", "acuity-right", "by-tape", "acuity-ready", "acuity-start", "way-up", "way-unknown")
		w.seeIn(".acuity [role=status]", "ring 3")
		w.must(w.zoom(1.5), "zooming")
		w.see("acuity-result", "practice")
		w.see("acuity-scaled", "The page became larger or smaller")
		w.shot("sight-test-zoomed")
		w.tap("confirm")
		w.see("saved", "Saved")
		w.do(`location.hash = '#/acuity'`)
		w.visible(css("card-size"))
		w.sound()
	})
}

// A console that is to ring says, in every engine and larger than anything else
// on the page, that it makes no sound before somebody has clicked in it.
func TestConsoleSaysThatItIsSilent(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.gone(css("silence")) // nobody asked for a sound
		w.do(`localStorage.setItem('nightkeep-clinic-sound', 'on')`)
		w.again()
		w.see("silence", "No sound yet. Click here.")
		w.shot("console-silent")
		largest := read[bool](w, `(() => {
			const size = (el) => parseFloat(getComputedStyle(el).fontSize);
			const most = size(document.querySelector('`+css("silence")+` strong'));
			return [...document.querySelectorAll('main *')].every((el) => el.closest('`+css("silence")+`') || size(el) < most);
		})()`)
		if !largest {
			t.Error("something on the page is as large as the word that it is silent")
		}
		w.tap("silence")
		w.gone(css("silence"))
		w.sound()
	})
}

// devicesOf counts the devices of somebody by name that are in use.
func devicesOf(t *testing.T, a program, name string) (n int) {
	t.Helper()
	err := a.DB.View(func(tx *store.Tx) error {
		families := map[care.FamilyID]bool{}
		if err := tx.Register().AllWearers(func(w care.Wearer) bool { families[w.Family] = true; return true }); err != nil {
			return err
		}
		for f := range families {
			all, err := tx.Register().Devices(f)
			if err != nil {
				return err
			}
			for _, d := range all {
				if p, err := tx.Register().Person(d.Person); err == nil && p.Name == name && !d.Revoked {
					n++
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}
