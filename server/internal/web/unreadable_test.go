package web_test

import (
	"archive/zip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/forge"
	"nightkeep/server/internal/store/log"
)

// damaged returns the site again with one stored record of a bucket replaced by
// bytes that no reader can read. n picks the record, in order of key.
func (s *site) damaged(bucket string, n int, change func(v []byte) []byte) *site {
	t := s.t
	t.Helper()
	path := s.srv.DB.Path()
	if err := s.srv.DB.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = b.Update(func(tx *bbolt.Tx) error {
		c := tx.Bucket([]byte(bucket)).Cursor()
		k, v := c.First()
		for range n {
			k, v = c.Next()
		}
		if k == nil {
			return fmt.Errorf("%s has no record %d", bucket, n)
		}
		return tx.Bucket([]byte(bucket)).Put(k, change(append([]byte{}, v...)))
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(b.Close(), forge.Reseal(path)); err != nil {
		t.Fatal(err)
	}
	if faults, err := store.CheckFile(path); err != nil || !strings.Contains(fmt.Sprint(faults), bucket) {
		t.Errorf("a check says %v %v, want the record of %s", faults, err, bucket)
	}
	return s.opened(path)
}

// opened is the site on a data file.
func (s *site) opened(path string) *site {
	t := s.t
	t.Helper()
	db, err := store.Open(path, func() time.Time { return simNow })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.NoSync(true)
	out := &site{t: t, srv: testServer(db)}
	out.serve()
	return out
}

func negativeCounter(v []byte) []byte {
	return []byte(strings.Replace(string(v), `"dseq":`, `"dseq":-`, 1))
}

func junk(v []byte) []byte { return append([]byte("\x00\xff{"), v...) }

// One record that nobody can read is set aside, whichever it is: lists, backup,
// export and the other family go on, severe pain of the same family is taken and
// told, and who looks after the server is told which record it is.
func TestOneUnreadableRecordStopsNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bucket string
		n      int
		change func([]byte) []byte
		listed bool // a list of the console comes by it
	}{
		{"entries", 0, negativeCounter, true}, // what a counter of 2^63 once became
		{"entries", 1, junk, true},
		{"entries", 2, func([]byte) []byte { return nil }, true},
		{"nights", 0, func([]byte) []byte { return []byte{1} }, true},
		{"received", 1, func([]byte) []byte { return []byte{9, 9} }, false},
		{"alerts", 0, junk, true},
		{"outbox", 0, junk, false},
		{"plans", 0, junk, true},
		{"visits", 0, junk, true},
		{"audit", 1, junk, true},
		{"devices", 4, junk, false}, // one of the staff
		{"people", 2, junk, false},  // of the desk
		{"wearers", 1, junk, true},  // of the other family
		{"families", 1, junk, true},
		{"followups", 0, junk, true},
	} {
		t.Run(fmt.Sprint(c.bucket, c.n), func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.planned()
			s.says("POST", "/api/clinic/wearers/w1/visits", "clinician", `{"date":"2026-03-20","kind":"one-week","state":"kept","note":"well"}`, 200, "")
			s.says("POST", "/api/clinic/follow-ups", "clinician", `{"wearer":"w1","rule":"silent","outcome":"reached","until":"2026-03-01"}`, 200, "")
			s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`),
				entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"symptoms","body":{"right":{"redness":"marked","pain":"persists"}}}`),
				entryJSON(`{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"kind":"note","body":{"text":"n"}}`)), 200, `"accepted"`)
			s = s.damaged(c.bucket, c.n, c.change)
			s.confirmed("clinician", "dc")
			s.confirmed("admin", "da")
			for _, path := range []string{
				"/api/clinic/alerts", "/api/clinic/today", "/api/clinic/wearers", "/api/clinic/wearers?filter=silent", "/api/clinic/recalls",
				"/api/clinic/export.csv", "/api/clinic/practice",
			} {
				s.says("GET", path, "clinician", "", 200, "")
			}
			s.says("GET", "/api/clinic/audit", "admin", "", 200, "")
			s.log()
			if bad := s.srv.DB.Unreadable(); c.listed && (len(bad) == 0 || bad[0].Bucket != c.bucket) {
				t.Errorf("set aside: %v; want a record of %s", bad, c.bucket)
			} else if c.listed {
				s.says("GET", "/api/clinic/settings", "admin", "", 200, "cannot be read and are set aside: "+c.bucket)
				if h := s.health(); h.Unreadable != len(bad) {
					t.Errorf("/healthz says %d records, want %d", h.Unreadable, len(bad))
				}
			}
			s.says("POST", "/api/sync", "family", syncBody(
				entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","dseq":4,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`)), 200, `"level":"emergency"`)
			if raw := s.says("GET", "/api/clinic/families/f1/export", "clinician", "", 200, "PK"); c.bucket == "wearers" {
				s.receivedIn(raw)
			}
			if c.bucket == "entries" { // whoever has it whole sends it again, and it is whole here
				s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`),
					entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"symptoms","body":{"right":{"redness":"marked","pain":"persists"}}}`),
					entryJSON(`{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"kind":"note","body":{"text":"n"}}`)), 200, "")
				if raw := s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, ""); strings.Contains(raw, `"unreadable"`) {
					t.Errorf("sent again, and still unreadable: %s", raw)
				}
			}
			file := filepath.Join(t.TempDir(), "b.db")
			if err := s.srv.DB.Backup(file); err != nil && !errors.As(err, &store.Lacking{}) {
				t.Errorf("no backup is made: %v", err)
			}
			if _, err := store.CheckFile(file); err != nil {
				t.Error(err)
			}
			s.closeAll()
			s.says("DELETE", "/api/clinic/families/f1", "admin", "", 200, "")
		})
	}
}

