package web_test

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"nightkeep/server/internal/store/scene"
)

// sends sends a report of severe pain by a family's phone, and returns its status.
func (s *site) sends(n int) int {
	status, _ := s.call("POST", "/api/sync", "family", syncBody(entryJSON(fmt.Sprintf(
		`{"id":"01900000-0000-7000-8000-9000000000%02d","dseq":%[1]d,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`, n))))
	return status
}

// troubled returns the status of /healthz, and whether a word stands among its troubles.
func (s *site) troubled(word string) (status int, is bool) {
	status, raw := s.call("GET", "/healthz", "", "")
	return status, slices.Contains(decode[struct{ Troubles []string }](s.t, raw).Troubles, word)
}

// A page that is lost while the server runs, without which no report is stored and
// nobody is let in, makes health fail: one of the list of buckets, with the small
// buckets in it, at once, and each at the latest when the first report was refused. It
// says so until a report is stored again.
func TestHealthFailsWhereReportsAreNotStored(t *testing.T) {
	t.Parallel()
	_, path := crowded(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	for _, bucket := range []string{"", "credentials"} {
		pages, err := scene.Leaves(path, bucket)
		if err != nil || len(pages) == 0 {
			t.Fatalf("%q has no pages: %v", bucket, err)
		}
		for i := range pages {
			name := fmt.Sprintf("%q page %d", bucket, i)
			at := t.TempDir() + "/n.db"
			if err := os.WriteFile(at, whole, 0o600); err != nil {
				t.Fatal(err)
			}
			s := (&site{t: t}).opened(at)
			if status, _ := s.troubled("reports"); status != 200 {
				t.Fatalf("%s: /healthz answers %d before the damage", name, status)
			}
			now, err := os.ReadFile(at) // opening it has moved pages
			beside := t.TempDir() + "/n.db"
			if err := errors.Join(err, os.WriteFile(beside, now, 0o600)); err != nil {
				t.Fatal(err)
			}
			pages, err := scene.Leaves(beside, bucket)
			if err != nil || i >= len(pages) || pages[i].Zero(at) != nil {
				t.Fatal("cannot be damaged", err)
			}
			if status, _ := s.troubled("reports"); bucket == "" && status != 503 {
				t.Errorf("%s: /healthz answers %d when nobody has sent anything", name, status)
			}
			if sent := s.sends(1); sent == 200 {
				continue
			}
			refused++
			if status, is := s.troubled("reports"); status != 503 || !is {
				t.Errorf("%s: a report is refused, and /healthz answers %d, reports %t", name, status, is)
			}
			if bucket != "credentials" {
				continue
			}
			if status, lost := s.troubled("unreadable"); status != 503 || !lost {
				t.Errorf("%s: lost credentials are not among what fails", name)
			}
		}
	}
	if refused < 2 {
		t.Errorf("%d reports were refused, so the test shows little", refused)
	}
}

// A fault of the server's own is told until a report is stored, and no longer; what a
// phone does wrong is none.
func TestReportsAreStoredAgain(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.planned()
	if status, raw := s.call("POST", "/api/sync", "family", strings.Repeat("x", 300<<10)); status != 413 {
		t.Fatalf("a body that is too large is answered with %d %.100s", status, raw)
	}
	if status, _ := s.call("POST", "/api/sync", "nobody", syncBody()); status != 401 {
		t.Fatalf("nobody's phone is answered with %d", status)
	}
	if status, is := s.troubled("reports"); status != 200 || is {
		t.Errorf("/healthz answers %d, reports %t, for what phones do wrong", status, is)
	}
	s.srv.Intake.Storing.Failed(simNow)
	s.call("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`)
	s.call("POST", "/api/sync", "family", syncBody(entryJSON(`{"wearer":"w2"}`)))
	if status, is := s.troubled("reports"); status != 503 || !is {
		t.Errorf("/healthz answers %d, reports %t, when nothing was stored", status, is)
	}
	if got := s.sends(1); got != 200 {
		t.Fatalf("a report is answered with %d", got)
	}
	if status, is := s.troubled("reports"); status != 200 || is {
		t.Errorf("/healthz answers %d, reports %t, when a report is stored again", status, is)
	}
}
