package web_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/watch"
)

// update changes the site's store.
func (s *site) update(f func(*store.Tx) error) {
	s.t.Helper()
	if err := s.srv.DB.Update(f); err != nil {
		s.t.Fatal(err)
	}
}

// confirmed is the session of a member of staff who has just confirmed with a
// passkey.
func (s *site) confirmed(token string, device care.DeviceID) {
	s.t.Helper()
	s.update(func(tx *store.Tx) error {
		return tx.Access().AddCredential(token, register.Credential{Device: device, Created: tx.Now, Expires: tx.Now.Add(time.Hour), Seen: tx.Now, Rechecked: tx.Now})
	})
}

func decode[T any](t *testing.T, raw string) (v T) {
	t.Helper()
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		t.Fatalf("%v: %s", err, raw)
	}
	return v
}

// says calls a route and checks the status and a word of the answer.
func (s *site) says(method, path, token, body string, status int, word string) string {
	s.t.Helper()
	got, raw := s.call(method, path, token, body)
	if got != status || !strings.Contains(raw, word) {
		s.t.Errorf("%s %s as %s: got %d %s; want %d with %q", method, path, token, got, firstLine(raw), status, word)
	}
	return raw
}

// teens adds a second person and device to the family, and another family's.
func (s *site) teens() {
	s.t.Helper()
	s.update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "t1", Family: "f1", Name: "T", Role: care.Teen, Wearer: "w1"}),
			tx.Register().AddDevice(care.Device{ID: "dt", Family: "f1", Person: "t1", Name: "T's", Created: tx.Now}),
			tx.Access().AddCredential("teen", register.Credential{Device: "dt", Created: tx.Now}),
			tx.Register().AddPerson(care.Person{ID: "p2", Family: "f2", Name: "Q", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "d2", Family: "f2", Person: "p2", Created: tx.Now}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// A family sees its own devices that are in use, may take them out of use, and
// nobody else's.
func TestFamilyKeepsItsDevices(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	type list struct {
		Devices []struct {
			ID      string `json:"id"`
			This    bool   `json:"this"`
			MayDrop bool   `json:"may_drop"`
		} `json:"devices"`
	}
	got := decode[list](t, s.says("GET", "/api/devices", "teen", "", 200, "")).Devices
	if len(got) != 2 || got[0].ID != "d1" || got[0].MayDrop || got[1].ID != "dt" || !got[1].This || !got[1].MayDrop {
		t.Errorf("the teen sees %+v; want the parent's device, not to be touched, and their own", got)
	}
	s.says("DELETE", "/api/devices/d1", "teen", "", 403, "not-allowed")
	s.says("DELETE", "/api/devices/d2", "family", "", 404, "no-such-device")
	s.says("DELETE", "/api/devices/dc", "family", "", 404, "no-such-device") // the clinic's
	s.says("DELETE", "/api/devices/dt", "family", "", 200, "")
	s.says("GET", "/api/family", "teen", "", 401, "no-credential")
	if got := decode[list](t, s.says("GET", "/api/devices", "family", "", 200, "")).Devices; len(got) != 1 {
		t.Errorf("%d devices left, want 1", len(got))
	}
}

// The first device invites a second one for the same person: once, for 15
// minutes, 5 times an hour.
func TestSecondDevice(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	inv := decode[struct {
		Code    string    `json:"code"`
		URL     string    `json:"url"`
		Expires time.Time `json:"expires"`
	}](t, s.says("POST", "/api/devices/invitation", "family", "{}", 200, "clinic.example/join#"))
	if want := simNow.Add(15 * time.Minute); !inv.Expires.Equal(want) {
		t.Errorf("expires %s, want %s", inv.Expires, want)
	}
	s.says("POST", "/api/join", "", `{"code":"`+inv.Code+`","device_name":"Tablet","consent":"2"}`, 200, `"person":"p1"`)
	s.says("POST", "/api/join", "", `{"code":"`+inv.Code+`","device_name":"Tablet","consent":"2"}`, 422, "bad-invitation")
	for range 4 {
		s.says("POST", "/api/devices/invitation", "family", "{}", 200, "")
	}
	s.says("POST", "/api/devices/invitation", "family", "{}", 429, "too-many-invitations")
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		if given, err := tx.Access().Consents("p1"); err != nil || len(given) != 1 || given[0].Version != "2" {
			t.Errorf("consents %+v, %v; want the one given on joining", given, err)
		}
		return nil
	})
}