// A family of which one record cannot be read itself goes on: what its phone sends is
// stored or kept aside, a red report is told, its log is read, and people are told
// which record it is. Nothing of it is answered with "again later" for ever.
func TestAFamilyWithAnUnreadableRecordGoesOn(t *testing.T) {
	t.Parallel()
	for bucket, n := range map[string]int{"families": 0, "wearers": 0, "people": 3, "devices": 0} {
		t.Run(bucket, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.planned()
			s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`)), 200, `"accepted"`)
			s = s.damaged(bucket, n, junk)
			sore := syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000009","dseq":2,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`))
			raw := s.says("POST", "/api/sync", "family", sore, 200, "")
			if v := decode[intake.Reply](t, raw).Verdicts; len(v) != 1 || v[0].Verdict != "accepted" && v[0].Code != "kept-aside" {
				t.Errorf("severe pain: %s", raw)
			}
			s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"wearer":"w1"`)
			s.says("POST", "/api/sync", "family", sore, 200, "")
			s.says("POST", "/api/sync", "family", syncBody(), 200, `01900000-0000-7000-8000-000000000001`)
			s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000008","dseq":3,"kind":"morning"}`)), 200, "")
			if bad := s.srv.DB.Unreadable(); len(bad) == 0 || bad[0].Bucket != bucket {
				t.Errorf("set aside: %v; want a record of %s", bad, bucket)
			}
		})
	}
}

// receivedIn looks into a family's archive for what was received of it: how far its
// device was heard, and the ids of the log in order.
func (s *site) receivedIn(archive string) {
	s.t.Helper()
	z, err := zip.NewReader(strings.NewReader(archive), int64(len(archive)))
	if err != nil {
		s.t.Fatal(err)
	}
	f, err := z.Open("records/received.jsonl")
	if err != nil {
		s.t.Fatal(err)
	}
	raw, err := io.ReadAll(f)
	if err != nil || !strings.Contains(string(raw), `{"d1":4}`) || !strings.Contains(string(raw), `["01900000-0000-7000-8000-000000000001","01900000-0000-7000-8000-000000000002"`) {
		s.t.Errorf("received: %s, %v; want the counter of the device and the ids", raw, err)
	}
}

func (s *site) health() (h struct{ Unreadable int }) {
	_, raw := s.call("GET", "/healthz", "", "")
	return decode[struct{ Unreadable int }](s.t, raw)
}

// log reads the log from its beginning: numbers without a gap, and the checksum
// of their ids.
func (s *site) log() {
	s.t.Helper()
	raw := s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, "")
	reply := decode[intake.Reply](s.t, raw)
	sum := ""
	for i, change := range reply.Changes {
		var e struct {
			ID   string
			FSeq int
		}
		if err := json.Unmarshal(change, &e); err != nil || e.FSeq != i+1 {
			s.t.Errorf("place %d of the log holds %s (%v)", i+1, change, err)
		}
		sum = log.NextChecksum(sum, care.EntryID(e.ID))
	}
	if reply.Checksum != sum || len(reply.Changes) != 3 {
		s.t.Errorf("%d places with the checksum %s, want 3 with %s", len(reply.Changes), reply.Checksum, sum)
	}
}

