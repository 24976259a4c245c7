package e2e_test

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
)

// spokenRoles are the parts of a page by which somebody finds their way who does
// not see it; the rest of the tree is text, boxes and drawings.
var spokenRoles = []string{"heading", "button", "link", "textbox", "checkbox", "combobox", "status", "alert", "navigation", "main", "dialog"}

// pressable are those of them that do something.
var pressable = []string{"button", "link", "textbox", "checkbox", "combobox"}

// reader is a window as a screen reader has it: by its accessibility tree.
type reader struct{ *window }

// hears is the whole page as it is read out: what has a meaning, in order.
func (r reader) hears() (all []spoken) {
	r.t.Helper()
	d, ok := r.driver.(interface{ tree() ([]spoken, error) })
	if !ok {
		r.t.Fatalf("%s gives no tree", r.engine.name)
	}
	r.wait("reading the accessibility tree", func() (bool, error) {
		got, err := d.tree()
		all = slices.DeleteFunc(got, func(s spoken) bool { return !slices.Contains(spokenRoles, s.Role) })
		return len(all) > 0, err
	})
	for i := range all {
		all[i].Name = strings.Join(strings.Fields(all[i].Name), " ")
	}
	return all
}

// hear waits until the page has these parts in this order, whatever stands
// between them, each as "role: name"; an asterisk marks what has the focus.
func (r reader) hear(want ...string) {
	r.t.Helper()
	var lines []string
	r.wait(fmt.Sprintf("hearing %q", want), func() (bool, error) {
		left := want
		lines = nil
		for _, s := range r.hears() {
			line := s.Role + ": " + s.Name
			lines = append(lines, line)
			if len(left) == 0 {
				continue
			}
			wanted, focus := strings.CutPrefix(left[0], "*")
			if line == wanted && (!focus || s.Focused) {
				left = left[1:]
			}
		}
		if len(left) > 0 {
			return false, fmt.Errorf("no %q after what stands before it, in\n%s", left[0], strings.Join(lines, "\n"))
		}
		return true, nil
	})
}

// told waits until a polite live region of the tree says these words: what a reader
// is told of a result, whatever has the focus.
func (r reader) told(words ...string) {
	r.t.Helper()
	r.wait(fmt.Sprintf("being told %q", words), func() (bool, error) {
		var said []string
		for _, s := range r.hears() {
			if s.Live != "polite" || s.Text == "" {
				continue
			}
			said = append(said, s.Text)
			if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(s.Text, w) }) {
				return true, nil
			}
		}
		return false, fmt.Errorf("it says %q", said)
	})
}

// named fails for each part that can be pressed or filled in and has no name.
func (r reader) named() {
	r.t.Helper()
	for _, s := range r.hears() {
		if slices.Contains(pressable, s.Role) && s.Name == "" {
			r.t.Errorf("%s: a %s has no name", r.engine.name, s.Role)
		}
	}
}

// inOrder presses the tab key n times from where the focus stands: what gets it
// is what comes next in the order of reading, and nothing gets it twice.
func (r reader) inOrder(n int) {
	r.t.Helper()
	at := -1
	for range n {
		r.must(r.keys(tabKey), "pressing the tab key")
		on := at
		r.wait("the focus to go on", func() (bool, error) { // the tree of another process follows a moment later
			list := slices.DeleteFunc(r.hears(), func(s spoken) bool { return !slices.Contains(pressable, s.Role) })
			on = slices.IndexFunc(list, func(s spoken) bool { return s.Focused })
			if on > at {
				return true, nil
			}
			return false, fmt.Errorf("it went from %d to %d of %v", at, on, list)
		})
		at = on
	}
}

// press with the space bar what has a mark, reached by the tab key.
func (r reader) use(mark string) {
	r.t.Helper()
	r.tabTo(mark)
	r.must(r.keys(pressKey), "pressing the space bar")
}

// What a reader is given is the tree of the browser and not the page: names that are
// computed, what is hidden left out, roles of the elements themselves, and what a live
// region says (accname 1.2, step 2; WAI-ARIA 1.2, 7.1 and "status").
func TestAReaderIsGivenTheTree(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo("data:text/html," + url.PathEscape(`<!doctype html><title>A page</title><main><h1>Top</h1><button aria-hidden="true">Unheard</button><button hidden>Hidden</button>
			<span id="n">By another</span><button aria-labelledby="n">Own text</button><label>Field <input></label><button aria-label="Called so">Shown so</button>
			<div role="presentation"><a href="about:blank">Way</a></div><h2 role="presentation">Plain</h2><p role="status">Just <b>said</b></p></main>`))
		var got []string
		want := []string{"main: ", "heading: Top", "button: By another", "textbox: Field", "button: Called so", "link: Way", "status: "}
		r.wait("the tree of that page", func() (bool, error) {
			got = nil
			for _, s := range r.hears() {
				got = append(got, s.Role+": "+s.Name)
			}
			if slices.Equal(got, want) {
				return true, nil
			}
			return false, fmt.Errorf("heard %q, want %q", got, want)
		})
		r.told("Just said")
	})
}