// The language of the phone that joins is the family's until the practice has asked
// them; a later phone and a word that is no language change nothing.
func TestALanguageOfThePhoneIsKnown(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	speaks := func(want string) {
		t.Helper()
		s.says("GET", "/api/clinic/families/f1", "clinician", "", 200, `"language":"`+want+`"`)
	}
	if err := s.srv.DB.Update(func(tx *store.Tx) error {
		return tx.Register().ChangeFamily("f1", func(f *care.Family) { f.Language = "" })
	}); err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct{ says, want string }{{"xx-invented", ""}, {"zh-Hant", "zh-Hant"}, {"es", "zh-Hant"}} {
		code := decode[struct{ Code string }](t, s.says("POST", "/api/devices/invitation", "family", "{}", 200, "")).Code
		s.says("POST", "/api/join", "", `{"code":"`+code+`","device_name":"Phone","consent":"2","language":"`+step.says+`"}`, 200, `"person":"p1"`)
		if step.want != "" {
			speaks(step.want)
		}
	}
}

// An invitation is seen and withdrawn by who made it, and by nobody else.
func TestInvitationsOfOnesOwn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	made := decode[struct{ Code string }](t, s.says("POST", "/api/clinic/families/f1/invitations", "clinician", `{"person":"p1"}`, 200, ""))
	list := decode[struct{ Invitations []struct{ ID string } }](t, s.says("GET", "/api/clinic/invitations", "clinician", "", 200, ""))
	if len(list.Invitations) != 1 {
		t.Fatalf("%d invitations, want 1", len(list.Invitations))
	}
	s.says("GET", "/api/clinic/invitations", "desk", "", 200, `"invitations":[]`)
	at := "/api/clinic/invitations/" + list.Invitations[0].ID
	s.says("DELETE", at, "desk", "", 404, "no-such-invitation")
	s.says("DELETE", at, "clinician", "", 200, "")
	s.says("POST", "/api/join", "", `{"code":"`+made.Code+`","device_name":"Phone","consent":"2"}`, 422, "bad-invitation")
	s.says("DELETE", at, "clinician", "", 404, "no-such-invitation")
}

// When the wearer is of age the record is theirs: parents are shut out unless
// named, the wearer may do what a parent may, and reminders follow.
func TestComingOfAge(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.update(func(tx *store.Tx) error {
		_, err := tx.Chart().PutPlan("w1", "c1", json.RawMessage(`{"remind_first":"teen","zone":"Europe/Lisbon"}`))
		return err
	})
	s.says("POST", "/api/reminders", "family", `{"wearer":"w1","remind_first":"teen","lock_screen_words":"plain"}`, 200, "")
	const at = "/api/clinic/families/f1/come-of-age"
	s.says("POST", at, "clinician", `{"person":"t1"}`, 409, "recheck-needed")
	s.confirmed("clinician", "dc")
	s.says("POST", at, "clinician", `{"person":"p1"}`, 422, "bad-person") // a parent is of age already
	s.says("POST", "/api/clinic/families/f2/come-of-age", "clinician", `{"person":"t1"}`, 422, "bad-person")
	s.says("POST", at, "clinician", `{"person":"t1","devices":["d1"]}`, 422, "bad-device") // a parent's
	s.update(func(tx *store.Tx) error {
		return errors.Join(tx.Register().AddDevice(care.Device{ID: "dold", Family: "f1", Person: "t1", Name: "Held by a parent", Created: tx.Now}),
			tx.Access().AddCredential("old", register.Credential{Device: "dold", Created: tx.Now}))
	})
	s.says("POST", at, "clinician", `{"person":"t1","devices":["dt"]}`, 200, "")
	s.says("GET", "/api/family", "family", "", 401, "no-credential")
	s.says("GET", "/api/family", "old", "", 401, "no-credential") // asked about, and not said to go on
	s.says("DELETE", "/api/devices/dt", "teen", "", 200, "")
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		p, err := tx.Chart().Plan("w1")
		if err != nil || p.Version != 2 || !strings.Contains(string(p.Plan), `"remind_first":"parent"`) {
			t.Errorf("plan %d %s, %v; want the next version, reminding the holder", p.Version, p.Plan, err)
		}
		if w, err := tx.Register().Wearer("w1"); err != nil || w.Reminders.RemindFirst != "" || w.Reminders.LockScreenWords != "plain" {
			t.Errorf("choices %+v, %v; want the words kept, and nobody named who is a teen no more", w.Reminders, err)
		}
		return nil
	})
}

