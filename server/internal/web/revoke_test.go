package web_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// A phone that syncs without pause while it is taken out of use stays out of
// use: nothing that was read before the revocation is written after it.
func TestARevokedDeviceStaysRevoked(t *testing.T) {
	t.Parallel()
	for try := range 10 {
		s := newSite(t)
		s.teens()
		var wg sync.WaitGroup
		stop := make(chan bool)
		for lane := range 6 {
			wg.Go(func() {
				for i := 0; ; i++ {
					select {
					case <-stop:
						return
					default:
					}
					// Another clock each time, so that the device's record is written.
					now := simNow.Add(time.Duration(lane*1000+i+10) * time.Minute).Format(time.RFC3339)
					id := fmt.Sprintf("01900000-0000-7000-8000-%03d%03d%06d", try, lane, i)
					e := entryJSON(fmt.Sprintf(`{"id":%q,"device":"dt","author":"t1","dseq":%d,"kind":"note","body":{"text":"a"}}`, id, lane*100_000+i+1))
					s.call("POST", "/api/sync", "teen", fmt.Sprintf(`{"epoch":"","cursor":0,"entries":[%s],"now":%q}`, e, now))
				}
			})
		}
		s.says("DELETE", "/api/devices/dt", "family", "", 200, "")
		for range 5 {
			s.says("GET", "/api/family", "teen", "", 401, "no-credential")
		}
		close(stop)
		wg.Wait()
		s.says("GET", "/api/family", "teen", "", 401, "no-credential")
		s.sound()
	}
}

// A family that is erased while its phones sync stays erased: no record of it is
// in the file, and the check of the file says so.
func TestAnErasedFamilyStaysErased(t *testing.T) {
	t.Parallel()
	for range 5 {
		s := newSite(t)
		s.confirmed("admin", "da")
		var wg sync.WaitGroup
		stop := make(chan bool)
		for lane := range 6 {
			wg.Go(func() {
				for i := 0; ; i++ {
					select {
					case <-stop:
						return
					default:
					}
					now := simNow.Add(time.Duration(lane*1000+i+10) * time.Minute).Format(time.RFC3339)
					s.call("POST", "/api/sync", "family", fmt.Sprintf(`{"epoch":"","cursor":0,"entries":[%s],"now":%q}`, entryJSON(fmt.Sprintf(`{"dseq":%d,"kind":"bad"}`, i+1)), now))
					s.call("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`)
					s.call("POST", "/api/calendar", "family", "")
				}
			})
		}
		s.says("DELETE", "/api/clinic/families/f1", "admin", "", 200, "")
		s.call("GET", "/api/family", "family", "")
		close(stop)
		wg.Wait()
		s.says("GET", "/api/family", "family", "", 401, "no-credential")
		s.sound()
	}
}

// sound checks the file of a site.
func (s *site) sound() {
	s.t.Helper()
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		for _, f := range tx.Archive().Check() {
			s.t.Errorf("the file is not sound: %v", f)
		}
		return nil
	})
}

// Every route of the authorisation table, called again and again while the
// caller is shut out: afterwards the caller is shut out, whatever was in flight,
// and nothing of theirs is open.
func TestEveryRouteWhileItsCallerIsShutOut(t *testing.T) {
	t.Parallel()
	probe := newSite(t)
	routes := slices.DeleteFunc(probe.srv.App().GetRoutes(true), func(r fiber.Route) bool {
		return r.Method == "HEAD" || !strings.HasPrefix(r.Path, "/api/")
	})
	if len(routes) < 60 {
		t.Fatalf("only %d routes", len(routes))
	}
	bodies := map[string]string{
		"/api/sync":                           syncBody(entryJSON(`{"kind":"symptoms","body":{"left":{"pain":"severe"}}}`)),
		"/api/push/subscription":              `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`,
		"/api/reminders":                      `{"wearer":"w1","remind_first":"","parent_after_minutes":30}`,
		"/api/clinic/families/f1/invitations": `{"person":"p1"}`,
	}
	type out struct {
		token  string
		person care.PersonID
		device care.DeviceID // taken out of use by itself; empty: the person leaves
	}
	for _, x := range []out{
		{"family", "p1", ""}, {"clinician", "c1", ""}, {"desk", "k1", ""}, {"admin", "a1", ""},
		{"family", "p1", "d1"}, {"desk", "k1", "dk"},
	} {
		token, person := x.token, x.person
		s := newSite(t)
		for _, r := range routes {
			s.restore(token, person)
			path := strings.NewReplacer("wearers/:id", "wearers/w1", "families/:id", "families/f2", ":id", "w1", ":person", "p1").Replace(r.Path)
			body := bodies[path]
			if body == "" && r.Method != "GET" {
				body = "{}"
			}
			var wg sync.WaitGroup
			for range 3 {
				wg.Go(func() { s.call(r.Method, path, token, body) })
			}
			wg.Go(func() {
				s.update(func(tx *store.Tx) error {
					if x.device == "" {
						return tx.Access().Leave(person)
					}
					d, err := tx.Register().Device(x.device)
					if err != nil {
						return err
					}
					return record.Revoke(tx, d, "")
				})
			})
			wg.Wait()
			for _, after := range []string{"/api/family", "/api/clinic/me"} {
				if status, _ := s.call("GET", after, token, ""); status != 401 && status != 403 {
					t.Errorf("%s %s as %s: afterwards %s answers %d", r.Method, r.Path, token, after, status)
				}
			}
			_ = s.srv.DB.View(func(tx *store.Tx) error {
				if p, err := tx.Register().Person(person); err == nil && !p.Gone && x.device == "" {
					t.Errorf("%s %s as %s: the person is back", r.Method, r.Path, token)
				}
				if d, err := tx.Register().Device(x.device); err == nil && !d.Revoked {
					t.Errorf("%s %s as %s: the device is back", r.Method, r.Path, token)
				}
				return nil
			})
		}
		s.sound()
	}
}

