package e2e_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/care"
)

// A teen writes to the clinicians alone, without a network: it waits on that phone,
// is sent with the next connection and is then gone from it. A parent's phone never
// has it; a clinician finds it on Today, reads it and marks it as read.
func TestPrivateWordsOfATeen(t *testing.T) {
	t.Parallel()
	const words = "I sleep in them at my father's"
	a := demoAt(t, bedtime)
	teen := phoneAt(t, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), sent())
	offline(t, teen, true)
	run(t, teen, toHash("/write"), seeIn("[data-test=private]", "not your family"), chromedp.SendKeys(sel("private-text"), words), tap("private-send"), see("private-waits", words))
	shot(t, teen, "private-1-waits")
	run(t, teen, see("unsent", "1 only on this phone"), toHash("/unsent"), see("unsent-state", "have not reached the clinic"), tap("unsent-private"), see("private-waits", words))
	offline(t, teen, false)
	run(t, teen, chromedp.Reload(), chromedp.WaitVisible(sel("private")), chromedp.WaitNotPresent(sel("private-waits")), chromedp.WaitNotPresent(sel("unsent")))
	kept, err := ask[bool](teen, `new Promise((done, fail) => {
		indexedDB.databases().then((all) => Promise.all(all.map((d) => new Promise((ok) => {
			const open = indexedDB.open(d.name);
			open.onsuccess = () => {
				const db = open.result, stores = [...db.objectStoreNames];
				if (!stores.length) return ok('');
				const tx = db.transaction(stores), got = [];
				stores.forEach((s) => { tx.objectStore(s).getAll().onsuccess = (e) => got.push(JSON.stringify(e.target.result)); });
				tx.oncomplete = () => { db.close(); ok(got.join()); };
			};
		})))).then((texts) => done(texts.join().includes('father')), fail);
	})`)
	if err != nil || kept {
		t.Errorf("the phone that sent them still has the words: %v, %v", kept, err)
	}
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "Private words"), tap("show-private"), seeIn("main", words))
	shot(t, desk, "private-2-today")
	run(t, desk, tap("mark-read"), chromedp.WaitNotPresent(sel("unread")))
	sound(t, teen)
}

// From where the clinic's words stand, a family begins a message of its own; it is
// marked on Today until somebody has read it.
func TestAFamilyBeginsAMessage(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), tap("anytime"), tap("write"), seeIn("main", "Nobody reads this now"),
		chromedp.SendKeys(chromedp.CSS("#note-text"), "May she swim on Friday?"), tap("confirm"), chromedp.WaitNotPresent(sel("confirm")), sent())
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), seeIn("main", "May she swim on Friday?"), chromedp.WaitVisible(sel("unread")))
	shot(t, desk, "write-2-today")
	sound(t, tab)
}

// What may be about a sore eye is asked before it is kept as a note that rings nobody:
// the answer that it is keeps the note and begins the check, whose eyes rest meanwhile.
func TestAWordAboutASoreEyeAsksFirst(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent#/child"), ready(), toHash("/write"), see("write-whose", "Daniel Achterberg"), chromedp.SendKeys(chromedp.CSS("#note-text"), "His eye hurts and is red"), tap("confirm"),
		see("sore", "Is it about an eye now?"), becomes(`document.activeElement.dataset.test === 'sore-check'`))
	shot(t, tab, "sore-asked")
	run(t, tab, tap("sore-check"), see("step-now", "His eye hurts and is red"), sent())
	if n, c := lastBy(t, a, "W-0012", care.Note), lastBy(t, a, "W-0012", care.CheckOpen); !strings.Contains(string(n.Body), "hurts and is red") || c.ID == "" {
		t.Errorf("the note is %s and the check that was begun %q", n.Body, c.ID)
	}
	sound(t, tab)
}
