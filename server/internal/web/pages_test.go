package web_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// households is how many families stand in a full practice: with them every bucket is
// too large to stand in the page of the list of buckets.
const households = 54

// fullPractice makes a data file in which every bucket has pages of its own: families
// with something in each, a third of them erased for good or for a day, staff with
// passkeys, and records that cannot be read.
func fullPractice(t *testing.T) (path string) {
	t.Helper()
	s := newSite(t)
	s.planned()
	path = s.srv.DB.Path()
	for n := range households {
		h := scene.Household{Mark: fmt.Sprintf("family%02d", n)}
		h.Settle(t, s.srv.DB)
		s.update(func(tx *store.Tx) error { return moreOf(tx, h) })
	}
	rota := escalate.Rota{Zone: "Europe/Lisbon"}
	for n := range 24 {
		s.update(func(tx *store.Tx) error { return colleague(tx, n) })
		rota.Slots = append(rota.Slots, escalate.Slot{Weekday: n % 7, Person: care.PersonID(fmt.Sprintf("staff-%02d", n)), Deputy: "c1"})
	}
	s.update(func(tx *store.Tx) error { return tx.Register().SetSetting("rota", rota) })
	for n := 30; n < households; n++ {
		f := care.FamilyID(fmt.Sprintf("family%02d-family", n))
		s.update(func(tx *store.Tx) error {
			if n%2 == 0 {
				return tx.Archive().SetAside(f, "a1", tx.Now.Add(24*time.Hour))
			}
			_, err := tx.Archive().EraseFamily(f, "a1")
			return err
		})
	}
	if err := s.srv.DB.Close(); err != nil {
		t.Fatal(err)
	}
	scene.Forge(t, path, func(tx *bbolt.Tx) error { // of which the list of what cannot be read is made
		words := tx.Bucket([]byte("words_read"))
		var keys [][]byte
		_ = words.ForEach(func(k, _ []byte) error { keys = append(keys, bytes.Clone(k)); return nil })
		for _, k := range keys {
			if err := words.Put(k, []byte("{")); err != nil {
				return err
			}
		}
		return nil
	})
	s = s.opened(path)
	for n := range 12 {
		w := care.WearerID(fmt.Sprintf("family%02d-wearer", n))
		_ = s.srv.DB.View(func(tx *store.Tx) error { _, err := tx.Chart().WordsRead(w); return err })
	}
	if err := errors.Join(s.srv.DB.Mark(), s.srv.DB.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

// moreOf adds what a household does not have of itself.
func moreOf(tx *store.Tx, h scene.Household) error {
	parent, device := care.PersonID(h.ID("parent")), care.DeviceID(h.ID("device"))
	return errors.Join(
		tx.Access().PutConsent(register.Consent{Person: parent, Device: device, Version: "1", At: tx.Now}),
		tx.Access().AddFamilyNews(register.FamilyNews{Family: care.FamilyID(h.ID("family")), Kind: register.NewDevice, Person: parent, Device: device, At: tx.Now}),
		tx.Register().SetSetting("of "+h.Mark, strings.Repeat("x", 60)),
	)
}

// colleague adds one of the staff with a browser and a passkey.
func colleague(tx *store.Tx, n int) error {
	p, d := care.PersonID(fmt.Sprintf("staff-%02d", n)), care.DeviceID(fmt.Sprintf("browser-%02d", n))
	return errors.Join(
		tx.Register().AddPerson(care.Person{ID: p, Name: "S", Role: care.Clinician}),
		tx.Register().AddDevice(care.Device{ID: d, Person: p, Created: tx.Now}),
		tx.Access().AddCredential("of "+string(p), register.Credential{Device: d, Created: tx.Now}),
		tx.Access().PutPasskey(register.Passkey{ID: "key", Person: p, Name: "K", Created: tx.Now, Credential: json.RawMessage(`{"id":"` + strings.Repeat("k", 80) + `"}`)}),
	)
}

// gets returns every route that reads, as the server describes them, with the ids of
// a wearer and their family in place of names.
func (s *site) gets(wearer, family string) (all []string) {
	s.t.Helper()
	described := decode[struct {
		Paths map[string]map[string]any
	}](s.t, s.says("GET", "/api/openapi.json", "", "", 200, ""))
	for path, methods := range described.Paths {
		if _, reads := methods["get"]; !reads || strings.Contains(path, "*") {
			continue
		}
		path = strings.NewReplacer("/wearers/{id}", "/wearers/"+wearer, "/families/{id}", "/families/"+family).Replace(path)
		if !strings.Contains(path, "{") {
			all = append(all, path)
		}
	}
	slices.Sort(all)
	return all
}

// answers asks routes as somebody and returns how each answers.
func (s *site) answers(who string, paths []string) map[string]int {
	out := map[string]int{}
	for _, path := range paths {
		status, raw := s.call("GET", path, who, "")
		out[path] = status
		if status >= 500 && !strings.Contains(raw, "cannot-read") && path != "/healthz" && path != "/status" {
			s.t.Errorf("GET %s as %s: %s", path, who, raw)
		}
	}
	return out
}

// One page of any bucket that the disk lost stops nobody who can still be told apart:
// no list of the console fails, whoever asks, for longer than until the next mark;
// severe pain is taken; and a member of staff comes in by a link and makes a passkey,
// as after [staff link], whatever let them in before. What is of one wearer or family
// whose own page is lost may say that it cannot be read.
func TestAPageOfAnyBucketStopsNobody(t *testing.T) {
	t.Parallel()
	path := fullPractice(t)
	s := newSite(t).opened(path)
	seats := map[string]care.DeviceID{"clinician": "dc", "desk": "dk", "admin": "da"}
	for who, d := range seats {
		s.confirmed(who, d)
	}
	seats["family"] = "d1"
	asked := map[string][]string{}
	for who := range seats {
		for route, status := range s.answers(who, s.gets("w1", "f1")) {
			if status == 200 {
				asked[who] = append(asked[who], route)
			}
		}
		if len(asked[who]) < 10 {
			t.Fatalf("%s may read %d routes only, so the test shows little", who, len(asked[who]))
		}
	}
	if err := s.srv.DB.Close(); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	beside, err := os.ReadFile(path + ".settings")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range pairs.Buckets {
		leaves, err := scene.Leaves(path, b.Name)
		if err != nil {
			t.Fatal(err)
		}
		if len(leaves) == 0 {
			t.Errorf("%s has no page of its own, so nothing is tried", b.Name)
			continue
		}
		t.Run(b.Name, func(t *testing.T) {
			t.Parallel()
			hurt := filepath.Join(t.TempDir(), "n.db")
			if err := errors.Join(os.WriteFile(hurt, raw, 0o600), ofTheFamily(leaves).Zero(hurt)); err != nil {
				t.Fatal(err)
			}
			db, err := store.Open(hurt, func() time.Time { return simNow })
			if b.Name == "meta" { // by which a file is known as one; what it held stands beside it
				if !store.IsUnreadable(err) {
					t.Errorf("opened without its settings: %v", err)
				}
				if err := os.WriteFile(hurt+".settings", beside, 0o600); err != nil {
					t.Fatal(err)
				}
				db, err = store.Open(hurt, func() time.Time { return simNow })
			}
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			db.NoSync(true)
			s := &site{t: t, srv: testServer(db)}
			s.serve()
			s.stopsNobody(b.Name, asked)
		})
	}
}

// ofTheFamily returns the page in which the site's own family or people stand, or the
// first.
func ofTheFamily(leaves []scene.Leaf) scene.Leaf {
	for _, l := range leaves {
		for _, k := range l.Keys {
			for _, own := range []string{"f1", "w1", "p1", "d1"} {
				if strings.HasPrefix(k, own) {
					return l
				}
			}
		}
	}
	return leaves[0]
}

// letIn are the buckets by which somebody is let in: who stood there needs a link.
var letIn = []string{"credentials", "devices", "people"}

// stopsNobody asks a practice that has lost a page of a bucket.
func (s *site) stopsNobody(bucket string, asked map[string][]string) {
	t := s.t
	// failing returns what does not answer, but what is of one wearer or family or says how
	// the server is.
	failing := func(who string, paths []string) (out []string) {
		for path, status := range s.answers(who, paths) {
			of := strings.Contains(path, "/wearers/") || strings.Contains(path, "/families/")
			if status != 200 && path != "/healthz" && path != "/status" && !of {
				out = append(out, path)
			}
		}
		return out
	}
	met := map[string][]string{}
	for _, who := range []string{"clinician", "desk", "admin", "family"} {
		met[who] = failing(who, asked[who]) // what they meet is mended
	}
	met["clinician"] = asked["clinician"] // all of it once more: that it is mended harms no other
	status, told := s.call("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","kind":"symptoms","body":{"left":{"pain":"severe"}}}`)))
	if status != 200 && bucket != "credentials" || status == 200 && !strings.Contains(told, `"accepted"`) && !strings.Contains(told, `"kept-aside"`) {
		t.Errorf("severe pain: %d %s", status, told)
	}
	if err := s.srv.DB.Mark(); err != nil { // as each minute
		t.Errorf("the mark: %v", err)
	}
	for _, who := range []string{"clinician", "desk", "admin"} {
		if status, _ := s.call("GET", "/api/clinic/me", who, ""); status != 200 && slices.Contains(letIn, bucket) {
			continue
		}
		if still := failing(who, met[who]); len(still) > 0 {
			t.Errorf("as %s these do not answer: %q", who, still)
		}
	}
	if bucket != "people" {
		s.inByLink()
	}
	if len(s.srv.DB.Unreadable()) == 0 {
		t.Error("nobody is told of the damage")
	}
}

// inByLink signs a clinician in by a link of the command line and stores a passkey.
func (s *site) inByLink() {
	t := s.t
	err := s.srv.DB.Update(func(tx *store.Tx) error {
		return tx.Access().Invite("NEWCODE", register.Invitation{Person: "c1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)})
	})
	if err != nil {
		t.Fatalf("no link is made: %v", err)
	}
	req := httptest.NewRequest("POST", "/api/clinic/sign-in", strings.NewReader(`{"code":"NEWCODE"}`))
	req.Header.Set("Content-Type", "application/json")
	res := s.do(req)
	res.Body.Close()
	token := ""
	for _, c := range res.Cookies() {
		if c.Name == "nightkeep_staff" {
			token = c.Value
		}
	}
	s.says("GET", "/api/clinic/me", token, "", 200, `"c1"`)
	s.says("GET", "/api/clinic/alerts", token, "", 200, "")
	err = s.srv.DB.Update(func(tx *store.Tx) error {
		return tx.Access().PutPasskey(register.Passkey{ID: "new", Person: "c1", Created: tx.Now, Credential: json.RawMessage(`{}`)})
	})
	if err != nil {
		t.Errorf("no passkey is stored: %v", err)
	}
}
