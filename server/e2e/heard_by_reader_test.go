package e2e_test

import (
	"fmt"
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
			return on > at, fmt.Errorf("it went from %d to %d of %v", at, on, list)
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

// The two-tap night, heard and by the keyboard alone: names, roles, the live
// region, the order of the focus, and where it goes after each tap (WCAG 2.2,
// 1.3.1, 2.1.1, 2.4.3, 4.1.2, 4.1.3).
func TestTheNightIsHeard(t *testing.T) {
	inEngines(t, []feature{assistive}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		r := reader{phoneIn(t, e, bedtime)}
		r.goTo(a.URL() + "/demo/parent#/child")
		r.ready()
		r.hear("main: ", "heading: Lenses in", "button: Lenses are in", "button: Not worn", "status: ", "navigation: Screens", "button: Eye not right?", "link: Today", "link: Progress", "link: Help")
		r.named()
		r.inOrder(6)
		r.again()
		r.goTo(a.URL() + "/#/child") // past the last one the focus would leave the page
		r.ready()
		if live := slices.IndexFunc(r.hears(), func(s spoken) bool { return s.Live == "polite" }); live < 0 {
			t.Errorf("%s: no live region stands before anything is said", e.name)
		}
		r.use("wear-in")
		r.hear("*heading: Lenses in", "button: Yes, save")
		r.named()
		r.use("confirm")
		r.until(`document.querySelector('` + css("live") + `').textContent.includes('Saved')`)
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
		r.hear("heading: How bad is it, right now?", "button: Very bad pain", "button: Right eye", "button: Both eyes")
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
		r.use("answer-pain-severe")
		r.use("check-stop")
		r.visible(css("advice"))
		r.until(`document.activeElement.tagName !== 'BODY' && !document.activeElement.matches('.foot *')`)
		r.named()
		r.sound()
	})
}
