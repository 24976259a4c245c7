package web_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/storetest"
)

// lockRecords is how many records one request may read while it keeps all other
// writes waiting: some 2 microseconds each, so that a sore eye waits for a
// millisecond. A reader of nights or of the practice reads thousands.
const lockRecords = 300

// A route reads before it writes: whatever is asked, what stands under the one
// write lock does not grow with the practice or with the years. With
// NIGHTKEEP_LOCK=600x1095 the practice has so many wearers and nights, and the
// longest lock of each route is told.
func TestNoRouteReadsLongUnderTheWriteLock(t *testing.T) {
	t.Parallel()
	wearers, nights := 12, 400
	if text := os.Getenv("NIGHTKEEP_LOCK"); text != "" {
		if _, err := fmt.Sscanf(text, "%dx%d", &wearers, &nights); err != nil {
			t.Fatalf("NIGHTKEEP_LOCK=%s: want WEARERSxNIGHTS", text)
		}
	}
	s := newSite(t)
	s.srv.DB.NoSync(true)
	for i := range wearers {
		s.years(i, nights)
	}
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"symptoms","body":{"right":{"pain":"persists"}}}`)), 200, `"accepted"`)
	s.confirmed("sure", "dc")
	feed := decode[struct{ Address string }](t, s.says("POST", "/api/clinic/calendar", "sure", "", 200, "")).Address
	alert := decode[struct{ Alerts []struct{ ID string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].ID
	bodies := map[string]string{
		"/api/sync":                                syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`)),
		"/api/clinic/follow-ups":                   `{"wearer":"w1","rule":"silent","outcome":"reached","until":"2026-03-01"}`,
		"/api/clinic/wearers/w1/visits":            `{"date":"2026-03-20","kind":"one-week","state":"kept","note":"well"}`,
		"/api/clinic/wearers/w1/plan":              strings.Replace(string(s.usual()), "{", `{"base":1,`, 1),
		"/api/clinic/alerts/" + alert + "/comment": `{"text":"a"}`,
		"/api/reminders":                           `{"wearer":"w1","remind_first":"","parent_after_minutes":30}`,
		"/api/clinic/families/f1/invitations":      `{"person":"p1"}`,
	}
	routes := slices.DeleteFunc(s.srv.App().GetRoutes(true), func(r fiber.Route) bool { return r.Method == "HEAD" })
	slices.SortStableFunc(routes, func(a, b fiber.Route) int { return cmp.Compare(destroys(a), destroys(b)) })
	asked, ok, seen := 0, 0, 0
	var told []string
	for _, r := range routes {
		for _, token := range []string{"family", "clinician", "desk", "admin"} {
			s.seated()
			s.srv.DB.LongestWrite()
			path := strings.NewReplacer("alerts/:id", "alerts/"+alert, "wearers/:id", "wearers/w1", "families/:id", "families/f1", ":id", "w1", ":person", "p1").Replace(r.Path)
			body := bodies[path]
			if body == "" && r.Method != "GET" {
				body = "{}"
			}
			if strings.HasPrefix(path, "/calendar/") {
				path = feed[strings.Index(feed, "/calendar/"):]
			}
			status, _ := s.call(r.Method, path, token, body)
			if asked++; status == 200 {
				ok++
			}
			use := s.srv.DB.LongestWrite()
			seen += min(use.Records, 1)
			erasure := r.Method == "DELETE" && path == "/api/clinic/families/f1" // which reads what it takes away
			if use.Records > lockRecords && !erasure {
				t.Errorf("%s %s as %s (%d) reads %d records under the write lock, want at most %d", r.Method, path, token, status, use.Records, lockRecords)
			}
			told = append(told, fmt.Sprintf("%8.2f ms %6d records  %d %s %s as %s", use.Held.Seconds()*1000, use.Records, status, r.Method, r.Path, token))
		}
	}
	if seen < 5 {
		t.Errorf("%d writes are seen to read anything: the store does not count", seen)
	}
	if asked < 300 || ok < 110 {
		t.Errorf("%d requests were made and %d answered with 200: too few to say anything of every route", asked, ok)
	}
	if os.Getenv("NIGHTKEEP_LOCK") != "" {
		slices.SortFunc(told, func(a, b string) int { return cmp.Compare(heldIn(b), heldIn(a)) })
		t.Logf("longest write locks:\n%s", strings.Join(told[:min(25, len(told))], "\n"))
	}
}

