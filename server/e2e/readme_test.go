package e2e_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// readmeDir holds the pictures of the README, which
//
//	NIGHTKEEP_README=1 go test ./server/e2e -run TestReadmePictures
//
// makes anew from the demo.
const readmeDir = "../../.pictures"

// The three pictures of the README show what the demo shows: each can be taken,
// is named in the README with words for who cannot see it, and is small.
func TestReadmePictures(t *testing.T) {
	t.Parallel()
	a := demoAt(t, bedtime)
	home := phone(t, newBrowser(t))
	at(t, home, bedtime)
	run(t, home, chromedp.Navigate(a.URL()+"/demo/parent"), ready(), chromedp.WaitVisible(sel("wrong")))
	keep(t, home, "evening")

	teen := phone(t, newBrowser(t))
	at(t, teen, bedtime)
	run(t, teen, chromedp.Navigate(a.URL()+"/demo/teen"), ready(), tap("wrong"), tap("eye-left"), tap("answer-injury-no"), tap("answer-lens-out"),
		tap("answer-pain-persists"), tap("check-stop"), chromedp.WaitVisible(sel("advice")))
	desk := desktop(t, newBrowser(t))
	at(t, desk, bedtime)
	run(t, desk, chromedp.Navigate(a.URL()+"/demo/clinician"), chromedp.WaitVisible(sel("alert-row")))
	keep(t, desk, "alert")
	run(t, desk, chromedp.Click(chromedp.CSS(`[data-test=alert-row] a[href^="#wearer/"]`)), chromedp.WaitVisible(sel("glance")))
	keep(t, desk, "review")

	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"evening", "alert", "review"} {
		info, err := os.Stat(filepath.Join(readmeDir, name+".webp"))
		if err != nil || info.Size() > 80_000 {
			t.Errorf("the picture %s: %v; want one of at most 80,000 bytes, see above for how it is made", name, err)
		}
		if _, rest, ok := strings.Cut(string(readme), ".pictures/"+name+".webp"); !ok || !strings.Contains(rest, "alt=") {
			t.Errorf("the README does not show %s with words for who cannot see it", name)
		}
	}
}

// keep writes a picture of the page into the README's folder when it is asked
// for; it takes it in any case.
func keep(t *testing.T, tab context.Context, name string) {
	t.Helper()
	var picture []byte
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		res, err := cdp.Call(ctx, tab, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: page.CaptureScreenshotFormatWebp, Quality: new(int64(60))})
		picture = res.Data
		return chromedp.Void{}, err
	})
	if len(picture) == 0 {
		t.Errorf("no picture of %s", name)
	}
	if os.Getenv("NIGHTKEEP_README") == "" {
		return
	}
	if err := os.MkdirAll(readmeDir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(readmeDir, name+".webp"), picture, 0o644); err != nil {
		t.Fatal(err)
	}
}