// The two-tap night, heard and by the keyboard alone: names, roles, the live
// region, the order of the focus, and where it goes after each tap (WCAG 2.2,
// 1.3.1, 2.1.1, 2.4.3, 4.1.2, 4.1.3).
func TestTheNightIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo(a.URL() + "/demo/parent#/child")
		r.ready()
		r.hear("main: Daniel Achterberg", "heading: Lenses in", "button: Lenses are in", "button: Not worn", "status: ", "navigation: Screens", "button: Eye not right?", "link: Today", "link: Progress", "link: Help")
		r.named()
		r.inOrder(6)
		r.again()
		r.goTo(a.URL() + "/#/child") // past the last one the focus would leave the page
		r.ready()
		if live := slices.IndexFunc(r.hears(), func(s spoken) bool { return s.Live == "polite" && s.Text == "" }); live < 0 {
			t.Errorf("%s: no live region stands before anything is said", e.name)
		}
		r.use("wear-in")
		r.hear("*heading: Lenses are in", "button: Yes, save")
		r.named()
		r.use("confirm")
		r.told("Saved")
		r.hear("*heading: Sleep well")
		r.sound()
	})
}

// The eye check from the red button to its advice, heard and by the keyboard
// alone: each screen's question is a heading and has the focus.
func TestTheEyeCheckIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo(a.URL() + "/demo/teen")
		r.ready()
		r.use("wrong")
		r.hear("heading: Is any of this happening right now?", "button: Very bad pain", "button: Right eye", "button: Both eyes")
		r.named()
		r.inOrder(4)
		r.goTo(a.URL() + "/")
		r.ready()
		r.use("wrong")
		r.use("eye-right")
		r.hear("*heading: Was the eye hurt, or did something get into it?", "button: No", "button: Don’t know", "button: Back")
		r.use("answer-injury-no")
		r.hear("*heading: Where is the lens?")
		r.named()
		r.use("answer-lens-out")
		r.until(`document.activeElement.tagName === 'H1'`)
		r.use("answer-pain-persists")
		r.use("check-stop")
		r.visible(css("advice"))
		r.until(`document.activeElement.tagName !== 'BODY' && !document.activeElement.matches('.foot *')`)
		r.named()
		r.sound()
	})
}

// Evening sight, a correction of what was logged, and taking it back, heard and
// by the keyboard alone.
func TestACorrectionIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo(a.URL() + "/demo/parent#/evening")
		r.ready()
		r.hear("heading: Evening sight", "button: Very blurred", "button: As clear as this morning")
		r.named()
		r.use("rating-2")
		r.use("confirm")
		r.told("Saved")
		r.visible(css("board"))
		r.goTo(a.URL() + "/#/night/2026-03-24")
		r.visible(css("edit-evening-sight"))
		r.hear("main: Daniel Achterberg", "link: Edit: Evening sight", "button: Take back: Evening sight")
		r.named()
		r.follow(css("edit-evening-sight"))
		r.hear("heading: Mend: Evening sight", "button: Very blurred")
		r.until(`document.querySelector('` + css("rating-2") + `')?.getAttribute('aria-pressed') === 'true'`) // filled with what was said
		r.use("rating-4")
		r.use("confirm")
		r.until(`document.querySelector('` + css("live") + `').textContent.includes('Saved')`)
		r.hear("main: Daniel Achterberg", "link: Edit: Evening sight")
		r.seeIn(css("logged"), "Nearly clear")
		r.use("back-evening-sight")
		r.told("Taken back")
		r.until(`/^H[1-3]$/.test(document.activeElement.tagName)`)
		r.sound()
	})
}

