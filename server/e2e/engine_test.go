package e2e_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// driver is one running browser with one page, of any engine. Each call waits
// until the browser has done it.
type driver interface {
	// open goes to an address and waits until the document is there.
	open(address string) error
	// eval evaluates an expression in the page, waits for what it promises, and
	// returns the value as a string; the expression must come to one.
	eval(expression string) (string, error)
	// click presses and releases at a place of the viewport, in CSS px.
	click(x, y float64) error
	// keys presses keys one after the other; named keys are the code points of
	// WebDriver, section 17.4.2.
	keys(text string) error
	// clock makes every page believe that it is now, from the next load on.
	clock(now time.Time) error
	// zoom makes the page larger, as somebody does who reads badly; 1 is the
	// size it came with.
	zoom(factor float64) error
	// picture is the viewport as PNG.
	picture() ([]byte, error)
	// paper prints the page as PDF on a size in inches.
	paper(width, height float64) ([]byte, error)
	// allow answers a question that the browser would ask its user: granted,
	// denied or prompt.
	allow(origin, what, answer string) error
	close()
}

// spoken is what a screen reader is given of one part of a page, by the words of
// WAI-ARIA: Live is the live region that it is, if it is one, and Text what that says.
type spoken struct {
	Role, Name, Live, Text string
	Focused                bool
}

// engine is a kind of browser.
type engine struct {
	name string
	// start starts one with a window of so many CSS px, in a zone.
	start func(t *testing.T, wide, high int, zone string) driver
	// lacks says why a feature is missing, by feature.
	lacks map[feature]string
}

// feature is something that a story needs and not every engine can be driven to.
type feature string

const (
	printing    feature = "printing to a file"
	answering   feature = "answering the browser's own questions"
	assistive   feature = "reading the accessibility tree"
	unheard     feature = "leaving a question of the browser unanswered"
	pressing    feature = "pressing a button by a key"
	dressing    feature = "asking for stillness and forced colours"
	clearing    feature = "clearing the storage of a page"
	serviceSide feature = "a clock inside the service worker"
)

// engines are all that the stories run in. NIGHTKEEP_ENGINES names fewer, for a
// machine that cannot have them all.
func engines() []engine {
	all := []engine{chromium, firefox, webkit}
	only := strings.Fields(os.Getenv("NIGHTKEEP_ENGINES"))
	return slices.DeleteFunc(all, func(e engine) bool { return len(only) > 0 && !slices.Contains(only, e.name) })
}

// inEngines plays a story in every engine that has what it needs, and notes how
// it went for the table that the test command prints.
func inEngines(t *testing.T, needs []feature, story func(t *testing.T, e engine)) {
	t.Helper()
	t.Parallel()
	for _, e := range engines() {
		t.Run(e.name, func(t *testing.T) {
			t.Parallel()
			for _, f := range needs {
				if why := e.lacks[f]; why != "" {
					note(t, e, "left out: "+why)
					t.Skipf("%s cannot be driven to %s: %s", e.name, f, why)
				}
			}
			began := time.Now()
			defer func() {
				how := fmt.Sprintf("played, %.0f s", time.Since(began).Seconds())
				if t.Failed() {
					how = "FAILED"
				}
				note(t, e, how)
			}()
			story(t, e)
		})
	}
}

var noting sync.Mutex

// note adds a row to the file of NIGHTKEEP_TABLE: story, engine, how it went.
func note(t *testing.T, e engine, how string) {
	path := os.Getenv("NIGHTKEEP_TABLE")
	if path == "" {
		return
	}
	noting.Lock()
	defer noting.Unlock()
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		t.Error(err)
		return
	}
	defer f.Close()
	story, _, _ := strings.Cut(strings.TrimPrefix(t.Name(), "Test"), "/")
	fmt.Fprintf(f, "%s\t%s\t%s\n", story, e.name, how)
}

// window is a browser as a story uses it. Everything waits for what it needs and
// fails the test when that will never come.
type window struct {
	t *testing.T
	driver
	engine engine
}

// phoneIn starts an engine as a phone in London that believes it is now.
func phoneIn(t *testing.T, e engine, now time.Time) *window {
	t.Helper()
	return startIn(t, e, 390, 844, now)
}

// deskIn is the same as a desk.
func deskIn(t *testing.T, e engine, now time.Time) *window {
	t.Helper()
	return startIn(t, e, 1280, 800, now)
}

func startIn(t *testing.T, e engine, wide, high int, now time.Time) *window {
	t.Helper()
	w := &window{t: t, driver: e.start(t, wide, high, "Europe/London"), engine: e}
	t.Cleanup(w.close)
	w.at(now)
	return w
}