// Handed over twice, a record stays as it was after the first time; who lost
// access is not listed, cannot be invited, and their codes let nobody in.
func TestComingOfAgeTwice(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "p9", Family: "f1", Name: "Kept", Role: care.Parent}),
			tx.Access().SetCalendar("secret", register.Calendar{Family: "f1", By: "p1", Created: tx.Now}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	const at = "/api/clinic/families/f1/come-of-age"
	s.confirmed("clinician", "dc")
	s.says("POST", at, "clinician", `{"person":"t1","keep":["p2"]}`, 422, "keep") // of another family
	first := s.says("POST", at, "clinician", `{"person":"t1","keep":["p9"],"devices":["dt"]}`, 200, `"Kept"`)
	if again := s.says("POST", at, "clinician", `{"person":"t1","keep":["p9"],"devices":["dt"]}`, 200, ""); again != first {
		t.Errorf("the second time it answers %s, the first time %s", again, first)
	}
	if strings.Contains(first, `"p1"`) {
		t.Errorf("the clinic still lists who lost access: %s", first)
	}
	if raw := s.says("GET", "/api/family", "teen", "", 200, `"p9"`); strings.Contains(raw, `"p1"`) {
		t.Errorf("the family still lists who lost access: %s", raw)
	}
	s.says("POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"2"}`, 422, "bad-invitation") // made for p1 before
	s.says("POST", "/api/clinic/families/f1/invitations", "clinician", `{"person":"p1"}`, 422, "bad-person")
	s.says("GET", "/calendar/secret.ics", "", "", 404, "no-such-calendar")
}

// A wearer who shared the record with others gets a family of their own: each
// side reads its own log anew, what a phone had sent about the other side has
// nothing to mend, and what it writes about them from now on is refused.
func TestComingOfAgeInASharedRecord(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.update(func(tx *store.Tx) error {
		return tx.Register().AddWearer(care.Wearer{ID: "w3", Family: "f1", Name: "X", Code: "W-3"})
	})
	mine := entryJSON(`{"id":"01900000-0000-7000-8000-000000000001","dseq":1,"kind":"note","body":{"text":"about w1"}}`)
	theirs := entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"wearer":"w3","kind":"note","body":{"text":"about w3"}}`)
	s.says("POST", "/api/sync", "family", syncBody(mine, theirs), 200, "accepted")
	type family struct {
		ID     care.FamilyID
		People []struct {
			ID   care.PersonID
			Name string
		}
		Wearers []struct{ ID care.WearerID }
	}
	const at = "/api/clinic/families/f1/come-of-age"
	s.confirmed("clinician", "dc")
	raw := s.says("POST", at, "clinician", `{"person":"t1","keep":["p1"],"devices":["dt"]}`, 200, "")
	own := decode[family](t, raw)
	if own.ID == "f1" || len(own.Wearers) != 1 || own.Wearers[0].ID != "w1" || len(own.People) != 2 {
		t.Fatalf("the new family is %s; want one of its own with w1, the holder, and who keeps access", raw)
	}
	if again := s.says("POST", at, "clinician", `{"person":"t1","keep":["p1"],"devices":["dt"]}`, 200, ""); again != raw {
		t.Errorf("the second time it answers %s, the first time %s", again, raw)
	}
	old := decode[family](t, s.says("GET", "/api/clinic/families/f1", "clinician", "", 200, ""))
	if len(old.Wearers) != 1 || old.Wearers[0].ID != "w3" || len(old.People) != 1 || old.People[0].ID != "p1" {
		t.Errorf("the old family has %+v; want w3 and p1", old)
	}
	for token, lacks := range map[string]string{"family": "w1", "teen": "w3"} {
		for _, answer := range []string{s.says("GET", "/api/family", token, "", 200, ""), s.says("POST", "/api/sync", token, `{"epoch":"","cursor":0,"entries":[]}`, 200, "about")} {
			if strings.Contains(answer, `"`+lacks+`"`) || strings.Contains(answer, "about "+lacks) {
				t.Errorf("%s still sees %s: %s", token, lacks, answer)
			}
		}
	}
	s.says("POST", "/api/sync", "family", syncBody(mine), 200, `"verdict":"duplicate"`) // offered again
	late := entryJSON(`{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"kind":"note","body":{"text":"late"}}`)
	s.says("POST", "/api/sync", "family", syncBody(late), 422, "foreign-wearer")
	kept := own.People[0].ID
	if kept == "t1" {
		kept = own.People[1].ID
	}
	code := decode[struct{ Code string }](t, s.says("POST", "/api/clinic/families/"+string(own.ID)+"/invitations", "clinician", `{"person":"`+string(kept)+`"}`, 200, "")).Code
	s.says("POST", "/api/join", "", `{"code":"`+code+`","device_name":"Phone","consent":"2"}`, 200, string(own.ID))
}

// The archive is given to a clinician who has just confirmed, and the audit log
// says so; after the erasure nothing is left to give.
func TestExportAndEraseNeedConfirmation(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"note","body":{"text":"left eye itched"}}`)), 200, "accepted")
	s.says("GET", "/api/clinic/families/f1/export", "clinician", "", 409, "recheck-needed")
	s.confirmed("clinician", "dc")
	raw := s.says("GET", "/api/clinic/families/f1/export", "clinician", "", 200, "PK")
	z, err := zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"index.html", "entries.jsonl", "records/entries.jsonl"} {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(f)
		if err != nil || !bytes.Contains(text, []byte("left eye itched")) {
			t.Errorf("%s does not hold the note, %v", name, err)
		}
	}
	s.says("GET", "/api/clinic/audit", "admin", "", 200, `"did":"exported family"`)
	s.says("DELETE", "/api/clinic/families/f1", "admin", "", 409, "recheck-needed")
	s.confirmed("admin", "da")
	s.says("DELETE", "/api/clinic/families/f1", "admin", "", 200, "")
	s.says("GET", "/api/family", "family", "", 401, "no-credential")
	s.says("GET", "/api/clinic/families/f1/export", "clinician", "", 404, "not-found")
}

