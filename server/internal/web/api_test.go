package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/valyala/fasthttp/fasthttputil"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web"
	"nightkeep/server/internal/web/transport"
)

// noPush stands where a push service would be; it takes https addresses only.
type noPush struct{}

func (noPush) PublicKey() string { return "key" }
func (noPush) Check(s register.Subscription) error {
	if !strings.HasPrefix(s.Endpoint, "https://") {
		return errors.New("want an https address")
	}
	return nil
}
func (noPush) Test(register.Subscription) error { return nil }

func testServer(db *store.DB) *web.Server {
	return &web.Server{DB: db, Site: transport.Site{
		Intake: &intake.Intake{DB: db, Quotas: intake.NewQuotas()}, Push: noPush{}, Now: func() time.Time { return simNow },
		Log: slog.New(slog.DiscardHandler), BaseURL: "http://clinic.example",
	}}
}

// site is one practice with one family, for tests of single routes.
type site struct {
	t   *testing.T
	srv *web.Server
	do  func(*http.Request) *http.Response
	now *time.Time // the clock of the store and of the server
}

func newSite(t *testing.T) *site { return siteAt(t, simNow) }

// siteAt is newSite at another time.
func siteAt(t *testing.T, now time.Time) *site {
	t.Helper()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.NoSync(true) // no test of a route cuts the power
	err = db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddFamily(care.Family{ID: "f1", Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}),
			tx.Register().AddFamily(care.Family{ID: "f2", Name: "G", Zone: "Europe/Lisbon", Created: tx.Now}),
			tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "W", Code: "W-1"}),
			tx.Register().AddWearer(care.Wearer{ID: "w2", Family: "f2", Name: "V", Code: "W-2"}),
			tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "P", Role: care.Parent}),
			tx.Register().AddPerson(care.Person{ID: "c1", Name: "C", Role: care.Clinician}),
			tx.Register().AddPerson(care.Person{ID: "k1", Name: "K", Role: care.Desk}),
			tx.Register().AddPerson(care.Person{ID: "a1", Name: "A", Role: care.Administrator}),
			tx.Register().AddDevice(care.Device{ID: "d1", Family: "f1", Person: "p1", Created: tx.Now, LastSeen: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dr", Family: "f1", Person: "p1", Created: tx.Now, Revoked: true}),
			tx.Register().AddDevice(care.Device{ID: "dc", Person: "c1", Created: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dk", Person: "k1", Created: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "da", Person: "a1", Created: tx.Now}),
			tx.Access().AddCredential("family", register.Credential{Device: "d1", Created: tx.Now}),
			tx.Access().AddCredential("revoked", register.Credential{Device: "dr", Created: tx.Now}),
			tx.Access().AddCredential("expired", register.Credential{Device: "dc", Created: tx.Now, Expires: tx.Now.Add(-time.Hour)}),
			tx.Access().AddCredential("clinician", register.Credential{Device: "dc", Created: tx.Now}),
			tx.Access().AddCredential("desk", register.Credential{Device: "dk", Created: tx.Now}),
			tx.Access().AddCredential("admin", register.Credential{Device: "da", Created: tx.Now}),
			tx.Access().Invite("CODE", register.Invitation{Person: "p1", By: "c1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
			tx.Access().Invite("OLD", register.Invitation{Person: "p1", By: "c1", Created: tx.Now, Expires: tx.Now.Add(-time.Hour)}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	s := &site{t: t, srv: testServer(db), now: &now}
	s.srv.Now = func() time.Time { return now }
	s.serve()
	return s
}

// serve lets the site's server answer.
func (s *site) serve() {
	t := s.t
	app := s.srv.App()
	ln := fasthttputil.NewInmemoryListener()
	go func() { _ = app.Listener(ln) }()
	t.Cleanup(func() { ln.Close() })
	client := &http.Client{Transport: &http.Transport{
		DisableKeepAlives: true,
		DialContext:       func(context.Context, string, string) (net.Conn, error) { return ln.Dial() },
	}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	s.do = func(r *http.Request) *http.Response {
		r.RequestURI, r.URL.Scheme, r.URL.Host = "", "http", "clinic.example"
		res, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
}

// call sends JSON with a token and returns status and body.
func (s *site) call(method, path, token, body string) (int, string) {
	s.t.Helper()
	req := httptest.NewRequest(method, path, bytes.NewBufferString(body))
	req.Header.Set("Content-Type", "application/json")
	for _, name := range []string{"nightkeep_device", "nightkeep_staff"} {
		req.AddCookie(&http.Cookie{Name: name, Value: token})
	}
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return res.StatusCode, string(raw)
}

func entryJSON(over string) string {
	e := map[string]any{
		"id": "01900000-0000-7000-8000-000000000001", "wearer": "w1", "device": "d1", "dseq": 1, "author": "p1",
		"kind": "insertion", "night": "2026-03-28", "wall": "2026-03-28T21:40:00", "zone": "Europe/Lisbon", "offset": 0,
		"hlc": "1774734000000-0000", "v": 1, "body": map[string]any{"at": "21:40", "eyes": "both"},
	}
	if err := json.Unmarshal([]byte(over), &e); err != nil {
		panic(err)
	}
	raw, err := json.Marshal(e)
	if err != nil {
		panic(err)
	}
	return string(raw)
}

func syncBody(entries ...string) string {
	return `{"epoch":"","cursor":0,"entries":[` + strings.Join(entries, ",") + `]}`
}

// What goes wrong is said in one shape, names the field, and stores nothing.
func TestBadInputIsRefusedInOneShape(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, method, path, token, body string
		status                          int
		code, field                     string
	}{
		{"unknown entry kind", "POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"dream"}`)), 422, "unknown-kind", "kind"},
		{"night in a wrong format", "POST", "/api/sync", "family", syncBody(entryJSON(`{"night":"28.3.2026"}`)), 422, "bad-entry", "night"},
		{"another family's wearer", "POST", "/api/sync", "family", syncBody(entryJSON(`{"wearer":"w2"}`)), 422, "foreign-wearer", "wearer"},
		{"another device's entry", "POST", "/api/sync", "family", syncBody(entryJSON(`{"device":"d9"}`)), 422, "foreign-device", "device"},
		{"not JSON", "POST", "/api/sync", "family", `{"entries":[`, 422, "bad-body", ""},
		{"oversized body", "POST", "/api/sync", "family", syncBody(strings.Repeat(" ", 300<<10)), 413, "body-too-large", ""},
		{"too many entries", "POST", "/api/sync", "family", syncBody(slices.Repeat([]string{entryJSON(`{}`)}, 51)...), 413, "too-many-entries", "entries"},
		{"missing cookie", "POST", "/api/sync", "", syncBody(entryJSON(`{}`)), 401, "no-credential", ""},
		{"revoked device", "POST", "/api/sync", "revoked", syncBody(entryJSON(`{}`)), 401, "no-credential", ""},
		{"expired session", "GET", "/api/clinic/me", "expired", "", 401, "no-credential", ""},
		{"staff on a family route", "GET", "/api/family", "clinician", "", 403, "not-allowed", ""},
		{"expired invitation", "POST", "/api/join", "", `{"code":"OLD","device_name":"Phone","consent":"2"}`, 422, "bad-invitation", "code"},
		{"invented invitation", "POST", "/api/join", "", `{"code":"nope","device_name":"Phone","consent":"2"}`, 422, "bad-invitation", "code"},
		{"join without a device name", "POST", "/api/join", "", `{"code":"CODE","device_name":" ","consent":"2"}`, 422, "bad-device-name", "device_name"},
		{"join without consent", "POST", "/api/join", "", `{"code":"CODE","device_name":"Phone"}`, 422, "bad-consent", "consent"},
		{"join with consent to other words", "POST", "/api/join", "", `{"code":"CODE","device_name":"Phone","consent":"0"}`, 422, "bad-consent", "consent"},
		{"unknown field", "POST", "/api/join", "", `{"kode":"x"}`, 422, "bad-body", ""},
		{"push to a local address", "POST", "/api/push/subscription", "family", `{"endpoint":"http://127.0.0.1/x","p256dh":"a","auth":"b"}`, 422, "bad-endpoint", "endpoint"},
		{"no such route", "GET", "/api/nothing", "", "", 404, "no-such-route", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			status, body := s.call(tc.method, tc.path, tc.token, tc.body)
			var got struct {
				Error map[string]string `json:"error"`
			}
			if err := json.Unmarshal([]byte(body), &got); err != nil {
				t.Fatalf("%d %s", status, body)
			}
			if status != tc.status || got.Error["code"] != tc.code || got.Error["field"] != tc.field || got.Error["message"] == "" || len(got.Error) != 3 {
				t.Errorf("got %d %v, want %d %s %q", status, got.Error, tc.status, tc.code, tc.field)
			}
			s.nothingStored()
		})
	}
}

func (s *site) nothingStored() {
	s.t.Helper()
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		n, _, err := tx.Log().Head("f1")
		if err != nil || n != 0 {
			s.t.Errorf("%d entries stored, %v", n, err)
		}
		return nil
	})
}

// An invitation works once; the second try is refused and makes no device.
func TestInvitationWorksOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	body := `{"code":"co-de ","device_name":"Phone","consent":"2"}`
	if status, raw := s.call("POST", "/api/join", "", body); status != 200 {
		t.Fatalf("first: %d %s", status, raw)
	}
	if status, raw := s.call("POST", "/api/join", "", body); status != 422 || !strings.Contains(raw, "bad-invitation") {
		t.Fatalf("second: %d %s", status, raw)
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		devices, err := tx.Register().Devices("f1")
		if err != nil || len(devices) != 3 {
			t.Errorf("%d devices, %v; want the two there were and one more", len(devices), err)
		}
		return nil
	})
}

// One bad entry never stops the others of its batch.
func TestVerdictsStandAlone(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	status, raw := s.call("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"kind":"dream","dseq":1,"id":"01900000-0000-7000-8000-000000000001"}`),
		entryJSON(`{"dseq":2,"id":"01900000-0000-7000-8000-000000000002"}`),
		entryJSON(`{"dseq":3,"id":"01900000-0000-7000-8000-000000000003","v":9,"kind":"dream","body":{"x":1}}`),
		entryJSON(`{"dseq":2,"id":"01900000-0000-7000-8000-000000000002"}`),
	))
	var r intake.Reply
	if err := json.Unmarshal([]byte(raw), &r); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	var got []string
	for _, v := range r.Verdicts {
		got = append(got, v.Verdict)
	}
	if d := cmp.Diff([]string{"refused", "accepted", "held", "duplicate"}, got); d != "" {
		t.Errorf("verdicts (-want +got):\n%s", d)
	}
	if r.Watermark != 3 || len(r.Changes) != 1 {
		t.Errorf("watermark %d, %d changes; want 3 (all had a verdict) and 1", r.Watermark, len(r.Changes))
	}
}

// A red eye in the morning that is corrected before the phone was online still
// reaches the clinic: a rule may raise concern, never lower it.
func TestConcernTakenBackInOneRequestIsRaised(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	morning := func(n int, more string) string {
		return entryJSON(fmt.Sprintf(`{"dseq":%d,"id":"01900000-0000-7000-8000-00000000000%d","kind":"morning","night":"2026-03-27","hlc":"177473400000%d-0000",%s}`, n, n, n, more))
	}
	status, raw := s.call("POST", "/api/sync", "family", syncBody(
		morning(1, `"body":{"redness":2,"comfort":4}`),
		morning(2, `"body":{"redness":0,"comfort":4},"supersedes":["01900000-0000-7000-8000-000000000001"]`),
	))
	var r intake.Reply
	if err := json.Unmarshal([]byte(raw), &r); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	if len(r.Alerts) != 1 || r.Alerts[0].Level != "urgent" {
		t.Errorf("alerts %+v, want one that is urgent", r.Alerts)
	}
}

func TestWritesFromOtherSitesAreRefused(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for header, value := range map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "https://evil.example"} {
		req := httptest.NewRequest("POST", "/api/sync", strings.NewReader(syncBody(entryJSON(`{}`))))
		req.Header.Set(header, value)
		req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: "family"})
		if res := s.do(req); res.StatusCode != 403 {
			t.Errorf("%s %s: got %d, want 403", header, value, res.StatusCode)
		}
	}
	s.nothingStored()
}