// must fails the test with what the page shows.
func (w *window) must(err error, what string) {
	w.t.Helper()
	if err == nil {
		return
	}
	if dir := os.Getenv("NIGHTKEEP_SHOTS"); dir != "" {
		if png, err := w.picture(); err == nil {
			_ = os.WriteFile(filepath.Join(dir, "failed-"+w.engine.name+".png"), png, 0o600)
		}
	}
	text := stuck(w.eval)
	if d, ok := w.driver.(interface{ round() string }); ok {
		text = d.round() + "\n" + text
	}
	w.t.Fatalf("%s: %s: %v\n%s", w.engine.name, what, err, text)
}

// pulseJS asks a page that got stuck whether what it stands on still answers, each
// within ten seconds, and says what it shows.
const pulseJS = `(async () => {
	const within = (what, answer) => Promise.race([answer(), new Promise((done) => setTimeout(() => done('no answer in 10 s'), 10000))])
		.then((said) => what + ': ' + said, (e) => what + ': ' + e);
	const said = await Promise.all([
		within('its database', () => new Promise((done, fail) => {
			const open = indexedDB.open('nightkeep');
			open.onsuccess = () => { open.result.close(); done('answers'); };
			open.onblocked = () => done('is blocked');
			open.onerror = () => fail(open.error);
		})),
		within('the server', () => fetch('/healthz', {cache: 'no-store'}).then((r) => 'answers ' + r.status)),
		within('its worker', async () => {
			const r = await navigator.serviceWorker.getRegistration();
			return [r?.installing, r?.waiting, r?.active].map((w) => w?.state ?? '-').join(' ') + (navigator.serviceWorker.controller ? ', in control' : ', not in control');
		}),
	]);
	return [location.href, document.readyState + ', ' + document.visibilityState, ...said, 'faults: ' + JSON.stringify(globalThis.faults), 'the page shows:', document.body?.innerText].join('\n');
})()`

// stuck is what a page says that did not do as it should; a page that answers
// nothing at all is given half a minute.
func stuck(eval func(string) (string, error)) string {
	said := make(chan string, 1)
	go func() {
		text, err := eval(pulseJS)
		if err != nil {
			text = "the page does not say how it stands: " + err.Error()
		}
		said <- text
	}()
	select {
	case text := <-said:
		return text
	case <-time.After(30 * time.Second):
		return "the page answers no script within 30 s"
	}
}

func (w *window) at(now time.Time) {
	w.t.Helper()
	w.must(w.clock(now), "setting the clock")
}

// goTo opens an address anew, also the one that is open.
func (w *window) goTo(address string) {
	w.t.Helper()
	w.must(w.open(address), "opening "+address)
}

// again loads the page anew.
func (w *window) again() {
	w.t.Helper()
	address, err := w.eval(`location.href`)
	w.must(err, "reading the address")
	before, _, _ := strings.Cut(address, "#")
	w.must(w.open("about:blank"), "leaving the page")
	w.must(w.open(before), "loading anew")
}

// screen goes to another screen of the page that is open.
func (w *window) screen(hash string) {
	w.t.Helper()
	w.do(`Promise.resolve(location.hash = ` + quoted("#"+hash) + `)`)
}

// anew loads the family's app anew and goes to a screen of it.
func (w *window) anew(hash string) {
	w.t.Helper()
	w.again()
	w.visible(css("home"))
	w.screen(hash)
}

// read evaluates an expression and returns its value.
func read[T any](w *window, expression string) (v T) {
	w.t.Helper()
	raw, err := w.eval(`(async () => JSON.stringify(await (` + expression + `)) ?? "null")()`)
	w.must(err, expression)
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		w.t.Fatalf("%s: %v in %s", expression, err, raw)
	}
	return v
}

// do runs an expression for its effect.
func (w *window) do(expression string) {
	w.t.Helper()
	read[bool](w, `(async () => { await (`+expression+`); return true; })()`)
}

// until waits until an expression is true. A page that is being left may answer
// with an error; the last one is told when it never becomes true.
func (w *window) until(expression string) {
	w.t.Helper()
	w.wait(expression, func() (bool, error) {
		said, err := w.eval(`(async () => String(!!(await (` + expression + `))))()`)
		return said == "true", err
	})
}

// wait asks again and again until it is so.
func (w *window) wait(what string, so func() (bool, error)) {
	w.t.Helper()
	tick := time.NewTicker(30 * time.Millisecond)
	defer tick.Stop()
	for late := time.Now().Add(patience); ; <-tick.C {
		yes, err := so()
		if yes && err == nil {
			return
		}
		if time.Now().After(late) {
			if err == nil {
				err = fmt.Errorf("never so")
			}
			w.must(err, what)
		}
	}
}

// visible waits until each element is there and can be seen.
func (w *window) visible(selectors ...string) {
	w.t.Helper()
	for _, s := range selectors {
		w.until(`(() => { const el = document.querySelector(` + quoted(s) + `); return !!el && el.getClientRects().length > 0 && getComputedStyle(el).visibility === 'visible'; })()`)
	}
}