// Whatever leaves the building as a file needs the passkey again, whichever
// route gives it; only what names no wearer does not.
func TestEveryFileNeedsConfirmation(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	free := map[string]bool{"/api/clinic/export-dictionary.csv": true}
	files := 0
	for _, r := range s.srv.App().GetRoutes(true) {
		path := strings.NewReplacer("families/:id", "families/f1", ":id", "w1").Replace(r.Path)
		if r.Method != "GET" || !strings.HasPrefix(path, "/api/") || free[path] {
			continue
		}
		res, raw := s.get(path, "clinician", "")
		if res.Header.Get("Content-Disposition") != "" {
			t.Errorf("%s gives a file to whoever is at the console", path)
		}
		if res.StatusCode == 409 && strings.Contains(raw, "recheck-needed") {
			files++
		}
	}
	if files != 5 { // one wearer, one family, the nights, the recalls, an adverse event
		t.Errorf("%d routes ask for the passkey before giving a file, want 5", files)
	}
}

// The audit log is read in pages, newest first, and gives no salts away.
func TestAuditLogInPages(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		for range 150 {
			if err := tx.Audit().Append("c1", "read review", "w1"); err != nil {
				return err
			}
		}
		return tx.Audit().Append("p1", "joined", "d1")
	})
	type page struct {
		Lines []struct {
			Seq       int
			Who, Name string
		}
		Older, Broken int
	}
	raw := s.says("GET", "/api/clinic/audit", "admin", "", 200, "")
	first := decode[page](t, raw)
	if len(first.Lines) != 100 || first.Lines[0].Seq != 151 || first.Lines[0].Name != "" || first.Lines[1].Name != "C" || first.Older != 52 || first.Broken != 0 {
		t.Errorf("first page: %d lines, %+v, older %d, broken %d", len(first.Lines), first.Lines[:2], first.Older, first.Broken)
	}
	if strings.Contains(raw, "salt") || strings.Contains(raw, "seal") {
		t.Error("the page gives salts or seals away")
	}
	last := decode[page](t, s.says("GET", "/api/clinic/audit?before=52", "admin", "", 200, ""))
	if len(last.Lines) != 51 || last.Lines[0].Seq != 51 || last.Older != 0 {
		t.Errorf("last page: %d lines from %d, older %d; want 51 from 51 and no more", len(last.Lines), last.Lines[0].Seq, last.Older)
	}
}

