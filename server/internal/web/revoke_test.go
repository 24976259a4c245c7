package web_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
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
		for _, f := range tx.Check() {
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
	who := map[string]care.PersonID{"family": "p1", "clinician": "c1", "desk": "k1", "admin": "a1"}
	for token, person := range who {
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
				s.update(func(tx *store.Tx) error { return tx.Leave(person) })
			})
			wg.Wait()
			for _, after := range []string{"/api/family", "/api/clinic/me"} {
				if status, _ := s.call("GET", after, token, ""); status != 401 && status != 403 {
					t.Errorf("%s %s as %s: afterwards %s answers %d", r.Method, r.Path, token, after, status)
				}
			}
			_ = s.srv.DB.View(func(tx *store.Tx) error {
				if p, err := tx.Person(person); err == nil && !p.Gone {
					t.Errorf("%s %s as %s: the person is back", r.Method, r.Path, token)
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
		if err := tx.ChangePerson(person, func(p *care.Person) { p.Gone = false }); err != nil {
			return err
		}
		if err := tx.ChangeDevice(device, func(d *care.Device) { d.Revoked = false }); err != nil {
			return err
		}
		c := store.Credential{Device: device, Created: tx.Now}
		if token != "family" {
			c.Expires, c.Seen, c.Rechecked = tx.Now.Add(time.Hour), tx.Now, tx.Now
		}
		return tx.AddCredential(token, c)
	})
}
