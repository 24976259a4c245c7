package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/demo"
	"nightkeep/server/internal/push/pushtest"
)

func postJSON(t *testing.T, c *http.Client, url string, body any) string {
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

// running is the demo at a moment, with a push service beside it.
type running struct{ *app.App }

// reminders starts the demo and lets what was due before go out.
func reminders(t *testing.T, at time.Time) (running, *demo.Clock, *pushtest.Service) {
	t.Helper()
	a, clock, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Log: slog.New(slog.DiscardHandler), Dev: true}, at)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = a.Stop() })
	service := pushtest.Start(a.Now)
	t.Cleanup(service.Close)
	r := running{a}
	r.tick(t)
	return r, clock, service
}

func (r running) tick(t *testing.T) {
	t.Helper()
	if _, err := r.Reminder.Tick(context.Background(), r.Now()); err != nil {
		t.Fatal(err)
	}
}

// phone signs a person of the demo in and turns their notifications on.
func (r running) phone(t *testing.T, service *pushtest.Service, who string) *http.Client {
	t.Helper()
	c := signedIn(t, r.URL()+"/demo/"+who)
	r.notify(t, service, c, who)
	return c
}

// notify turns the notifications of a phone on.
func (r running) notify(t *testing.T, service *pushtest.Service, c *http.Client, name string) {
	t.Helper()
	endpoint, receiver := service.Register(name)
	postJSON(t, c, r.URL()+"/api/push/subscription", map[string]string{"endpoint": endpoint, "p256dh": receiver.P256dh(), "auth": receiver.AuthSecret()})
}

// joined invites a parent of the family and joins with the code.
func (r running) joined(t *testing.T, family, person string) *http.Client {
	t.Helper()
	var made struct{ Code string }
	desk := signedIn(t, r.URL()+"/demo/clinician")
	if err := json.Unmarshal([]byte(postJSON(t, desk, r.URL()+"/api/clinic/families/"+family+"/invitations", map[string]any{"person": person})), &made); err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar}
	postJSON(t, c, r.URL()+"/api/join", map[string]any{"code": made.Code, "device_name": "Parent's phone", "consent": "2"})
	return c
}

// A tick after the time of insertion reminds the family that has not logged
// it, and leaves the family alone that has.
func TestTickRemindsOnlyWhoHasNotLogged(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		logged bool
		want   int
	}{{"not logged yet", false, 1}, {"logged already", true, 0}} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			at := time.Date(2026, 3, 24, 21, 0, 0, 0, time.UTC)
			a, clock, service := reminders(t, at)
			c := a.phone(t, service, "parent")
			if tc.logged {
				logInsertions(t, c, a.URL(), at)
			}
			clock.Set(at.Add(31 * time.Minute)) // 21:31; the older brother's insertion is asked for at 21:30
			a.tick(t)
			got := service.Received()
			if len(got) != tc.want {
				t.Fatalf("%d reminders, want %d", len(got), tc.want)
			}
			for _, m := range got {
				if strings.Contains(string(m.Payload), "Daniel") || !strings.Contains(string(m.Payload), `"kind":"reminder"`) {
					t.Errorf("payload %s", m.Payload)
				}
			}
		})
	}
}

// logInsertions writes tonight's insertion of both brothers.
func logInsertions(t *testing.T, c *http.Client, url string, at time.Time) {
	t.Helper()
	logFor(t, c, url, at, 1, "insertion", map[string]any{"at": "20:55", "eyes": "both"})
}

// logFor writes one entry of tonight for each wearer of the family.
func logFor(t *testing.T, c *http.Client, url string, at time.Time, v int, kind string, body map[string]any) {
	t.Helper()
	logNext(t, c, url, at, 0, v, kind, body)
}

// logNext is logFor after so many others.
func logNext(t *testing.T, c *http.Client, url string, at time.Time, after, v int, kind string, body map[string]any) {
	t.Helper()
	var f struct {
		Device  string
		Person  struct{ ID string }
		Wearers []struct{ ID string }
	}
	getJSON(t, c, url+"/api/family", &f)
	var entries []any
	for i, w := range f.Wearers {
		entries = append(entries, map[string]any{
			"id": fmt.Sprintf("01990000-0000-7000-8000-0000000000%d%d", after, i), "wearer": w.ID, "device": f.Device, "dseq": 100000 + 10*after + i, "author": f.Person.ID,
			"kind": kind, "night": "2026-03-24", "wall": at.Format("2006-01-02T15:04:05"), "zone": "Europe/London", "offset": 0,
			"hlc": fmt.Sprintf("%013d-0000", at.UnixMilli()+int64(after)), "v": v, "body": body,
		})
	}
	reply := postJSON(t, c, url+"/api/sync", map[string]any{"epoch": "", "cursor": 0, "entries": entries})
	if strings.Count(reply, `"accepted"`) != len(entries) {
		t.Fatal(reply)
	}
}

