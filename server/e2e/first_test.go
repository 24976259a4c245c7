package e2e_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// On an iPhone a page gets no notifications before it stands on the home screen:
// there the steps come first, and nothing asks for a permission in vain.
func TestIPhoneIsToldToInstallFirst(t *testing.T) {
	t.Parallel()
	tr := startTour(t, "en")
	run(t, tr.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetUserAgentOverride, emulation.SetUserAgentOverrideParams{
			UserAgent: "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.5 Mobile/15E148 Safari/604.1",
		})
		return chromedp.Void{}, err
	})
	run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/demo/parent"), ready())
	tr.eval(`location.hash = '#/more'`)
	run(t, tr.tab, seeIn("main", "Add to Home Screen"), seeIn("main", "remind you of lenses"), seeIn("main", "Time zone: Europe/London"))
	if there, err := ask[bool](tr.tab, `!!document.querySelector('`+css("push-on")+`')`); err != nil || there {
		t.Errorf("the permission is offered before the app is installed: %v, %v", there, err)
	}
	sound(t, tr.tab)
}

func TestARefusedCodeIsExplainedInTheFamilysLanguage(t *testing.T) {
	t.Parallel()
	tr := startTour(t, "es")
	run(t, tr.tab, chromedp.Navigate(tr.a.URL()+"/join#ABCDEFGHJKLM"), tap("join-agree"), tap("join"), seeIn("main", "Este código no sirve"))
	sound(t, tr.tab)
}
