package web_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// crowd is how many families a damaged practice has: enough for several pages of each
// bucket.
const crowd = 60

// crowded makes a practice of many families, each with a log and every tenth with
// a live alert, and returns the site and its file, closed.
func crowded(t *testing.T) (*site, string) {
	t.Helper()
	s := newSite(t)
	s.planned()
	plan := s.usual()
	err := s.srv.DB.Update(func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		for n := range crowd {
			if err := family(tx, rules, n, plan); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	path := s.srv.DB.Path()
	if err := s.srv.DB.Close(); err != nil {
		t.Fatal(err)
	}
	return s, path
}

// family puts family n with everything that lists look at into the practice.
func family(tx *store.Tx, rules escalate.Rules, n int, plan []byte) error {
	id := func(what string) string { return fmt.Sprintf("%s-%03d", what, n) }
	f, w := care.FamilyID(id("family")), care.WearerID(id("wearer"))
	_, planned := tx.Chart().PutPlan(w, "c1", plan)
	for _, err := range []error{
		tx.Register().AddFamily(care.Family{ID: f, Name: id("Name"), Zone: "Europe/Lisbon", Created: tx.Now}),
		tx.Register().AddWearer(care.Wearer{ID: w, Family: f, Name: id("Child"), Code: id("W"), Birth: "2015-05-05"}),
		tx.Register().AddPerson(care.Person{ID: care.PersonID(id("parent")), Family: f, Name: id("Parent"), Role: care.Parent, Phone: "+351 21 000 0000"}),
		tx.Register().AddDevice(care.Device{ID: care.DeviceID(id("device")), Family: f, Person: care.PersonID(id("parent")), Created: tx.Now}),
		tx.Access().AddCredential(id("token"), register.Credential{Device: care.DeviceID(id("device")), Created: tx.Now}),
		planned,
		tx.Chart().PutVisit(w, id("visit"), map[string]string{"id": id("visit"), "date": "2026-04-10", "kind": "one-week", "state": "booked"}),
	} {
		if err != nil {
			return err
		}
	}
	var first care.EntryID
	for i := range 10 {
		e := &care.Entry{
			ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%06d%06d", n+1, i+1)), Wearer: w, Device: care.DeviceID(id("device")), DSeq: uint64(i + 1),
			Author: care.PersonID(id("parent")), Kind: care.Insertion, Night: civil.MustDate("2026-03-01").AddDays(i), Wall: "2026-03-10T21:40:00", Zone: "Europe/Lisbon",
			HLC: fmt.Sprintf("17747340000%02d-0000", i), V: 1, Body: []byte(`{"eyes":"both"}`),
		}
		if stored, err := tx.Log().Append(f, e); err != nil || stored != log.Added {
			return fmt.Errorf("%v, stored %v", err, stored)
		}
		first = e.ID
	}
	if n%10 > 0 {
		return nil
	}
	alert := escalate.Alert{ID: care.AlertID(id("alert")), Wearer: w, Family: f, Rule: "pain"}
	_, err := dispatch.Apply(tx, rules, alert, escalate.Event{Kind: escalate.Raised, Level: escalate.Urgent, Entry: first})
	return err
}

// A page that the disk lost, of whatever bucket, takes the lists from nobody: they
// show everybody of whom anything can be read, who cannot be read is a reason to
// call, severe pain of another family is taken and told, and people are told of the
// damage, in words after a restart too.
func TestOneDamagedPageStopsNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ bucket, key string }{
		{"wearers", "wearer-030"}, {"families", "family-030"}, {"people", "parent-030"}, {"devices", "device-030"}, {"plans", "wearer-030"},
		{"visits", "wearer-030"}, {"nights", "wearer-030"}, {"entries", "family-030"}, {"received", "family-030"}, {"alerts", "alert-030"}, {"outbox", "alert-030"},
		{"family_wearers", "family-030"}, {"family_people", "family-030"}, {"wear", "wearer-030"}, {"due", ""}, {"due_at", "wearer-030"},
	} {
		t.Run(c.bucket, func(t *testing.T) {
			t.Parallel()
			s, path := crowded(t)
			lost, err := scene.ZeroPage(path, c.bucket, c.key)
			if err != nil {
				t.Fatal(err)
			}
			if len(lost) == 0 {
				return // stands in the page of the list of buckets, without which there is no file
			}
			s = s.opened(path)
			s.t = t
			s.goesOnWithout(c.bucket, lost)
			if err := s.srv.DB.Close(); err != nil {
				t.Fatal(err)
			}
			s = s.opened(path)
			if len(s.srv.DB.Unreadable()) == 0 {
				t.Error("after a restart nothing of the damage is known")
			}
		})
	}
}

