package web_test

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/valyala/fasthttp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// The fuzz targets send bytes to the real handlers. Whatever is sent, the
// answer is JSON and not a fault of ours, a refusal says why, and what was
// stored never stops a page from being read. Seeds are in testdata/fuzz. For a
// longer run:
//
//	go test ./server/internal/web -run '^$' -fuzz FuzzPlanRequest -fuzztime 5m -fuzzminimizetime 20x

// fuzzSite is a practice for one fuzz target.
type fuzzSite struct {
	handler fasthttp.RequestHandler
	clock   time.Time
}

func newFuzzSite(f *testing.F) *fuzzSite {
	f.Helper()
	s := &fuzzSite{clock: simNow}
	now := func() time.Time { return s.clock }
	db, err := store.Open(filepath.Join(f.TempDir(), "n.db"), now)
	if err != nil {
		f.Fatal(err)
	}
	db.NoSync(true)
	f.Cleanup(func() { db.Close() })
	err = db.Update(func(tx *store.Tx) error {
		return errors.Join(
			tx.Register().AddFamily(care.Family{ID: "f1", Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}),
			tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "W", Code: "W-1"}),
			tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "P", Role: care.Parent}),
			tx.Register().AddPerson(care.Person{ID: "c1", Name: "C", Role: care.Clinician}),
			tx.Register().AddDevice(care.Device{ID: "d1", Family: "f1", Person: "p1", Created: tx.Now, LastSeen: tx.Now}),
			tx.Register().AddDevice(care.Device{ID: "dc", Person: "c1", Created: tx.Now}),
			tx.Access().AddCredential("family", register.Credential{Device: "d1", Created: tx.Now}),
			tx.Access().AddCredential("clinician", register.Credential{Device: "dc", Created: tx.Now}))
	})
	if err != nil {
		f.Fatal(err)
	}
	srv := testServer(db)
	srv.Now = now
	s.handler = srv.App().Handler()
	return s
}

// call makes one request as everybody at once and checks the answer's form.
// Each call comes a minute after the last, so that no limit of tries is met.
func (s *fuzzSite) call(t *testing.T, method, path string, body []byte) int {
	t.Helper()
	s.clock = s.clock.Add(time.Minute)
	var ctx fasthttp.RequestCtx
	ctx.Request.Header.SetMethod(method)
	ctx.Request.SetRequestURI(path)
	ctx.Request.Header.SetContentType("application/json")
	ctx.Request.Header.SetCookie("nightkeep_device", "family")
	ctx.Request.Header.SetCookie("nightkeep_staff", "clinician")
	ctx.Request.SetBody(body)
	s.handler(&ctx)
	status, raw := ctx.Response.StatusCode(), slices.Clone(ctx.Response.Body())
	var said struct {
		Error struct{ Code, Message string }
	}
	if err := json.Unmarshal(raw, &said); err != nil {
		t.Errorf("%s %s answered what is not JSON: %v\n%s", method, path, err, raw)
	}
	if status >= 500 || status >= 400 && (said.Error.Code == "" || said.Error.Message == "") {
		t.Errorf("%s %s answered %d %s to\n%s", method, path, status, raw, body)
	}
	return status
}

// readable wants every page about the wearer to be there.
func (s *fuzzSite) readable(t *testing.T) {
	t.Helper()
	for _, path := range []string{
		"/api/family", "/api/clinic/wearers", "/api/clinic/alerts", "/api/clinic/wearers/w1/review",
		"/api/clinic/wearers/w1/plan", "/api/clinic/wearers/w1/visits",
	} {
		if status := s.call(t, "GET", path, nil); status != 200 {
			t.Errorf("GET %s answers %d now", path, status)
		}
	}
}

func fuzzRoute(f *testing.F, path string) {
	f.Helper()
	s := newFuzzSite(f)
	f.Fuzz(func(t *testing.T, body []byte) {
		if s.call(t, "POST", path, body) == 200 {
			s.readable(t)
		}
	})
}

func FuzzSyncRequest(f *testing.F)  { fuzzRoute(f, "/api/sync") }
func FuzzJoinRequest(f *testing.F)  { fuzzRoute(f, "/api/join") }
func FuzzPlanRequest(f *testing.F)  { fuzzRoute(f, "/api/clinic/wearers/w1/plan") }
func FuzzVisitRequest(f *testing.F) { fuzzRoute(f, "/api/clinic/wearers/w1/visits") }
