package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// asks sends what a phone asks for that was told an epoch.
func (s *site) asks(epoch string, entries ...string) intake.Reply {
	s.t.Helper()
	body := strings.Replace(syncBody(entries...), `"epoch":""`, fmt.Sprintf(`"epoch":%q`, epoch), 1)
	return decode[intake.Reply](s.t, s.says("POST", "/api/sync", "family", body, 200, ""))
}

// stopped closes the data file and returns its bytes.
func (s *site) stopped() []byte {
	s.t.Helper()
	path := s.srv.DB.Path()
	if err := s.srv.DB.Close(); err != nil {
		s.t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		s.t.Fatal(err)
	}
	return raw
}

// begun opens a file that stands at a path, as a start does.
func (s *site) begun(path string, raw []byte) *site {
	s.t.Helper()
	if raw != nil {
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			s.t.Fatal(err)
		}
	}
	next := s.opened(path)
	if back, err := next.srv.DB.WentBack(); back || err != nil {
		s.t.Fatalf("the mark tells an older file: %v, %v", back, err)
	}
	return next
}

// A file from before the last restore, put back by hand with the mark of that time or
// none, is told by the epoch that phones were given since: nobody but the practice's
// own file can have named it. One that a phone makes up, or one of before, says nothing.
// Either way the phone reads the log anew and offers again, and nothing rings twice.
func TestALaterEpochTellsAnOlderFile(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := s.srv.DB.Path()
	s = s.begun(path, s.stopped())
	first := s.asks("", entryJSON(`{}`)).Epoch
	backup := filepath.Join(t.TempDir(), "backup.db")
	if err := s.srv.DB.Backup(backup); err != nil {
		t.Fatal(err)
	}
	old := s.stopped()
	if _, err := store.Restore(backup, path, simNow); err != nil {
		t.Fatal(err)
	}
	s = s.begun(path, nil)
	report := severe(`"id":"01900000-0000-7000-8000-000000000002","dseq":2`)
	second := s.asks(first, report)
	if second.Epoch == first || second.Verdicts[0].Verdict != "accepted" || len(second.Alerts) != 1 {
		t.Fatalf("after the restore: %+v", second)
	}
	s.stopped()
	if err := os.Remove(path + ".mark"); err != nil {
		t.Fatal(err)
	}
	s = s.begun(path, old)

	made := second.Epoch[:strings.LastIndexByte(second.Epoch, '-')] + "-" + strings.Repeat("0", 32)
	for _, epoch := range []string{made, "9999999999999-X-0", "of another practice", "2-2", "-", "." + second.Epoch, first + "." + second.Epoch} {
		if got := s.asks(epoch); got.Epoch != first || len(got.Changes) != 1 || got.Cursor != 1 {
			t.Errorf("an epoch made up, %q: %+v, want the log from its beginning under the old epoch", epoch, got)
		}
	}
	s.says("GET", "/healthz", "", "", 200, `"troubles":["backup"]`) // none was made

	again := s.asks(second.Epoch, report)
	if again.Epoch == first || again.Epoch == second.Epoch || again.Verdicts[0].Verdict != "accepted" || len(again.Changes) != 2 {
		t.Errorf("an epoch of later than the file: %+v, want a new one, the log from its beginning, and the report back", again)
	}
	s.says("GET", "/healthz", "", "", 503, `"restored"`) // nobody knows which alerts were open
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"blind":true`)
	s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":true`)
	if !s.audited("p1", "found the data file older than a phone was told", "f1") {
		t.Error("the audit log does not say whose phone noticed it")
	}
	ring := s.live()
	for _, epoch := range []string{first, second.Epoch, made, again.Epoch} {
		if got := s.asks(epoch, report); got.Epoch != again.Epoch || got.Verdicts[0].Verdict != "duplicate" || len(got.Alerts) != 1 {
			t.Errorf("offered again under %q: %+v", epoch, got)
		}
	}
	if now := s.live(); now.ID != ring.ID {
		t.Errorf("the report rings again: alert %s beside %s", now.ID, ring.ID)
	}
	s.confirmed("admin", "da")
	s.says("POST", "/api/clinic/restored", "admin", "", 200, "")
	s.asks(second.Epoch, report)
	s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":false`)
}

// So it is with the life of one family's log: a file from before it began is told each
// time that it is put back, and as the mark beside it would tell it.
func TestALaterLifeTellsAnOlderFile(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := s.srv.DB.Path()
	s = s.begun(path, s.stopped())
	first := s.asks("", entryJSON(`{}`)).Epoch
	old := s.stopped()
	s = s.begun(path, nil)
	s.update(func(tx *store.Tx) error { return tx.Log().NewLife("f1", "") })
	told := s.asks(first).Epoch
	for range 2 {
		s.stopped()
		if err := os.Remove(path + ".mark"); err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		s = s.begun(path, old)
		if got := s.asks(first + ".1-made-up").Epoch; got != first {
			t.Errorf("a life made up: %q, want %q", got, first)
		}
		s.says("GET", "/healthz", "", "", 200, `"troubles":["backup"]`) // none was made
		next := s.asks(told).Epoch
		if next == first || next == told {
			t.Errorf("a life of later than the file's: %q after %q and %q", next, first, told)
		}
		s.says("GET", "/healthz", "", "", 503, `"restored"`)
		s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":true`)
		if got := s.asks(told).Epoch; got != next {
			t.Errorf("the same phone again: %q, want %q", got, next)
		}
		s.confirmed("admin", "da")
		s.says("POST", "/api/clinic/restored", "admin", "", 200, "")
		s.says("GET", "/healthz", "", "", 200, `"troubles":["backup"]`)
		told = next
	}
}
