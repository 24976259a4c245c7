package e2e_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// fullJS makes the browser answer every write of an entry as it answers when
// there is no room left; roomJS ends that. It stands in for a full phone: with
// the devtools' quota override Chromium still took these small writes.
const (
	fullJS = `(() => {
		globalThis.writes = {add: IDBObjectStore.prototype.add, put: IDBObjectStore.prototype.put};
		const full = function () { throw new DOMException('no room', 'QuotaExceededError'); };
		Object.assign(IDBObjectStore.prototype, {add: full, put: full});
		return true;
	})()`
	roomJS = `!!Object.assign(IDBObjectStore.prototype, writes)`
)

// A phone without room: the app says so in words, keeps the form as it was
// filled in, and saves at the next tap once there is room.
func TestFullPhoneSaysSo(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, before := settled(t, a)
	run(t, tab, awaited(fullJS), tap("wear-in"), tap("confirm"), seeIn("main", "this phone has no room left"))
	if got, err := ask[int](tab, countJS); err != nil || got != before {
		t.Errorf("%d entries, %v; want the %d from before", got, err, before)
	}
	shot(t, tab, "full-phone")
	run(t, tab, awaited(roomJS), tap("confirm"), chromedp.WaitVisible(sel("saved")), sent())
	if got, err := ask[int](tab, countJS); err != nil || got != before+1 {
		t.Errorf("%d entries, %v; want one more than %d", got, err, before)
	}
	sound(t, tab)
}

// countJS counts the entries in the phone's database, by a connection of its
// own that is closed again.
const countJS = `new Promise((resolve, reject) => {
	const open = indexedDB.open('nightkeep');
	open.onerror = () => reject(open.error);
	open.onsuccess = () => {
		const n = open.result.transaction('entries').objectStore('entries').count();
		n.onsuccess = () => { open.result.close(); resolve(n.result); };
	};
})`

// A newer version of the app upgrades the database in a second tab: the first
// lets go of it and says so, and nothing is lost.
func TestNewerTabIsNamed(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, before := settled(t, a)
	newer := secondTab(t, tab)
	run(t, newer, chromedp.Navigate(a.URL()+"/status"))
	if got, err := ask[int](newer, upgradeJS); err != nil || got != before {
		t.Errorf("the newer version found %d entries, %v; want %d", got, err, before)
	}
	run(t, tab, seeIn("main", "A newer version is open in another tab"))
	sound(t, tab)
}

// A tab that will not let go of the older version blocks the upgrade: the newer
// app says which tab to close, and opens by itself once it is closed, with all
// that was in the database.
func TestOlderTabIsNamed(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, before := settled(t, a)
	older := secondTab(t, tab)
	run(t, older, chromedp.Navigate(a.URL()+"/status"), awaited(holdJS))
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: nextVersionJS + ";" + backgroundJS})
		return chromedp.Void{}, err
	}, chromedp.Reload(), seeIn("main", "open in another tab with an older version"))
	if _, err := ask[bool](older, "held.close(), true"); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.WaitVisible(sel("wear-in")))
	if got, err := ask[int](tab, countJS); err != nil || got != before {
		t.Errorf("%d entries, %v; want %d", got, err, before)
	}
	sound(t, tab)
}

// settled is a parent's phone that has read the family's log, and how many
// entries are in its database.
func settled(t *testing.T, a program) (context.Context, int) {
	t.Helper()
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), seeIn(css("logged"), "Evening sight"))
	n, err := ask[int](tab, countJS)
	if err != nil || n == 0 {
		t.Fatalf("%d entries, %v", n, err)
	}
	return tab, n
}

// secondTab is another tab of the phone, at the same hour.
func secondTab(t *testing.T, tab context.Context) context.Context {
	t.Helper()
	other, stop := chromedp.NewContext(tab)
	t.Cleanup(stop)
	width(t, other, 390, 844)
	at(t, other, bedtime)
	return other
}

// holdJS opens the database as an older page would that ignores versionchange.
const holdJS = `new Promise((resolve, reject) => {
	const open = indexedDB.open('nightkeep');
	open.onerror = () => reject(open.error);
	open.onsuccess = () => { globalThis.held = open.result; resolve(true); };
})`

// nextVersionJS makes the page ask for one version more than it does.
const nextVersionJS = `(() => {
	const open = IDBFactory.prototype.open;
	IDBFactory.prototype.open = function (name, version) { return open.call(this, name, version && version + 1); };
})()`

// backgroundJS makes the page live as one in a background tab does: timers run
// once a second at most, and so do frames, which is what the app hangs on that
// waits for one before it looks.
const backgroundJS = `(() => {
	const later = setTimeout;
	globalThis.setTimeout = (job, ms, ...args) => later(job, Math.max(ms ?? 0, 1000), ...args);
	globalThis.requestAnimationFrame = (job) => later(() => job(performance.now()), 1000);
	globalThis.cancelAnimationFrame = clearTimeout;
})()`

// upgradeJS does what a newer version does: it opens the database at a higher
// version and counts what is in it.
const upgradeJS = `new Promise((resolve, reject) => {
	const open = indexedDB.open('nightkeep', 2);
	open.onerror = () => reject(open.error);
	open.onsuccess = () => {
		const n = open.result.transaction('entries').objectStore('entries').count();
		n.onsuccess = () => { open.result.close(); resolve(n.result); };
	};
})`

// goesJS makes the page go while the write of the tap that comes next is under
// way: what it reads is never answered, its transaction is kept busy, and the
// page is left.
const goesJS = `!void addEventListener('click', () => {
	IDBObjectStore.prototype.get = function () {
		const on = () => { this.count().onsuccess = on; };
		on();
		location.assign('/plain');
		return {};
	};
}, { capture: true, once: true })`

// A page that goes in the middle of a write locks no page after it out of the
// log. In WebKit such a transaction keeps its lock for good, and the app stood
// at "One moment…" until the browser was ended.
func TestAPageThatGoesWithinAWriteLocksNobodyOut(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.visible(css("wear-in"))
		w.tap("wear-in")
		w.visible(css("confirm"))
		w.do(goesJS)
		w.tap("confirm")
		w.until(`location.pathname === '/plain'`)
		w.goTo(a.URL() + "/#/child")
		w.visible(css("wear-in")) // nothing was said to be saved, and nothing is
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		w.sound()
	})
}