// Figures are for this machine while the server is not published, and for the
// token when there is one. Nobody else learns that there are any.
func TestMetricsAreNotForEverybody(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/metrics", "admin", "", 404, "no-such-page")
	s.srv.MetricsToken = "a-long-enough-token"
	ask := func(token string) (int, string) {
		req := httptest.NewRequest("GET", "/metrics", nil)
		req.Header.Set("Authorization", "Bearer "+token)
		res := s.do(req)
		defer res.Body.Close()
		raw, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res.StatusCode, string(raw)
	}
	if status, _ := ask("another"); status != 404 {
		t.Errorf("with a wrong token: %d, want 404", status)
	}
	s.says("GET", "/api/family", "family", "", 200, "")
	s.says("GET", "/api/clinic/families/f1", "family", "", 403, "")
	status, text := ask("a-long-enough-token")
	for _, want := range []string{
		"nightkeep_up 1\n", "nightkeep_alerts_open 0\n",
		`nightkeep_request_seconds_count{method="GET",route="/api/family",status="200"} 1` + "\n",
		`nightkeep_request_seconds_count{method="GET",route="/api/clinic/families/:id",status="403"} 1` + "\n",
	} {
		if status != 200 || !strings.Contains(text, want) {
			t.Errorf("%d, no %q in:\n%s", status, want, text)
		}
	}
}

// Whoever gets the program, or the pages it sends, can read the licences of what
// they are built with.
func TestNoticesAreServed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/notices", "", "", 200, "== github.com/gofiber/fiber/v2 ")
	s.says("GET", "/notices", "", "", 200, "== preact, in the pages")
}

// The status page says in words that all is well, or what is not.
func TestStatusPage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.srv.Facts = backedUp(0)
	s.update(func(tx *store.Tx) error { return tx.Register().SetReadBack(simNow) })
	s.says("GET", "/status", "", "", 200, "The server is well.")
	s.says("GET", "/healthz", "", "", 200, `"state":"well","troubles":[]`)
	s.srv.Facts = func() watch.Facts {
		f := backedUp(0)()
		f.LastTick, f.ClockStep = simNow.Add(-time.Hour), time.Hour
		return f
	}
	s.says("GET", "/status", "", "", 503, "Reminders stand still")
	s.says("GET", "/healthz", "", "", 503, `"state":"fails","troubles":["tick","clock"]`)
}