// restore lets somebody in again whom the route before shut out.
func (s *site) restore(token string, person care.PersonID) {
	s.t.Helper()
	device := map[string]care.DeviceID{"family": "d1", "clinician": "dc", "desk": "dk", "admin": "da"}[token]
	s.update(func(tx *store.Tx) error {
		if err := tx.Register().ChangePerson(person, func(p *care.Person) { p.Gone = false }); err != nil {
			return err
		}
		if err := tx.Register().ChangeDevice(device, func(d *care.Device) { d.Revoked = false }); err != nil {
			return err
		}
		c := register.Credential{Device: device, Created: tx.Now}
		if token != "family" {
			c.Expires, c.Seen, c.Rechecked = tx.Now.Add(time.Hour), tx.Now, tx.Now
		}
		return tx.Access().AddCredential(token, c)
	})
}

// A browser whose log was cleared becomes a new device. The old one may still
// send, because its cookie may have been copied to where its log stands; what
// came before it, and what was made of it in vain, may not.
func TestABrowserWithoutItsLogBecomesANewDevice(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	again := func(token string) string { return s.again(t, token) }
	family := func(token string) (f struct {
		Device string
		Heard  bool
	}) {
		status, body := s.call("GET", "/api/family", token, "")
		if err := json.Unmarshal([]byte(body), &f); status != 200 || err != nil {
			t.Fatalf("%d %s", status, body)
		}
		return f
	}
	write := func(token, id string) {
		body := `{"epoch":"","cursor":0,"schema":3,"entries":[` + entryJSON(`{"id":"01900000-0000-7000-8000-00000000000`+id+`","device":"`+family(token).Device+`"}`) + `]}`
		if status, got := s.call("POST", "/api/sync", token, body); status != 200 || !strings.Contains(got, `"accepted"`) {
			t.Fatalf("%d %s", status, got)
		}
	}
	if family("family").Heard {
		t.Error("a device that never synced is called heard")
	}
	write("family", "1")
	if !family("family").Heard {
		t.Error("a device that has synced is not called heard")
	}
	lost, second := again("family"), again("family") // the first answer was lost on the way
	if status, _ := s.call("GET", "/api/family", lost, ""); status != 401 {
		t.Errorf("%d for a device made in vain, want 401", status)
	}
	if f := family(second); f.Device == "d1" || f.Heard {
		t.Errorf("%+v, want a new device that was never heard of", f)
	}
	write(second, "2")
	write("family", "3") // the old log stands somewhere else
	third := again(second)
	if status, _ := s.call("GET", "/api/family", "family", ""); status != 401 {
		t.Errorf("%d for the device before the last, want 401", status)
	}
	family(second)
	family(third)
}

// Whoever takes a device out of use takes out what the same browser goes by
// besides, so that nobody stays in by coming back as a new device in between; the
// one that asks for it stays.
func TestARevokedBrowserDoesNotComeBackAsAnother(t *testing.T) {
	t.Parallel()
	for _, who := range []string{"clinician", "family"} {
		s := newSite(t)
		inv := decode[struct{ Code string }](t, s.says("POST", "/api/devices/invitation", "family", "{}", 200, ""))
		thief := s.joined(inv.Code)
		first := decode[struct{ Device string }](t, s.says("GET", "/api/family", thief, "", 200, "")).Device
		hop := s.again(t, thief)
		path := "/api/devices/" + first
		if who == "clinician" {
			path = "/api/clinic/devices/" + first
		}
		s.says("DELETE", path, who, "", 200, "")
		for _, token := range []string{thief, hop} {
			s.says("GET", "/api/family", token, "", 401, "")
		}
		s.says("GET", "/api/family", "family", "", 200, "")
	}
}

// again comes back as a new device and returns its credential.
func (s *site) again(t *testing.T, token string) string {
	t.Helper()
	req := httptest.NewRequest("POST", "/api/devices/again", strings.NewReader("{}"))
	req.Header.Set("Content-Type", "application/json")
	req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: token})
	res := s.do(req)
	defer res.Body.Close()
	if res.StatusCode != 200 || len(res.Cookies()) != 1 {
		t.Fatalf("%s with %d cookies", res.Status, len(res.Cookies()))
	}
	return res.Cookies()[0].Value
}