// Every route the router knows is in the OpenAPI description, and no other.
func TestOpenAPIDescribesEveryRoute(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	status, raw := s.call("GET", "/api/openapi.json", "", "")
	var doc struct {
		Paths map[string]map[string]any `json:"paths"`
	}
	if err := json.Unmarshal([]byte(raw), &doc); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	described := []string{}
	for path, ops := range doc.Paths {
		for method := range ops {
			described = append(described, strings.ToUpper(method)+" "+path)
		}
	}
	routed := []string{}
	for _, r := range s.srv.App().GetRoutes(true) {
		if r.Method == "HEAD" {
			continue // the router adds one to every GET
		}
		parts := strings.Split(r.Path, "/")
		for i, p := range parts {
			if name, ok := strings.CutPrefix(p, ":"); ok {
				parts[i] = "{" + name + "}"
			} else if p == "*" {
				parts[i] = "{path}"
			}
		}
		routed = append(routed, r.Method+" "+strings.Join(parts, "/"))
	}
	slices.Sort(described)
	slices.Sort(routed)
	if d := cmp.Diff(routed, described); d != "" || len(routed) < 20 {
		t.Errorf("router and description differ (-routed +described):\n%s", d)
	}
}

// The description that the JavaScript's types are made from is the one that is
// served. NIGHTKEEP_WRITE=1 writes it; then `npm run api` in pwa makes the types.
func TestTheKeptDescriptionIsTheServed(t *testing.T) {
	t.Parallel()
	_, raw := newSite(t).call("GET", "/api/openapi.json", "", "")
	var doc bytes.Buffer
	if err := json.Indent(&doc, []byte(raw), "", " "); err != nil {
		t.Fatal(err)
	}
	doc.WriteByte('\n')
	const file = "../../../pwa/api/openapi.json"
	if os.Getenv("NIGHTKEEP_WRITE") != "" {
		if err := os.WriteFile(file, doc.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(kept, doc.Bytes()) {
		t.Errorf("%s is not what the server answers (%v): run this test with NIGHTKEEP_WRITE=1, then `npm run api` in pwa", file, err)
	}
}

// The served description names each role of the practice once: the console's
// choices are typed by it, so that a new role shows where it is missing.
func TestTheDescriptionNamesEveryRole(t *testing.T) {
	t.Parallel()
	_, raw := newSite(t).call("GET", "/api/openapi.json", "", "")
	var doc struct {
		Components struct {
			Schemas map[string]struct {
				Properties map[string]struct{ Enum []care.Role }
			}
		}
	}
	if err := json.Unmarshal([]byte(raw), &doc); err != nil {
		t.Fatal(err)
	}
	got := doc.Components.Schemas["NewStaff"].Properties["role"].Enum
	if diff := cmp.Diff(care.StaffRoles, got); diff != "" {
		t.Errorf("roles of a new member of staff (-program +description):\n%s", diff)
	}
}

// Who may call what, written out by hand as the practice is told it: a family's
// device, a parent's or a teen's, a clinician, the desk, an administrator,
// nobody. A route missing here
// fails.
func TestAuthorisationTable(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	want := map[string]string{ // the callers let in, of "family clinician desk admin nobody"
		"GET /": "all", "GET /join": "all", "GET /clinic": "all", "GET /staff": "all", "GET /sw.js": "all", "GET /manifest.webmanifest": "all",
		"GET /icons/*": "all", "GET /v/*": "all", "GET /healthz": "all", "GET /api/openapi.json": "all", "POST /api/join": "all",
		"GET /api/family": "family", "POST /api/reminders": "family", "POST /api/sync": "family",
		"POST /api/push/subscription": "family clinician desk admin", "DELETE /api/push/subscription": "family clinician desk admin",
		"POST /api/push/test": "family clinician desk admin", "POST /api/receipts": "family clinician desk admin",
		"POST /api/clinic/sign-in": "all", "GET /api/clinic/me": "clinician desk admin", "POST /api/clinic/sign-out": "clinician desk admin",
		"GET /api/clinic/alerts": "clinician desk", "POST /api/clinic/alerts/:id/acknowledge": "clinician desk",
		"POST /api/clinic/alerts/:id/close": "clinician", "POST /api/clinic/alerts/:id/comment": "clinician desk",
		"POST /api/clinic/alerts/:id/call": "clinician desk", "POST /api/clinic/alerts/:id/reopen": "clinician desk", "GET /api/clinic/archive": "clinician desk",
		"POST /api/clinic/alerts/:id/hand-over": "clinician desk", "GET /api/clinic/today": "clinician desk",
		"POST /api/private": "family teen", "GET /api/clinic/wearers/:id/private": "clinician", "POST /api/clinic/wearers/:id/read": "clinician desk", "DELETE /api/clinic/wearers/:id/claims/:entry": "clinician",
		"GET /api/clinic/wearers/:id/wear": "clinician desk", "POST /api/clinic/wearers/:id/say": "clinician desk",
		"POST /api/clinic/follow-ups": "clinician desk", "GET /api/clinic/wearers": "clinician desk",
		"GET /api/clinic/wearers/:id/review": "clinician", "GET /api/clinic/wearers/:id/review/mark": "clinician", "GET /api/clinic/wearers/:id/plan": "clinician desk",
		"POST /api/clinic/wearers/:id/plan": "clinician", "GET /api/clinic/wearers/:id/visits": "clinician desk",
		"POST /api/clinic/wearers/:id/visits": "clinician desk", "POST /api/clinic/suitability": "clinician",
		"GET /api/clinic/wearers/:id/lenses": "clinician desk", "POST /api/clinic/wearers/:id/lenses": "clinician desk",
		"GET /api/clinic/wearers/:id/attachments": "clinician", "POST /api/clinic/wearers/:id/attachments": "clinician",
		"GET /api/clinic/wearers/:id/attachments/:attachment": "clinician", "DELETE /api/clinic/wearers/:id/attachments/:attachment": "clinician",
		"GET /api/clinic/wearers/:id/course": "clinician", "POST /api/clinic/wearers/:id/candidates": "clinician",
		"POST /api/clinic/wearers/:id/end": "clinician", "POST /api/clinic/wearers/:id/spectacles": "clinician",
		"POST /api/clinic/wearers/:id/go-on": "clinician", "POST /api/clinic/wearers/:id/start-over": "clinician",
		"POST /api/clinic/wearers/:id/events": "clinician", "GET /api/clinic/wearers/:id/events/:event/file": "clinician",
		"GET /api/clinic/practice": "clinician desk admin", "GET /api/clinic/rules": "clinician desk admin", "GET /api/clinic/safety": "clinician desk admin",
		"GET /api/clinic/old-phones": "clinician desk", "POST /api/clinic/old-phones": "clinician",
		"GET /api/clinic/families/:id": "clinician desk", "POST /api/clinic/families": "clinician desk",
		"PUT /api/clinic/families/:id": "clinician desk", "POST /api/clinic/families/:id/wearers": "clinician desk", "PUT /api/clinic/wearers/:id": "clinician desk", "DELETE /api/clinic/wearers/:id": "clinician desk",
		"POST /api/clinic/families/:id/people": "clinician desk", "PUT /api/clinic/families/:id/people/:person": "clinician desk", "DELETE /api/clinic/families/:id/people/:person": "clinician desk",
		"POST /api/clinic/families/:id/invitations": "clinician desk", "DELETE /api/clinic/devices/:id": "clinician desk",
		"POST /api/clinic/push/subscription": "clinician desk admin", "POST /api/clinic/push/test": "clinician desk admin",
		"GET /api/clinic/audit": "admin", "GET /api/clinic/export.csv": "clinician",
		"GET /demo/:who":        "none",
		"GET /calendar/:secret": "all", "GET /api/calendar": "family", "POST /api/calendar": "family", "DELETE /api/calendar": "family",
		"GET /api/clinic/calendar": "clinician desk", "POST /api/clinic/calendar": "clinician desk", "DELETE /api/clinic/calendar": "clinician desk",
		"GET /api/clinic/recalls": "clinician desk", "GET /api/clinic/recalls.csv": "clinician desk",
		"GET /api/clinic/wearers/:id/fhir": "clinician", "GET /api/clinic/export-dictionary.csv": "clinician desk admin",
		"GET /api/devices": "family", "PUT /api/devices/:id": "family", "POST /api/family/people": "family", "POST /api/reminders/mine": "family", "DELETE /api/devices/:id": "family", "POST /api/devices/invitation": "family", "POST /api/devices/again": "family",
		"POST /api/clinic/passkey/challenge": "all", "POST /api/clinic/passkey/sign-in": "all", "POST /api/clinic/passkey/confirm": "clinician desk admin",
		"POST /api/clinic/passkey/new": "clinician desk admin", "POST /api/clinic/passkeys": "clinician desk admin",
		"GET /api/clinic/passkeys": "clinician desk admin", "DELETE /api/clinic/passkeys/:id": "clinician desk admin",
		"PUT /api/clinic/language": "clinician desk admin", "GET /api/clinic/sessions": "clinician desk admin", "DELETE /api/clinic/sessions/:id": "clinician desk admin",
		"POST /api/clinic/sign-out-everywhere": "clinician desk admin", "GET /api/clinic/waiting": "clinician desk",
		"GET /api/clinic/staff": "admin", "POST /api/clinic/staff": "admin", "PUT /api/clinic/staff/:id": "admin", "POST /api/clinic/staff/:id/link": "admin", "POST /api/clinic/staff/:id/lost": "admin", "POST /api/clinic/staff/:id/mail": "admin", "POST /api/clinic/staff/:id/push": "admin", "POST /api/clinic/mail/arrived": "admin", "POST /api/clinic/restored": "admin", "DELETE /api/clinic/staff/:id": "admin",
		"POST /api/clinic/staff-changes/:id/confirm": "clinician desk admin", "DELETE /api/clinic/staff-changes/:id": "clinician desk admin",
		"GET /api/clinic/privacy": "clinician desk admin", "PUT /api/clinic/privacy": "admin", "GET /api/clinic/breaches": "clinician desk admin",
		"POST /api/clinic/breaches": "clinician desk admin", "POST /api/clinic/breaches/:id/lines": "clinician desk admin",
		"GET /api/family/copy": "family", "GET /api/family/readers": "family", "GET /api/consent": "all", "GET /api/contacts": "all", "POST /api/consent": "family", "DELETE /api/consent": "family", "PUT /api/clinic/families/:id/people/:person/authority": "clinician desk",
		"GET /api/clinic/invitations": "clinician desk", "DELETE /api/clinic/invitations/:id": "clinician desk",
		"POST /api/clinic/families/:id/come-of-age": "clinician", "GET /api/clinic/families/:id/export": "clinician",
		"POST /api/clinic/rules/approve": "clinician",
		"GET /api/clinic/drills":         "clinician desk admin", "POST /api/clinic/drills": "clinician desk admin", "POST /api/clinic/drills/phone": "clinician desk admin",
		"GET /api/clinic/settings": "clinician desk admin", "PUT /api/clinic/settings": "admin", "PUT /api/clinic/place": "admin", "GET /api/clinic/rehearsals": "admin", "POST /api/clinic/rehearsals": "admin",
		"GET /api/clinic/retention": "admin", "PUT /api/clinic/retention": "admin",
		"DELETE /api/clinic/audit": "admin", "DELETE /api/clinic/held": "admin",
		"DELETE /api/clinic/families/:id": "admin", "GET /api/clinic/families/:id/erasure": "admin", "GET /api/clinic/leaving": "admin", "GET /api/clinic/duties": "clinician desk", "POST /api/clinic/swaps": "clinician desk", "POST /api/clinic/swaps/:id/accept": "clinician desk", "DELETE /api/clinic/swaps/:id": "clinician desk", "POST /api/clinic/families/:id/put-back": "admin", "GET /status": "all", "GET /plain": "all", "GET /metrics": "all", "GET /notices": "all",
	}
	columns := map[care.Role]string{care.Parent: "family", care.Teen: "teen", care.Clinician: "clinician", care.Desk: "desk", care.Administrator: "admin"}
	for _, role := range care.Roles {
		if columns[role] == "" {
			t.Errorf("the role %s has no column here: say what it may call", role)
		}
	}
	for _, r := range s.srv.App().GetRoutes(true) {
		if r.Method == "HEAD" {
			continue
		}
		row := r.Method + " " + r.Path
		callers, known := want[row]
		if !known {
			t.Errorf("%s is not in the authorisation table", row)
			continue
		}
		path := strings.NewReplacer(":id", "nobody", ":who", "parent", "*", "x").Replace(r.Path)
		for _, who := range append(slices.Sorted(maps.Values(columns)), "") {
			one := newSite(t)
			one.teens()
			status, body := one.call(r.Method, path, who, `{}`)
			in := status != 401 && status != 403
			if strings.HasPrefix(r.Path, "/demo/") {
				in = status != 404
			}
			as := who
			if who == "teen" {
				as = "family" // what a teen may do with it is another question: see the tests of each route
			}
			wantIn := callers == "all" || as != "" && slices.Contains(strings.Fields(callers), as)
			if in != wantIn {
				t.Errorf("%s as %q: let in %v, want %v (%d %s)", row, who, in, wantIn, status, firstLine(body))
			}
		}
	}
}

func firstLine(s string) string { return fmt.Sprintf("%.80s", strings.TrimSpace(s)) }

// The desk makes, moves and cancels appointments; it neither says that a visit
// was kept nor touches what was found there (our division of the work).
func TestDeskBooksVisits(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:00","state":"booked","advice":"none","right":{"axial_mm":24}}`, 200, `"booked"`)
	if raw := s.says("GET", at, "desk", "", 200, `"2026-04-02"`); strings.Contains(raw, "24") || strings.Contains(raw, "none") {
		t.Errorf("the desk wrote findings: %s", raw)
	}
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-03","time":"11:00","state":"cancelled","rev":1}`, 200, `"cancelled"`)
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-03","state":"kept"}`, 403, "not-allowed")
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-03","state":"waived"}`, 403, "not-allowed")
	s.says("POST", at, "clinician", `{"id":"a","kind":"recall","date":"2026-03-27","state":"kept","rev":2,"right":{"axial_mm":24.5}}`, 200, "24.5")
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-03-27","state":"missed"}`, 403, "not-allowed")
	s.says("GET", at, "desk", "", 200, "24.5")
}

// Everybody at the practice sees that an invitation is open, whoever made it.
func TestOpenInvitationIsSeenByAll(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.says("GET", "/api/clinic/families/f1", "clinician", "", 200, `"invited_until":null`)
	s.says("POST", "/api/clinic/families/f1/invitations", "desk", `{"person":"t1"}`, 200, "code")
	if raw := s.says("GET", "/api/clinic/families/f1", "clinician", "", 200, "t1"); strings.Contains(raw, `"invited_until":null`) {
		t.Errorf("the clinician does not see the desk's invitation: %s", raw)
	}
}