// destroys puts routes in order: those that read, those that write, those that
// take away, and the erasure of a family last.
func destroys(r fiber.Route) int {
	switch {
	case r.Path == "/api/clinic/families/:id" && r.Method == "DELETE":
		return 3
	case r.Method == "DELETE" || strings.Contains(r.Path, "sign-out"):
		return 2
	case r.Method != "GET":
		return 1
	}
	return 0
}

func heldIn(line string) float64 {
	ms, _, _ := strings.Cut(strings.TrimSpace(line), " ")
	v, err := strconv.ParseFloat(ms, 64)
	if err != nil {
		panic(err)
	}
	return v
}

// seated lets everybody in again whom a request before may have shut out.
func (s *site) seated() {
	s.t.Helper()
	for token, who := range map[string][2]string{"clinician": {"dc", "c1"}, "desk": {"dk", "k1"}, "admin": {"da", "a1"}} {
		role := map[string]care.Role{"c1": care.Clinician, "k1": care.Desk, "a1": care.Administrator}[who[1]]
		s.update(func(tx *store.Tx) error {
			if err := storetest.Put(tx, care.Person{ID: care.PersonID(who[1]), Name: strings.ToUpper(who[1][:1]), Role: role}); err != nil {
				return err
			}
			return storetest.Put(tx, care.Device{ID: care.DeviceID(who[0]), Person: care.PersonID(who[1]), Created: tx.Now})
		})
		s.confirmed(token, care.DeviceID(who[0]))
	}
}

// years gives a family of its own so many nights; the first is the family of the
// site.
func (s *site) years(n, nights int) {
	s.t.Helper()
	f, w, p, d := "f1", "w1", "p1", "d1"
	if n > 0 {
		x := fmt.Sprint(n)
		f, w, p, d = "fx"+x, "wx"+x, "px"+x, "dx"+x
		s.update(func(tx *store.Tx) error {
			for _, err := range []error{
				storetest.Put(tx, care.Family{ID: care.FamilyID(f), Name: f, Zone: "Europe/Lisbon", Created: tx.Now}),
				storetest.Put(tx, care.Wearer{ID: care.WearerID(w), Family: care.FamilyID(f), Name: w, Code: "X-" + x}),
				storetest.Put(tx, care.Person{ID: care.PersonID(p), Family: care.FamilyID(f), Name: p, Role: care.Parent}),
				storetest.Put(tx, care.Device{ID: care.DeviceID(d), Family: care.FamilyID(f), Person: care.PersonID(p), Created: tx.Now, LastSeen: tx.Now}),
			} {
				if err != nil {
					return err
				}
			}
			return nil
		})
	}
	s.says("POST", "/api/clinic/wearers/"+w+"/plan", "clinician", string(s.usual()), 200, "")
	last := civil.MustDate("2026-03-28")
	bodies := []struct{ kind, body string }{
		{"insertion", `{"at":"21:30","eyes":"both"}`}, {"removal", `{"at":"07:15","eyes":"both"}`},
		{"care", `{"rub":true,"rinse":"solution","tap_water":false}`}, {"evening-sight", `{"rating":4}`},
	}
	for from := 0; from < nights; from += 100 {
		s.update(func(tx *store.Tx) error {
			for i := from; i < min(nights, from+100); i++ {
				night := last.AddDays(i - nights)
				for k, b := range bodies {
					seq := uint64(len(bodies)*i + k + 10)
					_, err := tx.Log().Append(care.FamilyID(f), &care.Entry{
						ID: care.EntryID(fmt.Sprintf("%08x-%04x-7000-8000-%012x", 0x01000000+i, k, n)), Wearer: care.WearerID(w), Device: care.DeviceID(d), DSeq: seq,
						Author: care.PersonID(p), Kind: care.EntryKind(b.kind), Night: night, Wall: night.String() + "T21:30:00", Zone: "Europe/Lisbon",
						HLC: fmt.Sprintf("%013d-%04d", 1_600_000_000_000+i, k), V: 1, Body: json.RawMessage(b.body),
					})
					if err != nil {
						return err
					}
				}
			}
			return nil
		})
	}
}