// gone waits until no element fits.
func (w *window) gone(selector string) {
	w.t.Helper()
	w.until(`!document.querySelector(` + quoted(selector) + `)`)
}

// see waits until the element with a mark shows the text.
func (w *window) see(mark, text string) {
	w.t.Helper()
	w.seeIn(css(mark), text)
}

// seeIn is see for any selector.
func (w *window) seeIn(selector, text string) {
	w.t.Helper()
	w.until(`(document.querySelector(` + quoted(selector) + `)?.innerText ?? '').replace(/\s+/g, ' ').includes(` + quoted(text) + `)`)
}

// tap presses the middle of elements with a mark, one after the other, each once
// it can be seen, stands still, may be pressed, and nothing lies over it.
func (w *window) tap(marks ...string) {
	w.t.Helper()
	for _, m := range marks {
		w.press(css(m))
	}
}

// press is tap for any selector.
func (w *window) press(selector string) {
	w.t.Helper()
	look := `(() => {
		const el = document.querySelector(` + quoted(selector) + `);
		if (!el || el.matches(':disabled')) return '';
		const r = el.getBoundingClientRect();
		const at = [r.x + r.width / 2, r.y + r.height / 2];
		if (el.contains(document.elementFromPoint(...at))) return JSON.stringify(at);
		el.scrollIntoView({block: 'center', behavior: 'instant'}); // away from the bars at the edges, as a finger would
		return '';
	})()`
	before, at := "", []float64{}
	w.wait("tapping "+selector, func() (bool, error) {
		now, err := w.eval(look)
		still := now != "" && now == before
		before = now
		return still, err
	})
	w.must(json.Unmarshal([]byte(before), &at), "finding "+selector)
	w.must(w.click(at[0], at[1]), "tapping "+selector)
}

// write types into a field in place of what is in it.
func (w *window) write(selector, text string) {
	w.t.Helper()
	w.press(selector)
	w.do(`document.querySelector(` + quoted(selector) + `).select()`)
	w.must(w.keys(text), "typing")
}

// ready waits until the app works without a network: its worker controls the
// page.
func (w *window) ready() {
	w.t.Helper()
	w.visible(css("home"))
	w.until(`navigator.serviceWorker.getRegistration().then((r) => r?.active?.state === 'activated')`)
}

// saved waits until the phone has said that it saved, and then until the server
// has everything: an entry stands in the phone's database before it is said.
func (w *window) savedAndSent() {
	w.t.Helper()
	w.visible(css("saved"))
	w.sent()
}

// sent waits until the server has everything that was written on the phone.
func (w *window) sent() {
	w.t.Helper()
	w.until(unsentJS + `.then((n) => n === 0)`)
	w.gone(css("unsent"))
}

// unsentJS counts what only the phone has.
const unsentJS = `new Promise((done, reject) => {
	const open = indexedDB.open('nightkeep');
	open.onerror = () => reject(open.error);
	open.onsuccess = () => {
		const n = open.result.transaction('entries').objectStore('entries').index('state').count('unsent');
		n.onsuccess = () => { open.result.close(); done(n.result); };
	};
})`

// sound fails when the page met an error, or did something its security policy
// forbids.
func (w *window) sound() {
	w.t.Helper()
	if faults := read[[]string](w, `globalThis.faults ?? ["no faults were gathered"]`); len(faults) > 0 {
		w.t.Errorf("%s: the page met %q", w.engine.name, faults)
	}
}

// shot keeps a picture when NIGHTKEEP_SHOTS names a folder.
func (w *window) shot(name string) {
	w.t.Helper()
	dir := os.Getenv("NIGHTKEEP_SHOTS")
	if dir == "" {
		return
	}
	png, err := w.picture()
	w.must(err, "taking a picture")
	w.must(os.WriteFile(filepath.Join(dir, name+"-"+w.engine.name+".png"), png, 0o600), "keeping a picture")
}

func quoted(s string) string {
	raw, err := json.Marshal(s)
	if err != nil {
		panic(err) // no string is refused
	}
	return string(raw)
}

// faultsJS gathers what goes wrong in a page.
const faultsJS = `if (!globalThis.faults) {
	globalThis.faults = [];
	addEventListener('error', (e) => faults.push(String(e.message)));
	addEventListener('unhandledrejection', (e) => faults.push(String(e.reason)));
	addEventListener('securitypolicyviolation', (e) => faults.push(e.violatedDirective + ' ' + e.blockedURI));
}`

// clockJS puts a page's clock off by ms.
func clockJS(off time.Duration) string {
	return fmt.Sprintf(`(() => {
	%s
	const Real = globalThis.RealDate ?? Date, off = %d;
	globalThis.RealDate = Real;
	globalThis.Date = class extends Real {
		constructor(...a) { if (a.length) super(...a); else super(Real.now() + off); }
		static now() { return Real.now() + off; }
	};
})()`, faultsJS, off.Milliseconds())
}