// When the program fails on an entry, it is kept as it came, those beside it are
// taken, and a symptom report is told all the same: the phone need not send it for
// ever, and nobody waits for a sore eye. Here a night's record names the wrong
// family, on which every entry of that night fails.
func TestWhatTheServerFailsOnIsKeptAsideAndTold(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`)), 200, `"accepted"`)
	s = s.damaged("nights", 0, func(v []byte) []byte { return []byte(strings.Replace(string(v), "f1", "f2", 1)) })
	raw := s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`),
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"night":"2026-03-27","kind":"note","body":{"text":"n"}}`)), 200, "")
	reply := decode[intake.Reply](t, raw)
	if got := reply.Verdicts; len(got) != 2 || got[0].Verdict != "held" || got[0].Code != "kept-aside" || got[1].Verdict != "accepted" {
		t.Errorf("verdicts %+v, want the first kept aside and the second accepted", got)
	}
	if len(reply.Alerts) != 1 || reply.Alerts[0].Level != "emergency" || reply.Watermark != 3 {
		t.Errorf("alerts %+v and watermark %d, want one emergency, and 3", reply.Alerts, reply.Watermark)
	}
	if n, err := s.srv.Intake.ReadHeld(); err != nil || n != 0 {
		t.Errorf("the next start takes in %d, %v; want it to go on without", n, err)
	}
}

// An ordinary entry that the server fails on is kept aside as it came, and is no report:
// it rings nobody and stops no eye.
func TestAnOrdinaryEntryKeptAsideRingsNobody(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`)), 200, `"accepted"`)
	s = s.damaged("nights", 0, func(v []byte) []byte { return []byte(strings.Replace(string(v), "f1", "f2", 1)) })
	raw := s.says("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"note","body":{"text":"an ordinary note"}}`)), 200, `"kept-aside"`)
	if reply := decode[intake.Reply](t, raw); len(reply.Alerts) != 0 || reply.Verdicts[0].Verdict != "held" {
		t.Errorf("alerts %+v, verdict %+v; want it held and no alert", reply.Alerts, reply.Verdicts[0])
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		if w := intake.WearNow(tx, "w1"); w.Right.State != care.None || w.Left.State != care.None {
			t.Errorf("wear %+v, want nothing that stops it", w)
		}
		if held := tx.Log().AllHeld(); len(held) != 1 || !strings.Contains(string(tx.Log().HeldRaw("f1", "01900000-0000-7000-8000-000000000002")), "an ordinary note") {
			t.Errorf("%d are held, want the note as it came", len(held))
		}
		return nil
	})
}

// Kept aside means kept: two entries of a later schema with one id, and every
// entry whose id was taken by another, also when they come in one request.
func TestEveryEntryOfOneIDIsKept(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	text := func(id, v, text string) string {
		return entryJSON(`{"id":"01900000-0000-7000-8000-00000000000` + id + `","kind":"note","v":` + v + `,"body":{"text":"` + text + `"}}`)
	}
	s.says("POST", "/api/sync", "family", syncBody(text("1", "1", "stored"), text("1", "1", "taken-a"), text("1", "1", "taken-b"), text("1", "1", "taken-c"),
		text("2", "9", "held-a"), text("2", "9", "held-b"), text("2", "9", "held-c"), text("2", "9", "held-c")), 200, "")
	s.confirmed("clinician", "dc")
	raw := s.says("GET", "/api/clinic/families/f1/export", "clinician", "", 200, "PK")
	z, err := zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	kept := ""
	for _, name := range []string{"records/entries.jsonl", "records/held.jsonl", "records/conflicts.jsonl"} {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		lines, err := io.ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		kept += string(lines)
	}
	for _, want := range []string{"stored", "taken-a", "taken-b", "taken-c", "held-a", "held-b", "held-c"} {
		if n := strings.Count(kept, `"`+want+`"`); n != 1 {
			t.Errorf("%s is kept %d times, want once", want, n)
		}
	}
}

