package e2e_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"regexp"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/serviceworker"
	"github.com/chromedp/chromedp"
)

// release stands between browser and server and turns what the server gives
// out into the next version of the app, once told to: another service worker,
// and a start page that says which version it is.
type release struct {
	*httptest.Server
	next atomic.Bool
}

func releases(t *testing.T, a program) *release {
	t.Helper()
	to, err := url.Parse(a.URL())
	if err != nil {
		t.Fatal(err)
	}
	r := &release{}
	version := regexp.MustCompile(`NIGHTKEEP_VERSION="`)
	proxy := &httputil.ReverseProxy{
		Rewrite: func(p *httputil.ProxyRequest) {
			p.SetURL(to)
			p.Out.Host = p.In.Host
			p.Out.Header.Del("Accept-Encoding")
			if p.In.URL.Path == "/sw.js" || p.In.URL.Path == "/" {
				p.Out.Header.Del("If-None-Match")
			}
		},
		ModifyResponse: func(res *http.Response) error {
			path := res.Request.URL.Path
			if path != "/sw.js" && path != "/" || res.StatusCode != http.StatusOK {
				return nil
			}
			body, err := io.ReadAll(res.Body)
			if err != nil {
				return err
			}
			which := "first"
			if r.next.Load() {
				which = "next"
				body = version.ReplaceAll(body, []byte(`NIGHTKEEP_VERSION="next-`))
			}
			if path == "/" {
				body = bytes.Replace(body, []byte("</head>"), fmt.Appendf(nil, `<meta name="release" content=%q></head>`, which), 1)
			}
			res.Header.Del("ETag")
			res.Header.Set("Content-Length", strconv.Itoa(len(body)))
			res.Body, res.ContentLength = io.NopCloser(bytes.NewReader(body)), int64(len(body))
			return nil
		},
	}
	r.Server = httptest.NewServer(proxy)
	t.Cleanup(r.Close)
	a.Server.BaseURL = r.URL
	return r
}

// A new version of the app arrives while somebody is in the middle of the eye
// check: it is fetched and waits. What was answered and typed stays on the
// screen and is saved and sent by the version that was there. The new one takes
// over when the person says so, or by itself at the first start after the last
// page of the old one was closed; what is on the phone stays on it.
func TestNewVersionInTheMiddleOfAForm(t *testing.T) {
	t.Parallel()
	for _, way := range []string{"by a tap", "at the next start"} {
		t.Run(way, func(t *testing.T) {
			t.Parallel()
			a := demoAt(t, bedtime)
			site := releases(t, a)
			tab := phoneAt(t, bedtime)
			run(t, tab, chromedp.Navigate(site.URL+"/demo/teen"), ready())
			before, err := ask[int](tab, countJS)
			if err != nil {
				t.Fatal(err)
			}
			run(t, tab, tap("wrong"), tap("eye-right"), tap("answer-injury-no"), tap("answer-lens-out"), tap("answer-pain-persists"))
			for _, screen := range []string{"feel", "look", "lid", "see"} {
				run(t, tab, chromedp.WaitVisible(sel("step-"+screen)), tap("check-next"))
			}
			run(t, tab, chromedp.WaitVisible(chromedp.CSS("#note")), chromedp.SendKeys(chromedp.CSS("#note"), "since the pool"))

			site.next.Store(true)
			run(t, tab, awaited(waitingJS))
			if got, err := ask[[]string](tab, standJS); err != nil || len(got) != 4 || got[0] != "first" || got[1] != "activated" || got[2] != "installed" || got[3] != "since the pool" {
				t.Fatalf("page, worker in charge, worker that waits, and what was typed are %q, %v", got, err)
			}
			run(t, tab, tap("began-now"), tap("check-stop"), chromedp.WaitVisible(sel("advice")), see("delivery", "At the clinic"))
			if got, err := ask[string](tab, lastReportJS+`.then((body) => body.note)`); err != nil || got != "since the pool" {
				t.Errorf("what was typed is kept as %q, %v", got, err)
			}

			if way == "by a tap" {
				run(t, tab, chromedp.Navigate(site.URL+"/#more"), tap("update"))
			} else {
				inCharge := workers(t, tab)
				run(t, tab, chromedp.Navigate("about:blank"))
				until(t, "with the last page gone the version that waited is in charge", func() bool { return inCharge() == 1 })
				run(t, tab, chromedp.Navigate(site.URL+"/"))
			}
			run(t, tab, chromedp.WaitReady(chromedp.CSS(`meta[name="release"][content="next"]`)), chromedp.WaitVisible(sel("wrong")))
			if got, err := ask[[]string](tab, `caches.keys()`); err != nil || len(got) != 1 || !regexp.MustCompile(`^nightkeep-next-`).MatchString(got[0]) {
				t.Errorf("caches %q, %v; want that of the new version alone", got, err)
			}
			if got, err := ask[int](tab, countJS); err != nil || got != before+1 {
				t.Errorf("%d entries, %v; want one more than %d", got, err, before)
			}
			sound(t, tab)
		})
	}
}

// workers returns what tells how many of the workers that are alive waited when
// it was called and are in charge now.
func workers(t *testing.T, tab context.Context) func() int {
	t.Helper()
	var mu sync.Mutex
	status, waited := map[string]serviceworker.VersionStatus{}, map[string]bool{}
	err := chromedp.Listen(tab, func(ev any) {
		if e, ok := ev.(*serviceworker.EventWorkerVersionUpdated); ok {
			mu.Lock()
			defer mu.Unlock()
			for _, v := range e.Versions {
				status[v.VersionID] = v.Status
				waited[v.VersionID] = waited[v.VersionID] || v.Status == serviceworker.VersionStatusInstalled
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	run(t, tab, func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, tab, serviceworker.Enable, cdp.Empty{})
		return chromedp.Void{}, err
	})
	return func() (n int) {
		mu.Lock()
		defer mu.Unlock()
		for id, s := range status {
			if waited[id] && s == serviceworker.VersionStatusActivated {
				n++
			}
		}
		return n
	}
}

const (
	// waitingJS asks for a new version and waits until it stands ready.
	waitingJS = `navigator.serviceWorker.getRegistration().then((r) => r.update()).then((r) => new Promise((done) => {
		const look = () => {
			if (r.waiting) return done(true);
			r.installing?.addEventListener('statechange', look);
		};
		r.addEventListener('updatefound', look);
		look();
	}))`
	standJS = `navigator.serviceWorker.getRegistration().then((r) => [
		document.querySelector('meta[name="release"]').content, navigator.serviceWorker.controller.state, r.waiting.state, document.querySelector('#note').value])`
	// lastReportJS is what the newest report in the phone's database says.
	lastReportJS = `new Promise((resolve, reject) => {
		const open = indexedDB.open('nightkeep');
		open.onerror = () => reject(open.error);
		open.onsuccess = () => {
			const all = open.result.transaction('entries').objectStore('entries').getAll();
			all.onsuccess = () => {
				open.result.close();
				resolve(all.result.map((r) => r.entry).filter((e) => e.kind === 'symptoms').sort((x, y) => (x.hlc < y.hlc ? 1 : -1))[0].body);
			};
		};
	})`
)