// Tries are counted by the address they come from. A forwarded address counts
// only when a named proxy says it, so nobody escapes the limit by inventing
// one.
func TestGuessesAreCountedByTheTrueAddress(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name      string
		trusted   []netip.Prefix
		forwarded func(i int) string
		want      []int // status of the 10th and the 11th try
	}{
		{"no proxy named, invented addresses", nil, func(i int) string { return "198.51.100." + string(rune('0'+i%10)) }, []int{422, 429}},
		{"proxy named, one client behind it", all, func(int) string { return "198.51.100.7" }, []int{422, 429}},
		{"proxy named, many clients behind it", all, func(i int) string { return "198.51.100." + string(rune('0'+i%10)) }, []int{422, 422}},
		{"proxy named, client writes addresses before its own", all, func(i int) string { return "198.51.100." + string(rune('0'+i%10)) + ", 203.0.113.9" }, []int{422, 429}},
		{"proxy named, ports written with the address", all, func(i int) string { return fmt.Sprintf("203.0.113.9:%d", 1000+i) }, []int{422, 429}},
		{"proxy named, its own line after the client's", all, func(i int) string { return fmt.Sprintf("198.51.100.%d\n203.0.113.9", i) }, []int{422, 429}},
		{"proxy named, no list", all, func(int) string { return "" }, []int{422, 429}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.srv.TrustedProxies = tc.trusted
			var got []int
			for i := range 11 {
				req := httptest.NewRequest("POST", "/api/join", strings.NewReader(`{"code":"guess","device_name":"x","consent":"2"}`))
				req.Header.Set("Content-Type", "application/json")
				for line := range strings.SplitSeq(tc.forwarded(i), "\n") {
					if line != "" {
						req.Header.Add("X-Forwarded-For", line)
					}
				}
				res := s.do(req)
				res.Body.Close()
				if i >= 9 {
					got = append(got, res.StatusCode)
				}
			}
			if d := cmp.Diff(tc.want, got); d != "" {
				t.Errorf("10th and 11th try (-want +got):\n%s", d)
			}
		})
	}
}

// all trusts the in-memory connection of the tests, whose address is 0.0.0.0.
var all = []netip.Prefix{netip.MustParsePrefix("0.0.0.0/32")}

// A window that nobody used for half an hour is locked; what it does by itself
// does not keep it open, what a person does there does.
func TestIdleSession(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	session := func(idle time.Duration) {
		s.update(func(tx *store.Tx) error {
			return tx.Access().AddCredential("clinician", register.Credential{Device: "dc", Created: tx.Now.Add(-2 * time.Hour), Expires: tx.Now.Add(time.Hour), Seen: tx.Now.Add(-idle)})
		})
	}
	session(31 * time.Minute)
	s.says("GET", "/api/clinic/me", "clinician", "", 401, "session-idle")
	s.says("GET", "/api/clinic/alerts", "clinician", "", 401, "session-idle")
	s.says("GET", "/api/clinic/waiting", "clinician", "", 200, `"open":0`)
	s.says("POST", "/api/receipts", "clinician", `{"tag":"x","event":"shown"}`, 200, "")
	session(29 * time.Minute)
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")
	seen := func() (at time.Time) {
		_ = s.srv.DB.View(func(tx *store.Tx) error {
			list, err := tx.Access().Sessions("c1")
			if err != nil || len(list) != 1 {
				t.Fatalf("%d sessions, %v", len(list), err)
			}
			at = list[0].Credential.Seen
			return nil
		})
		return at
	}
	if got, want := seen(), simNow.Add(-29*time.Minute); !got.Equal(want) {
		t.Errorf("seen %s after the page asked by itself, want %s", got, want)
	}
	asked := httptest.NewRequest("GET", "/api/clinic/me", nil)
	asked.AddCookie(&http.Cookie{Name: "nightkeep_staff", Value: "clinician"})
	asked.Header.Set("Nightkeep-By-Itself", "1")
	s.do(asked).Body.Close()
	if got, want := seen(), simNow.Add(-29*time.Minute); !got.Equal(want) {
		t.Errorf("seen %s after the page asked who is signed in, by itself, want %s", got, want)
	}
	s.says("GET", "/api/clinic/today", "clinician", "", 200, "")
	if got := seen(); !got.Equal(simNow) {
		t.Errorf("seen %s after a person's request, want %s", got, simNow)
	}
}

