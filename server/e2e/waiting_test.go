package e2e_test

import (
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