// Put off until 21:45, the brothers' evening is said again then and once; a
// pause of the family's holds it back altogether. Words on the lock screen are
// neutral until the family chooses plain ones for the child concerned.
func TestFamilyPutsOffPausesAndChoosesWords(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 24, 21, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name    string
		do      func(t *testing.T, r running, c *http.Client)
		minutes []int // ticks, after 21:00
		want    []int // messages by then
		plain   bool
	}{
		{"put off", func(t *testing.T, r running, c *http.Client) {
			logFor(t, c, r.URL(), at, 2, "snooze", map[string]any{"until": "21:45"})
		}, []int{31, 46, 60}, []int{0, 1, 1}, false},
		{"paused", func(t *testing.T, r running, c *http.Client) {
			logFor(t, c, r.URL(), at, 2, "pause", map[string]any{"reason": "away", "to": "2026-03-26"})
		}, []int{31, 60}, []int{0, 0}, false},
		{"plain words for the other brother only", func(t *testing.T, r running, c *http.Client) { chooseWords(t, r, c, 1) }, []int{31}, []int{1}, false},
		{"plain words for both", func(t *testing.T, r running, c *http.Client) { chooseWords(t, r, c, 0) }, []int{31}, []int{1}, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			r, clock, service := reminders(t, at)
			c := r.phone(t, service, "parent")
			tc.do(t, r, c)
			for i, m := range tc.minutes {
				clock.Set(at.Add(time.Duration(m) * time.Minute))
				r.tick(t)
				if got := len(service.Received()); got != tc.want[i] {
					t.Fatalf("21:%02d: %d reminders, want %d", m, got, tc.want[i])
				}
			}
			for _, m := range service.Received() {
				if strings.Contains(string(m.Payload), "insertion") != tc.plain || strings.Contains(string(m.Payload), "Daniel") {
					t.Errorf("payload %s; says what is due %v, and never whose", m.Payload, tc.plain)
				}
			}
		})
	}
}

// chooseWords chooses plain words for the children of the family from one on.
func chooseWords(t *testing.T, r running, c *http.Client, from int) {
	t.Helper()
	var f struct{ Wearers []struct{ ID string } }
	getJSON(t, c, r.URL()+"/api/family", &f)
	for _, w := range f.Wearers[from:] {
		postJSON(t, c, r.URL()+"/api/reminders", map[string]any{"wearer": w.ID, "lock_screen_words": "plain"})
	}
}

// The teen is reminded first at 22:05 when the family chooses so, the parent 20
// minutes later. A reminder for a teen without notifications goes to the parent
// at once, so that it is not lost.
func TestTeenThenParent(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		teen bool
		want []string // who has had a message at 22:06 and 22:26
	}{{"both have notifications", true, []string{"teen", "teen parent"}}, {"the teen has none", false, []string{"parent", "parent parent"}}} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			at := time.Date(2026, 3, 24, 22, 0, 0, 0, time.UTC)
			r, clock, service := reminders(t, at)
			c := signedIn(t, r.URL()+"/demo/teen")
			var f struct {
				Family  struct{ ID string }
				People  []struct{ ID, Role string }
				Wearers []struct{ ID string }
			}
			getJSON(t, c, r.URL()+"/api/family", &f)
			postJSON(t, c, r.URL()+"/api/reminders", map[string]any{"wearer": f.Wearers[0].ID, "remind_first": "teen", "parent_after_minutes": 20})
			if tc.teen {
				r.notify(t, service, c, "teen")
			}
			for _, p := range f.People {
				if p.Role == "parent" {
					r.notify(t, service, r.joined(t, f.Family.ID, p.ID), "parent")
				}
			}
			for i, m := range []int{6, 26} {
				clock.Set(at.Add(time.Duration(m) * time.Minute))
				r.tick(t)
				got := ""
				for _, x := range service.Received() {
					got = strings.TrimSpace(got + " " + x.ID)
				}
				if got != tc.want[i] {
					t.Errorf("22:%02d: %q, want %q", m, got, tc.want[i])
				}
			}
		})
	}
}