// The other staff cookie of a browser does not end a family's.
func TestSignOutEverywhereLeavesTheFamily(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/sign-out-everywhere", "desk", "{}", 200, "")
	s.says("GET", "/api/clinic/me", "desk", "", 401, "no-credential")
	s.says("GET", "/api/clinic/me", "clinician", "", 200, "")
	s.says("GET", "/api/family", "family", "", 200, "")
}

// A credential that was revoked or has run out opens nothing that needs one. A
// device whose session ended may still report that a message was shown.
func TestShutCredentialsOpenNothing(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	shut := 0
	for _, r := range s.srv.App().GetRoutes(true) {
		path := strings.NewReplacer(":id", "w1", ":secret", "x", ":who", "parent", "*", "x").Replace(r.Path)
		if nobody, _ := s.call(r.Method, path, "", "{}"); r.Method == "HEAD" || nobody != 401 {
			continue
		}
		for _, token := range []string{"revoked", "expired", "unknown"} {
			if token == "expired" && r.Path == "/api/receipts" {
				continue
			}
			shut++
			if status, body := s.call(r.Method, path, token, "{}"); status != 401 || !strings.Contains(body, "no-credential") {
				t.Errorf("%s %s with a token that is %s: %d %s", r.Method, path, token, status, firstLine(body))
			}
		}
	}
	if shut < 100 {
		t.Errorf("tried only %d", shut)
	}
}

