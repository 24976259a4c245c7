package app_test

import (
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
)

// evening is a Saturday, the night before clocks change in Europe.
var evening = time.Date(2026, 3, 28, 20, 15, 0, 0, time.UTC)

func startDemo(t *testing.T) *app.App {
	t.Helper()
	a, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Log: slog.New(slog.DiscardHandler), Dev: true}, evening)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := a.Stop(); err != nil {
			t.Error(err)
		}
	})
	return a
}

// get opens a link with a cookie jar, follows it, and returns the last status
// and a client that stays signed in.
func signedIn(t *testing.T, link string) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := c.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s: %s", link, res.Status)
	}
	return c
}

func getJSON(t *testing.T, c *http.Client, url string, out any) {
	t.Helper()
	res, err := c.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != 200 {
		t.Fatalf("%s: %s %s %v", url, res.Status, raw, err)
	}
	if err := json.Unmarshal(raw, out); err != nil {
		t.Fatal(err)
	}
}

// The demo's links sign in as often as they are opened, and each person sees
// what is theirs.
func TestDemoLinksSignIn(t *testing.T) {
	t.Parallel()
	a := startDemo(t)
	for range 2 {
		for _, who := range []string{"parent", "teen"} {
			var f struct {
				Person  struct{ Role string }
				Wearers []struct {
					Name string
					Plan *struct{}
				}
			}
			getJSON(t, signedIn(t, a.URL()+"/demo/"+who), a.URL()+"/api/family", &f)
			if f.Person.Role != who || len(f.Wearers) == 0 || f.Wearers[0].Plan == nil {
				t.Errorf("%s sees %+v", who, f)
			}
		}
		c := signedIn(t, a.URL()+"/demo/clinician")
		var page struct {
			Total   int
			Wearers []struct{ ID string }
		}
		getJSON(t, c, a.URL()+"/api/clinic/wearers", &page)
		if page.Total != 13 {
			t.Errorf("clinician sees %d wearers, want the scenario's 13", page.Total)
		}
		for _, w := range page.Wearers {
			var summary map[string]any
			getJSON(t, c, a.URL()+"/api/clinic/wearers/"+w.ID+"/review", &summary)
		}
		for _, path := range []string{"today", "alerts", "practice", "rules", "me"} {
			var any map[string]any
			getJSON(t, c, a.URL()+"/api/clinic/"+path, &any)
		}
	}
}

// Desk and administrator have a morning's work waiting, as testdata/demo has
// it: two visits booked for the day, an invitation still open, a family whose
// ten years of keeping are over. Signing out does not end the link.
func TestDemoOfDeskAndAdministrator(t *testing.T) {
	t.Parallel()
	a := startDemo(t)
	for range 2 {
		desk := signedIn(t, a.URL()+"/demo/desk")
		var today struct{ Visits []struct{ Time string } }
		var invited struct{ Invitations []struct{ Name string } }
		getJSON(t, desk, a.URL()+"/api/clinic/today", &today)
		getJSON(t, desk, a.URL()+"/api/clinic/invitations", &invited)
		if len(today.Visits) != 2 || len(invited.Invitations) != 1 {
			t.Errorf("the desk sees %+v and %+v, want two visits and an invitation", today, invited)
		}
		for _, path := range []string{"sign-out", "sign-out-everywhere"} {
			again := signedIn(t, a.URL()+"/demo/desk")
			res, err := again.Post(a.URL()+"/api/clinic/"+path, "application/json", strings.NewReader("{}"))
			if err != nil {
				t.Fatal(err)
			}
			res.Body.Close()
			if res.StatusCode != 200 {
				t.Errorf("%s: %s", path, res.Status)
			}
		}
	}
	admin := signedIn(t, a.URL()+"/demo/administrator")
	var kept struct{ Due []struct{ Family string } }
	var staff struct{ Staff []struct{ Sessions int } }
	getJSON(t, admin, a.URL()+"/api/clinic/retention", &kept)
	getJSON(t, admin, a.URL()+"/api/clinic/staff", &staff)
	if len(kept.Due) != 1 || len(staff.Staff) != 4 {
		t.Errorf("the administrator sees %+v and %+v, want one family and four people", kept, staff)
	}
}