// A parent leaves insertion to the other one, who is reminded alone; once both do,
// both are: a reminder that nobody else hears is never lost. Their own time, 21:10,
// stands instead of the plan's 21:30 of the older brother.
func TestAParentLeavesAReminderToTheOther(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 24, 21, 0, 0, 0, time.UTC)
	r, clock, service := reminders(t, at)
	first := r.phone(t, service, "parent")
	var made struct{ Code string }
	if err := json.Unmarshal([]byte(postJSON(t, first, r.URL()+"/api/family/people", map[string]any{"name": "Otto Achterberg"})), &made); err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	second := &http.Client{Jar: jar}
	postJSON(t, second, r.URL()+"/api/join", map[string]any{"code": made.Code, "device_name": "Phone", "consent": "2"})
	r.notify(t, service, second, "second")
	var f struct{ Wearers []struct{ ID string } }
	getJSON(t, first, r.URL()+"/api/family", &f)
	for _, w := range f.Wearers {
		postJSON(t, first, r.URL()+"/api/reminders", map[string]any{"wearer": w.ID, "own": map[string]any{"every": map[string]string{"insertion_at": "21:10"}}})
	}
	postJSON(t, first, r.URL()+"/api/reminders/mine", map[string]any{"off": []string{"insertion"}})
	told := func(from int) (names []string) {
		for _, x := range service.Received()[from:] {
			names = append(names, x.ID)
		}
		slices.Sort(names)
		return slices.Compact(names)
	}
	r.tick(t) // what was due before these settings has gone out
	start := len(service.Received())
	clock.Set(at.Add(9 * time.Minute))
	r.tick(t)
	if got := told(start); len(got) != 0 {
		t.Errorf("at 21:09 %v are reminded, want nobody", got)
	}
	clock.Set(at.Add(10 * time.Minute))
	r.tick(t)
	if got := told(start); !slices.Equal(got, []string{"second"}) {
		t.Errorf("at 21:10 %v are reminded, want the second parent alone", got)
	}
	before := len(service.Received())
	postJSON(t, second, r.URL()+"/api/reminders/mine", map[string]any{"off": []string{"insertion", "evening-sight", "removal", "care", "spectacles"}})
	postJSON(t, first, r.URL()+"/api/reminders/mine", map[string]any{"off": []string{"insertion", "evening-sight", "removal", "care", "spectacles"}})
	clock.Set(at.Add(24*time.Hour + 10*time.Minute))
	r.tick(t)
	if got := told(before); !slices.Equal(got, []string{"parent", "second"}) {
		t.Errorf("when each leaves it to the other %v are reminded, want both", got)
	}
}

// logLost writes of each wearer that a pair came into use, and that what is of these eyes was lost.
func logLost(t *testing.T, c *http.Client, url string, at time.Time, eyes string) {
	t.Helper()
	logFor(t, c, url, at, 1, "supply", map[string]any{"item": "lens", "action": "started", "on": "2026-03-20", "eye": "both"})
	logNext(t, c, url, at, 1, 1, "supply", map[string]any{"item": "lens", "action": "discarded", "why": "lost", "on": "2026-03-24", "eye": eyes})
}

// Nobody is reminded to put a lens in that is held back: neither by a report,
// nor by what was logged of one eye, where only the other lens is named, nor
// one that was lost with no other at home, nor after the practice has ended the treatment. The hours are those of the demo's
// plan: both brothers' insertion is asked for by 21:31.
func TestNoReminderAsksForALensThatIsHeldBack(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 24, 21, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name string
		do   func(t *testing.T, r running, c *http.Client)
		want string // the last payload names it; empty: there is none
	}{
		{"nothing holds", func(*testing.T, running, *http.Client) {}, `"due":["insertion"]`},
		{"a report of both", func(t *testing.T, r running, c *http.Client) {
			logFor(t, c, r.URL(), at, 1, "symptoms", map[string]any{"right": map[string]any{"pain": "severe"}})
		}, ""},
		{"the left eye rests", func(t *testing.T, r running, c *http.Client) {
			logFor(t, c, r.URL(), at, 1, "not-worn", map[string]any{"reason": "sore-eye", "eyes": "left"})
		}, `"due":["insertion-right"]`},
		{"both lenses lost", func(t *testing.T, r running, c *http.Client) {
			logLost(t, c, r.URL(), at, "both")
		}, ""},
		{"the left lens lost", func(t *testing.T, r running, c *http.Client) {
			logLost(t, c, r.URL(), at, "left")
		}, ""}, // of the other eye the clinic is asked first
		{"lost, and a spare at home", func(t *testing.T, r running, c *http.Client) {
			logLost(t, c, r.URL(), at, "both")
			logNext(t, c, r.URL(), at, 2, 1, "supply", map[string]any{"item": "lens", "action": "kept", "on": "2026-03-20", "eye": "both"})
		}, ""}, // the clinic is asked before it is worn
		{"treatment ended", func(t *testing.T, r running, c *http.Client) {
			var f struct{ Wearers []struct{ ID string } }
			getJSON(t, c, r.URL()+"/api/family", &f)
			desk := signedIn(t, r.URL()+"/demo/desk")
			for _, w := range f.Wearers {
				postJSON(t, desk, r.URL()+"/api/clinic/wearers/"+w.ID+"/say", map[string]any{"sure": true, "causes": []string{}, "entries": []any{
					map[string]any{"kind": "cease", "body": map[string]any{"eyes": "both", "reason": "ended", "review_by": "2026-09-24"}}}})
			}
		}, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			r, clock, service := reminders(t, at)
			c := r.phone(t, service, "parent")
			chooseWords(t, r, c, 0)
			tc.do(t, r, c)
			clock.Set(at.Add(31 * time.Minute))
			r.tick(t)
			got := ""
			for _, m := range service.Received() {
				if strings.Contains(string(m.Payload), `"reminder"`) {
					got = string(m.Payload)
				}
			}
			if tc.want == "" && got != "" || !strings.Contains(got, tc.want) {
				t.Errorf("reminded with %q, want %q", got, tc.want)
			}
		})
	}
}
