package e2e_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// clearJS empties what a site keeps in the browser, all but its cookies.
const clearJS = `(async () => {
	localStorage.clear();
	for (const key of await caches.keys()) await caches.delete(key);
	for (const r of await navigator.serviceWorker.getRegistrations()) await r.unregister();
	await new Promise((done, no) => {
		const gone = indexedDB.deleteDatabase('nightkeep');
		gone.onsuccess = done;
		gone.onerror = () => no(gone.error);
	});
})()`

// meJS is the device that the phone believes to be; empty for none.
const meJS = `new Promise((done, reject) => {
	const open = indexedDB.open('nightkeep');
	open.onerror = () => reject(open.error);
	open.onsuccess = () => {
		if (!open.result.objectStoreNames.contains('meta')) { open.result.close(); return done(''); }
		const me = open.result.transaction('meta').objectStore('meta').get('me');
		me.onsuccess = () => { open.result.close(); done(me.result?.device ?? ''); };
	};
})`

// clear empties the storage of a site as the browser itself does, where it can
// be driven to; else as the site's own scripts can.
func (w *window) clear(site string) {
	w.t.Helper()
	if d, ok := w.driver.(interface{ clear(site string) error }); ok {
		w.must(d.clear(site), "clearing the storage")
		return
	}
	w.do(clearJS)
}

// inLongAgo logs that lenses went in an hour and more ago: out again sooner is asked
// about.
func (w *window) inLongAgo() {
	w.t.Helper()
	w.tap("wear-in", "line-at")
	w.visible("#u-at")
	w.do(`((field) => {
		Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set.call(field, '20:10');
		field.dispatchEvent(new Event('input', {bubbles: true}));
		return true;
	})(document.querySelector('#u-at'))`)
	w.seeIn("main", "in at 20:10")
	w.tap("confirm")
}

// The browser clears what is kept while the app is open, entries wait and the
// server cannot be reached: nothing is lost, neither what waited nor what is
// written after, and all of it is sent by a device that counts from 1.
func TestStorageClearedUnderAnOpenPage(t *testing.T) {
	inEngines(t, []feature{clearing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.seeIn(css("logged"), "Evening sight")
		before, old := read[int](w, countJS), read[string](w, meJS)
		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		w.inLongAgo()
		w.see("unsent", "1 only on this phone")
		w.clear(a.URL())
		// Not before the app has: whoever opens first makes the database.
		// Chromium never answers who asks while it still clears: each question ends.
		w.until(`Promise.race([new Promise((done) => setTimeout(done, 500)),
			indexedDB.databases().then((all) => all.some((d) => d.name === 'nightkeep'))])`)
		w.until(countJS + `.then((n) => n === ` + strconv.Itoa(before+1) + `)`)
		w.tap("wear-out", "confirm")
		w.see("unsent", "2 only on this phone")
		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		w.do(`dispatchEvent(new Event('online'))`)
		w.sent()
		w.again()
		w.visible(css("home"))
		w.gone(css("cleared")) // nothing was lost
		if now := read[string](w, meJS); now == old || now == "" {
			t.Errorf("the phone is device %q, was %q; want a new one", now, old)
		}
		sentBy(t, a, care.DeviceID(read[string](w, meJS)), "insertion 1", "removal 2")
		sentBy(t, a, care.DeviceID(old))
		w.sound()
	})
}

// The browser clears what is kept while the app is closed and an entry waits:
// the app comes back by itself, as a new device and with all that the server
// had; it says what is lost, and asks for a check of the eyes until there is one.
func TestStorageClearedWhileClosed(t *testing.T) {
	inEngines(t, []feature{clearing}, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.seeIn(css("logged"), "Evening sight")
		before, old := read[int](w, countJS), read[string](w, meJS)
		w.inLongAgo()
		w.savedAndSent()
		w.do(`(globalThis.fetch = () => new Promise(() => {}), true)`) // nothing more gets through
		w.tap("wear-out", "confirm")
		w.see("unsent", "1 only on this phone")
		w.goTo(a.URL() + "/status")
		w.clear(a.URL())

		w.goTo(a.URL() + "/")
		w.see("cleared", "What was written here and not yet sent is lost.")
		w.shot("cleared")
		w.goTo(a.URL() + "/#/child")
		w.seeIn(css("logged"), "Evening sight")
		now := read[string](w, meJS)
		if now == old || now == "" {
			t.Errorf("the phone is device %q, was %q; want a new one", now, old)
		}
		if n := read[int](w, countJS); n != before+1 {
			t.Errorf("%d entries after it came back, want the %d that the server had", n, before+1)
		}
		w.tap("wear-out", "confirm")
		w.savedAndSent()
		sentBy(t, a, care.DeviceID(now), "removal 1")
		sentBy(t, a, care.DeviceID(old), "insertion 1")

		for range 2 { // of two children
			w.tap("home", "cleared-check", "now-chemical")
			w.visible(css("advice"))
		}
		w.tap("home")
		w.visible(css("board"))
		w.gone(css("cleared"))
		w.sound()
	})
}

// sentBy wants the server to hold just these entries of a device, by kind and
// number.
func sentBy(t *testing.T, a program, d care.DeviceID, want ...string) {
	t.Helper()
	var got []string
	err := a.DB.View(func(tx *store.Tx) error {
		dev, err := tx.Register().Device(d)
		if err != nil {
			return err
		}
		wearers, err := tx.Register().Wearers(dev.Family)
		for _, w := range wearers {
			err = errors.Join(err, tx.Log().WearerEntries(w.ID, civil.MustDate("2026-03-23"), civil.MustDate("2026-03-25"), func(e care.Entry) bool {
				if e.Device == d {
					got = append(got, fmt.Sprintf("%s %d", e.Kind, e.DSeq))
				}
				return true
			}))
		}
		return err
	})
	slices.Sort(got)
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("the server has %q of device %s, %v; want %q", got, d, err, want)
	}
}
