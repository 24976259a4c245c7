package e2e_test

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A phone that has been without a network for more than twelve hours says so
// itself, in the list of what is due: since when, why, and what to do. No server
// can remind of that. Before, there is only the count at the top.
func TestPhoneSaysThatEntriesWait(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab, _ := settled(t, a)
	if err := a.StopListening(); err != nil {
		t.Fatal(err)
	}
	run(t, tab, tap("wear-in"), tap("confirm"), see("unsent", "1 only on this phone"))

	at(t, tab, bedtime.Add(11*time.Hour+30*time.Minute)) // 08:50
	run(t, tab, chromedp.Reload(), ready(), chromedp.WaitVisible(sel("wear-out")), chromedp.WaitNotPresent(sel("sync-due")))
	at(t, tab, bedtime.Add(14*time.Hour)) // 11:20, and the entry is from 21:20 or a little later
	run(t, tab, chromedp.Reload(), see("sync-due", "Entries have waited here since Tue 24 Mar"), see("sync-due", "they are lost if this phone is"), see("sync-due", "Switch flight mode off"))
	shot(t, tab, "entries-wait")
	run(t, tab, tap("sync-try"), see("unsent", "1 only on this phone"), chromedp.WaitVisible(sel("sync-due")))

	a.clock.Set(bedtime.Add(14 * time.Hour))
	if err := a.Listen(); err != nil {
		t.Fatal(err)
	}
	run(t, tab, chromedp.Reload(), ready(), chromedp.WaitNotPresent(sel("sync-due")), sent())
	sound(t, tab)
}

// A phone that the server does not know any more says so on every screen, with the
// practice's number beside it; nor does it promise that nothing is lost, for the record
// may be about to be erased.
func TestAPhoneThatIsShutOutShowsTheNumber(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	tab := phoneAt(t, bedtime)
	run(t, tab, chromedp.Navigate(a.URL()+"/demo/parent"), ready())
	number := shutOut(t, a)
	run(t, tab, chromedp.Reload(), see("signed-out", "does not know this phone any more. It was signed out, or your record taken out. Phone the clinic."))
	if href, err := ask[string](tab, `document.querySelector('[data-test=signed-out] a').href`); err != nil || href != "tel:"+strings.ReplaceAll(number, " ", "") {
		t.Errorf("the number leads to %q, %v; want %q", href, err, number)
	}
}