// What comes of a deed that saves no entry is told by the region that was there before,
// too: a code for another phone, words for the practitioner alone, the settings of a
// practice (WCAG 2.2, 4.1.3).
func TestWhatComesOfADeedIsTold(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		for _, tc := range []struct {
			at, form, words, press string
			told                   []string
		}{
			{"/demo/parent#/devices", "", "", "device-add", []string{"Code: "}},
			{"/demo/teen#/write", "private-text", "My mother need not know", "private-send", []string{"Sent"}},
		} {
			r := reader{phoneIn(t, e, bedtime)}
			r.goTo(a.URL() + tc.at)
			r.visible(css(tc.press))
			r.do(`globalThis.live = document.querySelector('` + css("live") + `')`)
			if tc.form != "" {
				r.write(css(tc.form), tc.words)
			}
			r.use(tc.press)
			r.told(tc.told...)
			r.until(`live.isConnected && live.textContent !== ''`)
			r.sound()
		}
		desk := reader{deskIn(t, e, bedtime)}
		desk.goTo(a.URL() + "/demo/administrator#settings")
		desk.visible(css("settings-save"))
		desk.do(`globalThis.live = document.querySelector('` + css("live") + `')`)
		desk.do(`document.querySelector('` + css("settings-save") + `').focus()`) // below some hundred fields
		desk.must(desk.keys(pressKey), "pressing the space bar")
		desk.told("Saved.")
		desk.until(`live.isConnected`)
		desk.sound()
	})
}

// Joining by the code in the letter, heard and by the keyboard alone: a fault
// stands at its field and takes the focus there.
func TestJoiningIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		inv := newcomers(t, a, clinician(t, a))()
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo(a.URL() + "/join")
		r.hear("combobox: Language", "status: ", "heading: Welcome", "textbox: Code from the clinic", "textbox: Name for this phone", "heading: What you agree to", "button: Join", "button: Eye not right?")
		r.named()
		r.use("join")
		r.until(`document.activeElement.dataset.test === 'join-code' && document.activeElement.getAttribute('aria-invalid') === 'true'`)
		r.hear("*textbox: Code from the clinic", "alert: ")
		r.must(r.keys(inv.Code), "typing the code")
		r.use("join-agree")
		r.use("join")
		r.visible(css("first-1"))
		r.named()
		r.use("first-skip")
		r.use("first-skip")
		r.use("first-next")
		r.visible(css("wear-in"))
		r.named()
		r.sound()
	})
}

// The review and the plan of the console, heard and by the keyboard alone, from
// the first page to a wearer and on to the plan: headings lead through them, and
// nothing that can be pressed or filled in is without a name.
func TestTheReviewAndThePlanAreHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		id := wearerID(t, clinician(t, a), a, "W-0010")
		r := reader{deskIn(t, e, bedtime)}
		r.goTo(a.URL() + "/demo/clinician")
		r.seeIn("main", "Who needs a call")
		r.hear("heading: Alerts none waiting", "heading: Visits today 2 visits")
		r.follow(`nav a[href="#wearers"]`)
		r.reach(`main input[type=search]`)
		r.must(r.keys("Feldmann"), "writing a name")
		r.until(`document.querySelectorAll('[data-test=wearer-row]').length === 1`)
		r.follow(css("wearer-row") + ` a[href$="` + id + `"]`)
		r.visible(css("points"))
		r.hear("navigation: Pages", "link: Today", "main: ", "heading: Points to raise")
		r.named()
		r.follow(`main a[href="#plan/` + id + `"]`)
		r.visible(css("plan-form"))
		r.named()
		r.reach(css("plan-form") + ` input[type=date]`)
		r.sound()
	})
}

// Whoever asks for stillness gets it, and whoever forces the colours still sees
// the edge of each button and where the focus is: the two-tap night and the check,
// in each engine that can be told so.
func TestStillAndInForcedColours(t *testing.T) {
	inEngines(t, []feature{dressing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.must(w.driver.(interface{ plain() error }).plain(), "asking for stillness and forced colours")
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.until(`matchMedia('(prefers-reduced-motion: reduce)').matches && matchMedia('(forced-colors: active)').matches`)
		for _, view := range []string{"child", "check", "evening", "help"} {
			w.do(`location.hash = '#/` + view + `'`)
			w.visible("main h1, main legend")
			if n := read[int](w, `document.getAnimations().filter((a) => a.playState === 'running').length`); n != 0 {
				t.Errorf("%s: %d things move", view, n)
			}
			bare := read[[]string](w, `[...document.querySelectorAll('main .btn:not(.plain), main .choice, .foot .wrong')].filter((el) => el.getClientRects().length && (getComputedStyle(el).borderTopStyle === 'none' || parseFloat(getComputedStyle(el).borderTopWidth) < 1)).map((el) => el.innerText)`)
			if len(bare) > 0 {
				t.Errorf("%s: without an edge: %q", view, bare)
			}
			w.shot("forced-" + view)
		}
		w.do(`location.hash = '#/child'`)
		w.tabTo("wear-in")
		if ring := read[string](w, `getComputedStyle(document.activeElement).outlineStyle + getComputedStyle(document.activeElement).outlineWidth`); ring != "solid3px" {
			t.Errorf("the ring of the focus is %s", ring)
		}
		w.shot("forced-focus")
		w.sound()
	})
}
