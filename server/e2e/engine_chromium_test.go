package e2e_test

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
)

// chromium is driven over the DevTools protocol.
var chromium = engine{name: "chromium", start: startChromium, lacks: map[feature]string{
	serviceSide: "only pages can be given another clock",
}}

type chromiumDriver struct {
	tab        context.Context
	wide, high int
}

func startChromium(t *testing.T, wide, high int, zone string) driver {
	t.Helper()
	d := &chromiumDriver{tab: newBrowser(t), wide: wide, high: high}
	run(t, d.tab, d.sized(1), func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: zone})
		return chromedp.Void{}, err
	})
	return d
}

// sized gives the tab its window. A page zoom leaves the window as wide as it
// was, with fewer and larger CSS px.
func (d *chromiumDriver) sized(zoom float64) step {
	scale := 1.0
	var mobile []chromedp.EmulateViewportOption
	if d.wide < 600 {
		scale, mobile = 2, append(mobile, chromedp.EmulateMobile)
	}
	return chromedp.EmulateViewport(int64(float64(d.wide)/zoom), int64(float64(d.high)/zoom), append(mobile, chromedp.EmulateScale(scale*zoom))...)
}

func (d *chromiumDriver) open(address string) error { return try(d.tab, chromedp.Navigate(address)) }

func (d *chromiumDriver) eval(expression string) (string, error) {
	return ask[string](d.tab, expression)
}

func (d *chromiumDriver) click(x, y float64) error { return try(d.tab, chromedp.MouseClickXY(x, y)) }

func (d *chromiumDriver) keys(text string) error {
	named := map[rune]string{'\ue004': "\t", '\ue007': "\r"}
	for _, r := range text {
		key, ok := named[r]
		if !ok {
			key = string(r)
		}
		if err := try(d.tab, chromedp.KeyEvent(key)); err != nil {
			return err
		}
	}
	return nil
}

func (d *chromiumDriver) clock(now time.Time) error {
	return try(d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: clockJS(time.Until(now))})
		return chromedp.Void{}, err
	})
}

func (d *chromiumDriver) zoom(factor float64) error { return try(d.tab, d.sized(factor)) }

func (d *chromiumDriver) picture() ([]byte, error) {
	return chromedp.Run(d.tab, chromedp.CaptureScreenshot())
}

func (d *chromiumDriver) paper(width, height float64) (pdf []byte, err error) {
	err = try(d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		out, err := cdp.Call(ctx, tab, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: width, PaperHeight: height, PrintBackground: new(true)})
		if err != nil {
			return chromedp.Void{}, err
		}
		if pdf, err = base64.StdEncoding.DecodeString(string(out.Data)); err != nil {
			pdf = []byte(out.Data)
		}
		return chromedp.Void{}, nil
	})
	return pdf, err
}

func (d *chromiumDriver) allow(origin, what, answer string) error {
	_, err := chromedp.CallBrowser(d.tab, browser.SetPermission, browser.SetPermissionParams{
		Permission: &browser.PermissionDescriptor{Name: what}, Setting: browser.PermissionSetting(answer), Origin: origin,
	})
	return err
}

// chromiumRoles are Chromium's words for what WAI-ARIA calls otherwise.
var chromiumRoles = map[string]string{"StaticText": "text", "image": "img", "LabelText": "text", "RootWebArea": "document"}

func (d *chromiumDriver) tree() (all []spoken, err error) {
	err = try(d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		got, err := cdp.Call(ctx, tab, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
		if err != nil || len(got.Nodes) == 0 {
			return chromedp.Void{}, err
		}
		byID := map[accessibility.NodeID]*accessibility.Node{}
		for _, n := range got.Nodes {
			byID[n.NodeID] = n
		}
		all = chromiumWalk(byID, got.Nodes[0], nil)
		return chromedp.Void{}, nil
	})
	return all, err
}

// chromiumWalk lists a node and all below it in reading order.
func chromiumWalk(byID map[accessibility.NodeID]*accessibility.Node, n *accessibility.Node, all []spoken) []spoken {
	if n == nil {
		return all
	}
	text := func(v *accessibility.Value) (s string) {
		if v != nil {
			_ = json.Unmarshal(v.Value, &s) // what is no string is none of those asked for
		}
		return s
	}
	at := -1
	if !n.Ignored {
		one := spoken{Role: text(n.Role), Name: text(n.Name)}
		if role := chromiumRoles[one.Role]; role != "" {
			one.Role = role
		}
		for _, p := range n.Properties {
			switch p.Name {
			case accessibility.PropertyNameLive:
				one.Live = text(p.Value)
			case accessibility.PropertyNameFocused:
				one.Focused = p.Value != nil && string(p.Value.Value) == "true"
			}
		}
		at = len(all)
		all = append(all, one)
	}
	for _, id := range n.ChildIDs {
		all = chromiumWalk(byID, byID[id], all)
	}
	if at >= 0 && all[at].Live != "" {
		for _, below := range all[at+1:] {
			if below.Role == "text" {
				all[at].Text += below.Name
			}
		}
	}
	return all
}

// plain asks for no movement and for the colours of the system.
func (d *chromiumDriver) plain() error {
	return try(d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-reduced-motion", Value: "reduce"}, {Name: "forced-colors", Value: "active"},
		}})
		return chromedp.Void{}, err
	})
}

// clear is the browser's own "clear site data", without the cookies.
func (d *chromiumDriver) clear(site string) error {
	return try(d.tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{
			Origin: site, StorageTypes: "indexeddb,local_storage,service_workers,cache_storage",
		})
		return chromedp.Void{}, err
	})
}

func (d *chromiumDriver) close() {} // newBrowser ends it