// goesOnWithout asks for the lists of a practice that has lost a page.
func (s *site) goesOnWithout(bucket string, lost []string) {
	t := s.t
	for _, path := range []string{
		"/api/clinic/today", "/api/clinic/wearers?filter=silent", "/api/clinic/recalls", "/api/clinic/practice", "/api/clinic/waiting", "/api/clinic/archive",
	} {
		s.says("GET", path, "clinician", "", 200, "")
	}
	gone := func(key string) bool {
		return slices.ContainsFunc(lost, func(k string) bool { return k == key })
	}
	all := ""
	for page := 1; page <= 4; page++ {
		all += s.says("GET", fmt.Sprintf("/api/clinic/wearers?page=%d", page), "clinician", "", 200, "")
	}
	today := ""
	for page := 1; page <= 4; page++ {
		today += s.says("GET", fmt.Sprintf("/api/clinic/today?page=%d", page), "clinician", "", 200, "")
	}
	cards := s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")
	for n := range crowd {
		id := fmt.Sprintf("wearer-%03d", n)
		keyLost := bucket == "wearers" && gone(id)
		if !keyLost && !strings.Contains(all, `"`+id+`"`) {
			t.Errorf("%s: %s is not among the wearers", bucket, id)
		}
		if !keyLost && !strings.Contains(today, `"`+id+`"`) { // nobody wrote for weeks: everybody is to be called
			t.Errorf("%s: nobody is told to call about %s", bucket, id)
		}
		if alert := fmt.Sprintf("alert-%03d", n); n%10 == 0 && !(bucket == "alerts" && gone(alert)) && !strings.Contains(cards, `"`+alert+`"`) {
			t.Errorf("%s: %s is not shown", bucket, alert)
		}
	}
	s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","kind":"symptoms","body":{"left":{"pain":"severe"}}}`)), 200, `"accepted"`)
	if cards = s.says("GET", "/api/clinic/alerts", "clinician", "", 200, ""); !strings.Contains(cards, `"wearer":"w1"`) || !strings.Contains(cards, `"level":"emergency"`) {
		t.Errorf("%s: severe pain raised no emergency: %.300s", bucket, cards)
	}
	status, _ := s.call("GET", "/healthz", "", "")
	if cards = s.says("GET", "/api/clinic/alerts", "clinician", "", 200, ""); strings.Contains(cards, `"lost":0`) == slices.Contains([]string{"alerts", "live_alerts", "outbox", "outbox_due"}, bucket) {
		t.Errorf("%s: alerts that may be lost: %.60s", bucket, cards[max(0, len(cards)-60):])
	}
	if fails := status == 503; fails != slices.Contains([]string{"alerts", "live_alerts", "outbox", "outbox_due", "people", "families", "devices"}, bucket) {
		t.Errorf("%s: /healthz answers %d", bucket, status)
	}
	if bad := s.srv.DB.Unreadable(); !slices.ContainsFunc(bad, func(u pairs.Unreadable) bool { return u.Bucket == bucket }) {
		t.Errorf("set aside: %v; want a part of %s", bad, bucket)
	}
	s.confirmed("admin", "da")
	s.says("GET", "/api/clinic/settings", "admin", "", 200, "a damaged part of the file")
	s.familiesGoOn(bucket)
	s.confirmed("clinician", "dc")
	table := s.says("GET", "/api/clinic/export.csv", "clinician", "", 200, "")
	for n := range crowd {
		if code := fmt.Sprintf("W-%03d,", n); !strings.Contains(table, "\n"+code) && !strings.Contains(table, ","+bucket+": a damaged part of the file") {
			t.Errorf("%s: %s is missing in the table of nights, and nothing says so", bucket, code)
		}
	}
}

// familiesGoOn asks for every family what its phone asks for, also one whose own page
// is lost. A log that can be read in part is answered with a place for what cannot be,
// whole by numbers and checksum, and what a phone then sends is stored or kept aside;
// none of it comes again for ever. What lets a phone in, and says who its people are,
// cannot be left out.
func (s *site) familiesGoOn(bucket string) {
	t := s.t
	in := slices.Contains([]string{"devices", "people", "families", "wearers", "plans", "family_people", "family_wearers"}, bucket)
	for n := range crowd {
		token := fmt.Sprintf("token-%03d", n)
		if status, raw := s.call("GET", "/api/family", token, ""); status != 200 && !(in && status == 503) {
			t.Errorf("%s: /api/family of %d answers %d %.200s", bucket, n, status, raw)
		} else if status == 200 && strings.Contains(raw, `"plan":null`) {
			t.Errorf("%s: the phone of family %d is told that there is no plan", bucket, n)
		}
		status, raw := s.call("POST", "/api/sync", token, `{"epoch":"","cursor":0,"entries":[]}`)
		if bucket == "devices" && status == 503 { // what lets a phone in
			continue
		}
		reply := decode[intake.Reply](t, raw)
		sum := ""
		for i, change := range reply.Changes {
			e := decode[struct {
				ID   string
				FSeq int
			}](t, string(change))
			if want := fmt.Sprintf("01900000-0000-7000-8000-%06d%06d", n+1, i+1); e.ID != want || e.FSeq != i+1 {
				t.Errorf("%s: place %d of family %d holds %s", bucket, i+1, n, change)
			}
			sum = log.NextChecksum(sum, care.EntryID(e.ID))
		}
		if status != 200 || len(reply.Changes) != 10 || reply.Checksum != sum || reply.Cursor != 10 {
			t.Errorf("%s: sync of family %d answers %d with %d places up to %d, checksum right %t; want 200 and 10", bucket, n, status, len(reply.Changes), reply.Cursor, reply.Checksum == sum)
		}
		sore := entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-9%05d000001","wearer":"wearer-%03[1]d","device":"device-%03[1]d","author":"parent-%03[1]d","dseq":11,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`, n))
		body := fmt.Sprintf(`{"epoch":%q,"cursor":10,"sum":%q,"entries":[%s]}`, reply.Epoch, reply.Checksum, sore)
		status, raw = s.call("POST", "/api/sync", token, body)
		if status != 200 || !strings.Contains(raw, `"accepted"`) && !strings.Contains(raw, `"kept-aside"`) {
			t.Errorf("%s: severe pain of family %d is answered with %d %.200s", bucket, n, status, raw)
		}
		for range 2 { // again, and again with nothing to send
			if status, raw = s.call("POST", "/api/sync", token, body); status != 200 {
				t.Errorf("%s: the same again of family %d is answered with %d %.200s", bucket, n, status, raw)
			}
			body = fmt.Sprintf(`{"epoch":%q,"cursor":10,"sum":%q,"entries":[]}`, reply.Epoch, reply.Checksum)
		}
	}
}
