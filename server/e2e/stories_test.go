package e2e_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/chromedp/chromedp"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/demo"
	"nightkeep/server/internal/push/pushtest"
)

// bedtime is a Tuesday evening in London, in the invented scenario's time.
var bedtime = time.Date(2026, 3, 24, 21, 20, 0, 0, time.UTC)

// program is the whole program with the clock that the test holds.
type program struct {
	*app.App
	clock *demo.Clock
}

// demoAt starts the program on the invented scenario as it stands at an instant.
func demoAt(t *testing.T, now time.Time) program {
	t.Helper()
	dir := t.TempDir()
	files, err := scenario(now)
	if err == nil {
		err = os.CopyFS(dir, files)
	}
	if err != nil {
		t.Fatal(err)
	}
	var log io.Writer = io.Discard
	if os.Getenv("NIGHTKEEP_LOG") != "" {
		log = os.Stderr
	}
	a, clock, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Log: slog.New(slog.NewTextHandler(log, nil))}, now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := a.Stop(); err != nil {
			t.Error(err)
		}
	})
	return program{a, clock}
}

// played are the scenarios of this process by their instant. Each is played once,
// and every test goes on from a copy: playing takes longer than many a story.
var played sync.Map

// scenario returns the folder of a demo that was started at an instant.
func scenario(now time.Time) (fs.FS, error) {
	play, _ := played.LoadOrStore(now.UTC(), sync.OnceValues(func() (fs.FS, error) {
		dir, err := os.MkdirTemp("", "nightkeep-scenario-")
		if err != nil {
			return nil, err
		}
		defer os.RemoveAll(dir)
		a, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Log: slog.New(slog.DiscardHandler)}, now)
		if err != nil {
			return nil, err
		}
		if err := a.Stop(); err != nil {
			return nil, err
		}
		files := fstest.MapFS{}
		list, err := os.ReadDir(dir)
		for _, f := range list {
			var raw []byte
			if err == nil {
				raw, err = os.ReadFile(filepath.Join(dir, f.Name()))
			}
			files[f.Name()] = &fstest.MapFile{Data: raw, Mode: 0o600}
		}
		return files, err
	}))
	return play.(func() (fs.FS, error))()
}

// ready waits until the app works without a network: its worker controls the
// page.
func ready() step {
	return chromedp.Steps(
		chromedp.WaitVisible(sel("home")),
		awaited(`navigator.serviceWorker.ready.then(r => !!r.active)`),
	)
}

// sent waits until the server has everything that was written on the phone: first
// by the phone's own database, where an entry stands before the screen says
// "saved", then by the screen, which names what is unsent only after that.
func sent() step {
	return chromedp.Steps(
		awaited(`new Promise((done, reject) => {
			const open = indexedDB.open('nightkeep');
			open.onerror = () => reject(open.error);
			open.onsuccess = () => {
				const look = () => {
					const n = open.result.transaction('entries').objectStore('entries').index('state').count('unsent');
					n.onsuccess = () => {
						if (n.result) return setTimeout(look, 20);
						open.result.close();
						done(true);
					};
				};
				look();
			};
		})`),
		chromedp.WaitNotPresent(sel("unsent")),
	)
}

// awaited evaluates a promise and waits for it.
func awaited(expression string) step {
	promise := chromedp.Evaluate[bool](expression, chromedp.EvalAwaitPromise)
	return func(ctx context.Context, tab *chromedp.Target) (chromedp.Void, error) {
		_, err := promise(ctx, tab)
		return chromedp.Void{}, err
	}
}

// clinician is the clinician as a program: what the console does, for the parts
// of a story that are not about the console.
func clinician(t *testing.T, a program) *http.Client {
	t.Helper()
	return signedIn(t, a, "clinician")
}

// signedIn is somebody of the demo as a program.
func signedIn(t *testing.T, a program, who string) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar}
	res, err := c.Get(a.URL() + "/demo/" + who)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	return c
}

func post(t *testing.T, c *http.Client, url string, body any) string {
	t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	res, err := c.Post(url, "application/json", bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	got, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("POST %s: %s %s %v", url, res.Status, got, err)
	}
	return string(got)
}

func getJSON[T any](t *testing.T, c *http.Client, url string) (v T) {
	t.Helper()
	res, err := c.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: %s %s %v", url, res.Status, raw, err)
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatalf("GET %s: %v in %s", url, err, raw)
	}
	return v
}