// A data file put back by hand, as with a snapshot of the machine, says nothing of
// itself. Phones do: what they were told is held against the log, and where it is
// not known the family reads its log anew and offers again, also when another
// phone has meanwhile written to the old file up to the same number.
func TestFilePutBackByHand(t *testing.T) {
	t.Parallel()
	for _, regrown := range []bool{false, true} {
		s := newSite(t)
		s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{}`)), 200, `"accepted"`)
		path := s.srv.DB.Path()
		if err := s.srv.DB.Close(); err != nil {
			t.Fatal(err)
		}
		old, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s = s.opened(path)
		var entries []string
		for i := range 20 {
			entries = append(entries, entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000001%02d","dseq":%d,"kind":"note","body":{"text":"n%d"}}`, i, i+2, i)))
		}
		told := decode[intake.Reply](t, s.says("POST", "/api/sync", "family", syncBody(entries...), 200, `"accepted"`))
		if err := s.srv.DB.Close(); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, old, 0o600); err != nil {
			t.Fatal(err)
		}
		s = s.opened(path)
		if regrown {
			s.update(func(tx *store.Tx) error {
				for i := range 20 {
					e, err := care.DecodeEntry([]byte(entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000003%02d","dseq":%d,"device":"d7"}`, i, i+2))))
					if err != nil {
						return err
					}
					if _, err := tx.Log().Append("f1", &e); err != nil {
						return err
					}
				}
				return nil
			})
		}
		asked := fmt.Sprintf(`{"epoch":%q,"cursor":%d,"entries":[],"sum":%q}`, told.Epoch, told.Cursor, told.Checksum)
		again := decode[intake.Reply](t, s.says("POST", "/api/sync", "family", asked, 200, ""))
		if again.Epoch == told.Epoch {
			t.Fatalf("regrown %v: the phone is not told that the log is another: %+v", regrown, again)
		}
		s.toldOfOlderFile(map[bool]int{false: 20, true: 1}[regrown], 1)
		if len(again.Changes) == 0 || again.Changes[0] == nil {
			t.Errorf("regrown %v: the log is not read from its beginning", regrown)
		}
		body := strings.Replace(syncBody(entries...), `"epoch":""`, fmt.Sprintf(`"epoch":%q`, again.Epoch), 1)
		offered := decode[intake.Reply](t, s.says("POST", "/api/sync", "family", body, 200, ""))
		for _, v := range offered.Verdicts {
			if v.Verdict != "accepted" {
				t.Errorf("regrown %v: %+v, want it to come back", regrown, v)
			}
		}
		settled := decode[intake.Reply](t, s.says("POST", "/api/sync", "family",
			fmt.Sprintf(`{"epoch":%q,"cursor":%d,"entries":[],"sum":%q}`, offered.Epoch, offered.Cursor, offered.Checksum), 200, ""))
		if settled.Epoch != again.Epoch {
			t.Errorf("regrown %v: the log gets one more new life", regrown)
		}
		lie := fmt.Sprintf(`{"epoch":%q,"cursor":1,"entries":[],"sum":"0000000000000000"}`, settled.Epoch)
		s.says("POST", "/api/sync", "family", lie, 200, "")
		s.says("GET", "/api/clinic/settings", "clinician", "", 200, "(families: 1;") // however often one says so
		s.confirmed("admin", "da")
		s.says("POST", "/api/clinic/restored", "admin", "", 200, "")
		s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":false`)
		// Nor does one phone, which may say what it likes, bring it about a second time; its
		// log gets one more life in an hour at the most.
		s.says("POST", "/api/sync", "family", lie, 200, fmt.Sprintf(`"epoch":%q`, settled.Epoch))
		s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":false`)
		now := simNow.Add(2 * time.Hour)
		s.srv.Now = func() time.Time { return now }
		s.update(func(tx *store.Tx) error { tx.Now = now; return tx.FoundOlder("f1", "p1", "", 99) })
		if next := decode[intake.Reply](t, s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, "")); next.Epoch == settled.Epoch {
			t.Errorf("regrown %v: two hours later the log gets no new life", regrown)
		}
		_ = s.srv.DB.View(func(tx *store.Tx) error {
			var lacks store.Lacks
			if err := tx.Register().Setting(store.LacksSetting, &lacks); err != nil || !lacks.At.IsZero() {
				t.Errorf("regrown %v: told a second time: %+v, %v", regrown, lacks, err)
			}
			return nil
		})
	}
}

// toldOfOlderFile asks whether people are told that an older file was put back, until
// an administrator has seen to it: machines, whoever looks after the server, and
// everybody of the practice.
func (s *site) toldOfOlderFile(entries, families int) {
	s.t.Helper()
	s.says("GET", "/healthz", "", "", 200, `"restored"`)
	s.says("GET", "/status", "", "", 200, "an older file was put back")
	s.says("GET", "/api/clinic/settings", "clinician", "", 200,
		fmt.Sprintf("phones say that the data file is older than what they were told (families: %d; entries that were not in it: %d or more)", families, entries))
	s.says("GET", "/api/clinic/audit", "admin", "", 200, `"lacks":true`)
	if !s.audited("p1", "found the data file older than a phone was told", "f1") {
		s.t.Error("the audit log does not say whose phone noticed it")
	}
}

// The file beside the data file knows of a later one too, before any phone asks.
func TestMarkBesideTheFileTellsAnOlderOne(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := s.srv.DB.Path()
	mark := func() {
		t.Helper()
		if err := s.srv.DB.Mark(); err != nil {
			t.Fatal(err)
		}
	}
	back := func() bool {
		t.Helper()
		old, err := s.srv.DB.WentBack()
		if err != nil {
			t.Fatal(err)
		}
		return old
	}
	mark()
	if back() {
		t.Error("the same file counts as an older one")
	}
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := s.srv.DB.Backup(copied); err != nil {
		t.Fatal(err)
	}
	mark()
	if err := s.srv.DB.Close(); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	s = s.opened(path)
	epoch := func() (e string) {
		_ = s.srv.DB.View(func(tx *store.Tx) error { e, _ = tx.Log().Epoch(); return nil })
		return e
	}
	before := epoch()
	if !back() || epoch() == before {
		t.Error("an older file is taken for the one that stood here")
	}
	if back() {
		t.Error("it is noticed a second time")
	}
}