// What belongs to another family answers as if it did not exist.
func TestForeignFamilyIsNotThere(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"wearer":"w2"}`)), 422, "foreign-wearer")
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"author":"p2"}`)), 422, "foreign-author")
	// Within a family a device writes as its own person; who is sore is heard all the same.
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"author":"t1","kind":"note","body":{"text":"a"}}`)), 422, "foreign-author")
	for kind, body := range map[string]string{
		"insertion": `{"at":"21:40","eyes":"both"}`, "removal": `{"at":"07:00","eyes":"both"}`, "care": `{"rub":true}`, "morning": `{"comfort":4}`,
		"evening-sight": `{"rating":5}`, "supply": `{"item":"case","action":"started","on":"2026-03-28"}`, "plan-ack": `{"plan":1}`,
	} {
		for _, claim := range []string{"", `,"judged":{"table":1,"right":"stop","left":"stop"}`} { // which only an earlier life of the log may have done
			s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"author":"t1","kind":"`+kind+`","body":`+body+claim+`}`)), 422, "foreign-author")
		}
	}
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"author":"t1","kind":"symptoms","body":{"left":{"pain":"severe"}}}`)), 200, `"accepted"`)
	s.says("DELETE", "/api/devices/d2", "family", "", 404, "no-such-device")
	for _, path := range []string{"/api/family", "/api/devices"} {
		raw := s.says("GET", path, "family", "", 200, "")
		for _, foreign := range []string{`"f2"`, `"w2"`, `"p2"`, `"d2"`} {
			if strings.Contains(raw, foreign) {
				t.Errorf("%s shows %s of another family", path, foreign)
			}
		}
	}
}

// Whoever opens something of a wearer's or family's stands in the audit log, by
// id; whoever asks for what there is none of does not.
func TestWhoLookedIsWrittenDown(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for _, tc := range []struct {
		path, token string
		who         care.PersonID
		did, what   string
	}{
		{"/api/clinic/wearers/w1/review", "clinician", "c1", "read review", "w1"},
		{"/api/clinic/wearers/w1/plan", "desk", "k1", "read plan", "w1"},
		{"/api/clinic/wearers/w2/visits", "clinician", "c1", "read visits", "w2"},
		{"/api/clinic/families/f2", "desk", "k1", "read family", "f2"},
	} {
		if s.audited(tc.who, tc.did, tc.what) {
			t.Fatalf("%q stands there before", tc.did)
		}
		s.says("GET", tc.path, tc.token, "", 200, "")
		if !s.audited(tc.who, tc.did, tc.what) {
			t.Errorf("GET %s is not in the audit log as %q by %s", tc.path, tc.did, tc.who)
		}
	}
	s.says("GET", "/api/clinic/families/nobody", "desk", "", 404, "")
	s.says("GET", "/api/clinic/wearers/nobody/visits", "desk", "", 404, "")
	if s.audited("k1", "read family", "nobody") || s.audited("k1", "read visits", "nobody") {
		t.Error("the audit log names what there is none of")
	}
}

// Of a follow-up the audit log tells the wearer and not the reason, which is a
// clinical word an administrator need not read; what is no word is refused, so
// that no name gets in there either.
func TestFollowUpIsAuditedWithoutItsReason(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/follow-ups"
	for _, bad := range []string{``, `Ann Smith`, `red\u0000eye`, strings.Repeat("a", 65)} {
		s.says("POST", at, "desk", `{"wearer":"w1","rule":"`+bad+`","outcome":"spoken-to"}`, 422, "bad-follow-up")
		s.says("POST", at, "desk", `{"wearer":"w1","rule":"pain-gone","outcome":"`+bad+`"}`, 422, "bad-follow-up")
	}
	s.says("POST", at, "desk", `{"wearer":"w1","rule":"pain-gone","outcome":"spoken-to"}`, 200, "")
	if raw := s.says("GET", "/api/clinic/audit", "admin", "", 200, "followed up"); strings.Contains(raw, "pain") || !s.audited("k1", "followed up", "w1") {
		t.Errorf("the audit log says %s", raw)
	}
}

// A practitioner who is a parent too, in one browser: what it shows of an alert of
// the practice counts for them as staff, whichever cookie comes first, and their
// device as family is heard as well.
func TestReceiptsOfAPractitionerWhoIsAParent(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"symptoms","body":{"right":{"pain":"severe"}}}`)), 200, "accepted")
	var id care.AlertID
	shown := func() (by care.PersonID) {
		_ = s.srv.DB.View(func(tx *store.Tx) error {
			live, err := tx.Duty().LiveAlerts()
			if err != nil || len(live) != 1 {
				t.Fatalf("%d alerts, %v", len(live), err)
			}
			id = live[0].ID
			for _, e := range live[0].History {
				if e.Kind == escalate.Shown {
					by = e.By
				}
			}
			return nil
		})
		return by
	}
	shown()
	s.whole("POST", "/api/receipts", "nightkeep_device=family; nightkeep_staff=clinician", `{"tag":"`+string(id)+`","event":"shown"}`)
	if by := shown(); by == "" || by == "p1" {
		t.Errorf("shown to %q, want the clinician", by)
	}
}

// HEAD answers as GET does, without the content (RFC 9110 section 9.3.2): for what
// is there, what is not, and what one may not see.
func TestHeadAnswersAsGet(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for _, path := range []string{"/", "/healthz", "/api/openapi.json", "/api/family", "/api/clinic/alerts", "/status", "/nowhere"} {
		for _, token := range []string{"", "family", "clinician"} {
			want, body := s.call("GET", path, token, "")
			if got, none := s.call("HEAD", path, token, ""); got != want || body == "" || none != "" {
				t.Errorf("HEAD %s as %q: %d and %d bytes, GET %d", path, token, got, len(none), want)
			}
		}
	}
}