// Story 1: a parent ticks off the night in two taps each; with the server gone
// it still works, says what is only on this phone, and is sent when the server
// is back.
func TestParentTicksOffTheNight(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent#/child")
		w.ready()
		w.visible(css("wear-in"))
		w.shot("parent-1-evening")
		w.tap("wear-in", "confirm")
		w.savedAndSent()
		w.shot("parent-2-in")

		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		morning := bedtime.Add(9*time.Hour + 40*time.Minute) // 07:00
		w.at(morning)
		w.again()
		w.visible(css("wear-out"))
		w.shot("parent-3-morning-offline")
		w.tap("wear-out")                       // on the board of both brothers, one tap
		w.see("unsent", "1 only on this phone") // how the eyes are, nobody has said
		w.shot("parent-3-look")
		w.tap("look-fine")
		w.see("unsent", "2 only on this phone")
		w.tap("care-usual", "care-all", "trouble-no", "confirm")
		w.see("unsent", "3 only on this phone")
		w.shot("parent-4-unsent")
		a.clock.Set(morning)
		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		w.again()
		w.visible(css("home"))
		w.sent()
		w.sound()

		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0012")
		review := getJSON[struct {
			Nights []struct {
				Night, Status string
				Hours         float64
			}
			Care []struct {
				Item  string
				Share struct{ Done int }
			}
		}](t, c, a.URL()+"/api/clinic/wearers/"+id+"/review?from=2026-03-24&to=2026-03-24")
		// 21:20 to 07:00 is 9 h 40 min, but "as usual" writes the moment of the tap.
		if len(review.Nights) != 1 || review.Nights[0].Status != "worn" || review.Nights[0].Hours < 9 || review.Nights[0].Hours > 10 {
			t.Errorf("the clinic sees %+v, want one night worn for about 9 h 40 min", review.Nights)
		}
	})
}

func wearerID(t *testing.T, c *http.Client, a program, code string) string {
	t.Helper()
	page := getJSON[struct{ Wearers []struct{ ID, Code string } }](t, c, a.URL()+"/api/clinic/wearers?q="+code)
	if len(page.Wearers) != 1 {
		t.Fatalf("%d wearers with code %s", len(page.Wearers), code)
	}
	return page.Wearers[0].ID
}

// Story 2: a teen reports evening sight: rating, hours since removal, needed
// spectacles or not.
func TestTeenReportsEveningSight(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		evening := time.Date(2026, 3, 24, 19, 5, 0, 0, time.UTC)
		a := demoAt(t, evening)
		w := phoneIn(t, e, evening)
		w.goTo(a.URL() + "/demo/teen")
		w.ready()
		w.tap("evening", "rating-2")
		w.shot("teen-1-evening")
		w.tap("evening-more", "spectacles-yes", "halos-some", "confirm")
		w.savedAndSent()
		w.shot("teen-2-saved")
		w.sound()

		c := clinician(t, a)
		type row struct {
			Night      string
			Rating     int
			Hours      *float64 `json:"hours_since_removal"`
			Spectacles *bool
			Halos      string
		}
		at := a.URL() + "/api/clinic/wearers/" + wearerID(t, c, a, "W-0002") + "/review"
		list := getJSON[struct{ Sight []row }](t, c, at).Sight
		r := list[len(list)-1]
		if r.Night != "2026-03-24" || r.Rating != 2 || r.Halos != "some" || r.Spectacles == nil || !*r.Spectacles {
			t.Errorf("the clinic sees %+v, want rating 2 with halos and spectacles", r)
		}
	})
}

// Story 3: a teen reports pain and redness without a network. Advice is there
// at once, honest that the clinic does not have it; on reconnect an alert
// opens, a really encrypted push message reaches the clinician, who
// acknowledges, and the teen sees who saw it and when.
func TestTeenReportsPainOffline(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		service := pushtest.Start(a.Now)
		t.Cleanup(service.Close)
		endpoint, receiver := service.Register("desk")
		post(t, c, a.URL()+"/api/clinic/push/subscription", map[string]string{"endpoint": endpoint, "p256dh": receiver.P256dh(), "auth": receiver.AuthSecret()})
		t.Cleanup(func() {
			for _, f := range service.Faults() {
				t.Error("push service:", f)
			}
		})
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/teen")
		w.ready()
		if err := a.StopListening(); err != nil {
			t.Fatal(err)
		}
		w.tap("wrong", "eye-right")
		w.shot("pain-1-question")
		w.tap("answer-injury-no", "answer-lens-in", "answer-pain-persists", "answer-gritty-no", "answer-redness-marked", "answer-spot-no",
			"answer-pupil-no", "answer-lid-no", "answer-discharge-none", "answer-sight-same", "answer-light-unknown",
			"began-hours", "answer-water-no", "answer-ill-no", "answer-other-usual", "check-stop")
		w.visible(css("advice"))
		w.shot("pain-2-advice-offline")
		for mark, text := range map[string]string{
			"advice":     "Take the lenses out of both eyes now",
			"do-bring":   "the lenses, the case, each bottle and the spectacles",
			"do-no-lens": "no lens in either eye, tonight",
			"delivery":   "clinic does not have this yet",
			"since":      "A few hours ago",
		} {
			w.see(mark, text)
		}
		w.see("advice", "This app cannot see your eye")
		w.visible(css("call-clinic"))

		if err := a.Listen(); err != nil {
			t.Fatal(err)
		}
		w.see("delivery", "At the clinic")
		w.shot("pain-3-at-the-clinic")
		message := received(t, service)
		for strings.Contains(string(message.Payload), `"kind":"canary"`) { // the test message of the day, which may come first
			message = received(t, service)
		}
		if message.Urgency != "high" || message.TTL <= 0 || !strings.Contains(string(message.Payload), `"kind":"alert"`) {
			t.Errorf("push message %+v with payload %s", message, message.Payload)
		}
		for _, private := range []string{"Mira", "Castellan", "pain", "red", "eye"} {
			if strings.Contains(string(message.Payload), private) {
				t.Errorf("payload %s holds %q", message.Payload, private)
			}
		}
		desk := deskIn(t, e, bedtime)
		desk.goTo(a.URL() + "/demo/clinician")
		desk.see("alert-row", "Mira Castellan")
		desk.shot("pain-4-console")
		desk.tap("acknowledge")
		w.see("delivery", "Dr Imani Okafor")
		w.shot("pain-5-seen")
		w.sound()
		desk.sound()
	})
}

// received waits for the first message at the push service.
func received(t *testing.T, s *pushtest.Service) pushtest.Received {
	t.Helper()
	deadline := time.After(patience)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		if got := s.Received(); len(got) > 0 {
			return got[0]
		}
		select {
		case <-deadline:
			t.Fatal("no push message arrived")
		case <-tick.C:
		}
	}
}

// Story 4: the practitioner opens a wearer before the recall and sees the
// whole of it on one page with charts.
func TestPractitionerReviewsBeforeRecall(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		c := clinician(t, a)
		id := wearerID(t, c, a, "W-0010")
		w := deskIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/clinician")
		w.seeIn("main", "Who needs a call")
		w.shot("review-1-today")
		w.do(`location.hash = "#wearer/` + id + `"`)
		w.visible(css("review"), css("score"), css("points"))
		w.shot("review-2-page")
		for _, text := range []string{"Jonas Feldmann", "not logged", "missed", "since the last visit", "How far to trust the log"} {
			w.see("review", text)
		}
		// The first night that was worn: what its bar says is what the table has.
		const byBar = `(() => {
			document.querySelector('[data-test=rest] > summary').click();
			return new Promise((done) => requestAnimationFrame(() => setTimeout(() => {
				const row = [...document.querySelectorAll('.nights .figures tbody tr')].find((r) => /\d/.test(r.children[3].textContent));
				const hours = row.children[3].textContent;
				const said = [...document.querySelectorAll('.score title')].map((t) => t.textContent).find((t) => t.includes(' h in lenses')) ?? '';
				done(said.includes(' ' + hours + ' h') ? '' : said + ' | ' + row.textContent);
			})));
		})()`
		if diff := read[string](w, byBar); diff != "" {
			t.Errorf("the bar says | the table has: %s", diff)
		}
		w.sound()
	})
}

// decoded reads what post returned.
func decoded[T any](t *testing.T, raw string) (v T) {
	t.Helper()
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		t.Fatalf("%v in %s", err, raw)
	}
	return v
}
