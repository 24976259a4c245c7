package web_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// The server is put back from a backup while the family's devices hold newer
// entries. After they have synced, every entry ever written is there, on the
// server and on every device, and every report has its alert. The devices
// meet the new life of the log over the same bad network. In two schedules of
// three one device never comes back: what it wrote after the backup is handed
// in by the others, as far as they ever had it.
func TestRestoreFromOlderBackup(t *testing.T) {
	t.Parallel()
	newer, saved := 0, 0
	for seed := range uint64(36) {
		w := newWorld(t)
		s := &schedule{world: w, t: t, seed: seed, rng: rand.New(rand.NewPCG(seed, 11)), written: map[care.EntryID]care.Entry{}}
		s.enrol()
		s.live(s.rng.IntN(25))
		backup := filepath.Join(t.TempDir(), "backup.db")
		if err := w.db.Backup(backup); err != nil {
			t.Fatal(err)
		}
		before := s.stored()
		s.live(5 + s.rng.IntN(25))
		if seed%2 == 0 {
			s.quiet() // everything was acknowledged, and the backup has none of it
		}
		newer += s.stored() - before
		w.restore(t, backup)
		if got := s.stored(); got < before { // and the reports of alerts that were open
			t.Errorf("seed %d: %d entries after the restore, want the backup's %d", seed, got, before)
		}
		if seed%3 > 0 {
			saved += s.lose()
		}
		s.live(s.rng.IntN(15))
		s.arrive()
		s.quiet()
		s.quiet() // the first rounds learn of the new life
		s.quiet()
		s.check()
		s.checkMarks()
		if faults, err := store.CheckFile(w.closed(t)); err != nil || len(faults) > 0 {
			t.Errorf("seed %d: the file is not sound: %v %v", seed, err, faults)
		}
		if t.Failed() {
			t.Fatalf("seed %d failed", seed)
		}
	}
	t.Logf("%d stored entries were newer than their backup", newer)
	t.Logf("%d of them by a device that was lost, and held by another", saved)
	if newer == 0 || saved == 0 {
		t.Error("no stored entry was newer than its backup, or none of a lost device: nothing was tested")
	}
}

// lose takes a device away for good, and with it what nobody else ever had. It
// returns how many entries of that device only other devices still hold.
func (s *schedule) lose() (saved int) {
	gone := s.devices[0]
	s.devices = s.devices[1:]
	held := map[care.EntryID]bool{}
	err := s.db.View(func(tx *store.Tx) error {
		page, err := tx.Log().Page(s.family, 0, 1000, 1<<30)
		for _, raw := range page.Entries {
			var e care.Entry
			err = errors.Join(err, json.Unmarshal(raw, &e))
			held[e.ID] = true
		}
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
	s.late = nil // nor does the network still hold anything
	for id := range gone.have {
		others := slices.ContainsFunc(s.devices, func(d *simDevice) bool { _, ok := d.have[id]; return ok })
		switch {
		case s.written[id].Device != gone.id || held[id]:
		case others:
			saved++
		default:
			delete(s.written, id)
		}
	}
	return saved
}

// checkMarks wants the mark of a device that handed an entry in on the entries
// of the lost device only: the others have sent their own since.
func (s *schedule) checkMarks() {
	alive := map[care.DeviceID]bool{}
	for _, d := range s.devices {
		alive[d.id] = true
	}
	err := s.db.View(func(tx *store.Tx) error {
		page, err := tx.Log().Page(s.family, 0, 1000, 1<<30)
		for _, raw := range page.Entries {
			var e care.Entry
			err = errors.Join(err, json.Unmarshal(raw, &e))
			if e.Via != "" && (alive[e.Device] || !alive[e.Via]) {
				s.t.Errorf("seed %d: entry %s of %s is marked as handed in by %s", s.seed, e.ID, e.Device, e.Via)
			}
		}
		return err
	})
	if err != nil {
		s.t.Error(err)
	}
}

// stored returns how many entries the server has of the family.
func (s *schedule) stored() int {
	var n uint64
	err := s.db.View(func(tx *store.Tx) (err error) { n, _, err = tx.Log().Head(s.family); return err })
	if err != nil {
		s.t.Fatal(err)
	}
	return int(n)
}

// restore puts the backup in place of the file, as the command does, and
// starts the handlers on it.
func (w *world) restore(t *testing.T, backup string) {
	t.Helper()
	path := w.closed(t)
	if kept, err := store.Restore(backup, path, simNow); err != nil || kept == "" {
		t.Fatalf("restore: kept %q, %v", kept, err)
	}
	db, err := store.Open(path, func() time.Time { return simNow })
	if err != nil {
		t.Fatal(err)
	}
	db.NoSync(true)
	t.Cleanup(func() { db.Close() })
	w.db, w.handler = db, testServer(db).App().Handler()
}

// closed closes the file and returns its path.
func (w *world) closed(t *testing.T) string {
	t.Helper()
	path := w.db.Path()
	if err := w.db.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// When a device may send what another one wrote: only after a restore, only
// what had been received before it, and only within the family.
func TestHandingIn(t *testing.T) {
	t.Parallel()
	const before = `,"fseq":4,"recv":"2026-03-28T21:45:00Z","skew_ms":-400000`
	for _, tc := range []struct {
		name, device, author, wearer, tail, want string
		restored                                 bool
	}{
		{"a device of the family, never restored", "d2", "p1", "w1", before, "foreign-device", false},
		{"a device of the family", "d2", "p1", "w1", before, "", true},
		{"a device that was taken out of use", "dr", "p1", "w1", before, "", true},
		{"a device and a person from after the backup", "dx", "px", "w1", before, "", true},
		{"never received", "d2", "p1", "w1", "", "foreign-device", true},
		{"received after the restore", "d2", "p1", "w1", `,"recv":"2026-03-28T22:00:01Z"`, "foreign-device", true},
		{"a device of another family", "d9", "p1", "w1", before, "foreign-device", true},
		{"a device of the clinic", "dc", "p1", "w1", before, "foreign-device", true},
		{"a person of another family", "d2", "p9", "w1", before, "foreign-author", true},
		{"a wearer of another family", "d2", "p1", "w2", before, "foreign-wearer", true},
		{"of a later schema", "d2", "p1", "w1", before + newer, "foreign-device", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.alsoKnows(t, tc.restored)
			tail, later := strings.CutSuffix(tc.tail, newer)
			entry := handed(tc.device, tc.author, tc.wearer, tail)
			if later {
				entry = strings.Replace(entry, `"v":1`, `"v":9`, 1)
			}
			_, raw := s.call("POST", "/api/sync", "family", syncBody(entry))
			if tc.want != "" {
				if !strings.Contains(raw, `"refused","code":"`+tc.want+`"`) || strings.Contains(raw, `"hlc"`) {
					t.Errorf("want it refused as %s, got %s", tc.want, raw)
				}
				return
			}
			// The author's device and clock, the receipt as it was, and who handed it in.
			for _, want := range []string{`"accepted"`, `"device":"` + tc.device + `"`, `"author":"` + tc.author + `"`, `"wall":"2026-03-28T21:40:00"`,
				`"fseq":1,"recv":"2026-03-28T22:00:00Z","skew_ms":-400000,"judged":{"table":7},"via":"d1","first_recv":"2026-03-28T21:45:00Z"`} {
				if !strings.Contains(raw, want) {
					t.Errorf("want %s in %s", want, raw)
				}
			}
		})
	}
}

// A symptom report that another phone of the family holds rings, whether the server was
// put back or not, and stays the word of whoever wrote it, by way of the phone that sent
// it. When the phone of origin has sent it too it is its own, and rings nobody again.
func TestAnyPhoneOfTheFamilyHandsInAReport(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.alsoKnows(t, false)
	report := func(device string) string {
		return strings.NewReplacer(`"kind":"note"`, `"kind":"symptoms"`, `{"text":"a note"}`, `{"right":{"pain":"severe"}}`).Replace(handed(device, "p1", "w1", ""))
	}
	raw := s.says("POST", "/api/sync", "family", syncBody(report("d2")), 200, `"accepted"`)
	for _, want := range []string{`"device":"d2"`, `"author":"p1"`, `"via":"d1"`} {
		if !strings.Contains(raw, want) {
			t.Errorf("want %s in %s", want, raw)
		}
	}
	rung := s.live()
	if rung.Level != "emergency" {
		t.Errorf("severe pain handed in: %s %s, want an emergency", rung.Rule, rung.Level)
	}
	raw = s.says("POST", "/api/sync", "second", syncBody(report("d2")), 200, `"duplicate"`)
	if now := s.live(); strings.Contains(raw, `"via"`) || now.ID != rung.ID || len(now.History) != len(rung.History) {
		t.Errorf("after its own phone has sent it: %s, %d events of %d", raw, len(now.History), len(rung.History))
	}
	// Not as another family's phone, nor as one that nobody knows.
	for _, device := range []string{"d9", "dx"} {
		s.says("POST", "/api/sync", "family", syncBody(strings.Replace(report(device), "000000000077", "000000000078", 1)), 422, `"report-unread"`)
	}
}

// The device that wrote an entry comes back after all: the entry is its own
// word again, and counted once. What the other device handed in and the server
// has already with other content is kept aside.
func TestHandedInThenConfirmed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.alsoKnows(t, true)
	const before = `,"recv":"2026-03-28T21:45:00Z"`
	s.call("POST", "/api/sync", "family", syncBody(handed("d2", "p1", "w1", before)))
	_, raw := s.call("POST", "/api/sync", "second", syncBody(handed("d2", "p1", "w1", "")))
	if !strings.Contains(raw, `"duplicate"`) || strings.Contains(raw, `"via"`) || strings.Count(raw, `"hlc"`) != 1 || !strings.Contains(raw, `"watermark":1,`) {
		t.Errorf("after its own device has sent it: %s", raw)
	}
	_, raw = s.call("POST", "/api/sync", "family", syncBody(strings.Replace(handed("d2", "p1", "w1", before), "a note", "a changed note", 1)))
	if !strings.Contains(raw, `"id-taken"`) || strings.Contains(raw, "changed") {
		t.Errorf("other content under the same id: %s", raw)
	}
}

// What the log judged before it was put back from a backup holds on, although what it
// was judged by may be lost: an eye that was to stop stops, whoever hands the entry in.
// Of no earlier life of the log, such a word is a claim and says nothing.
func TestWhatWasJudgedBeforeARestoreHolds(t *testing.T) {
	t.Parallel()
	const judged = `,"recv":"2026-03-28T21:45:00Z","judged":{"table":5,"right":"stop"}`
	for _, c := range []struct {
		by       string
		comfort  int // 4, the best: nothing of it is looked at again; 3: judged again, as no stop
		restored bool
		stops    bool
	}{{"second", 4, true, true}, {"family", 4, true, true}, {"second", 3, true, true}, {"second", 4, false, false}, {"second", 3, false, false}} {
		s := newSite(t)
		s.alsoKnows(t, c.restored)
		raw := strings.NewReplacer(`"kind":"note"`, `"kind":"morning"`, `{"text":"a note"}`, fmt.Sprintf(`{"comfort":%d}`, c.comfort)).Replace(handed("d2", "p1", "w1", judged))
		if _, told := s.call("POST", "/api/sync", c.by, syncBody(raw)); !strings.Contains(told, `"accepted"`) {
			t.Fatal(told)
		}
		err := s.srv.DB.View(func(tx *store.Tx) error {
			if w := intake.WearNow(tx, "w1"); (w.Right.State == care.Stop) != c.stops || w.Left.State >= care.Rest {
				t.Errorf("comfort %d sent by %s, restored %t: %+v; want the right eye to stop: %t, the left not", c.comfort, c.by, c.restored, w, c.stops)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func (s *site) alsoKnows(t *testing.T, restored bool) {
	t.Helper()
	err := s.srv.DB.Update(func(tx *store.Tx) error {
		err := errors.Join(
			tx.Register().AddDevice(care.Device{ID: "d2", Family: "f1", Person: "p1", Created: tx.Now, LastSeen: tx.Now}),
			tx.Access().AddCredential("second", register.Credential{Device: "d2", Created: tx.Now}),
			tx.Register().AddPerson(care.Person{ID: "p9", Family: "f2", Name: "Q", Role: care.Parent}),
			tx.Register().AddDevice(care.Device{ID: "d9", Family: "f2", Person: "p9", Created: tx.Now}),
		)
		if restored {
			err = errors.Join(err, tx.Log().NewEpoch())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// newer ends a row about an entry of a later schema.
const newer = " of a later schema"

func handed(device, author, wearer, tail string) string {
	return fmt.Sprintf(`{"id":"01900000-0000-7000-8000-000000000077","wearer":%q,"device":%q,"dseq":1,"author":%q,"kind":"note","night":"2026-03-28",`+
		`"wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000","v":1,"body":{"text":"a note"}%s}`, wearer, device, author, tail)
}

// A data file that is taken away or replaced while the server runs takes with it,
// at the next start, whatever was sent since: the server says so to whoever watches,
// and is well again once the file is back.
func TestAFileTakenAwayIsNoticed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/healthz", "", "", 200, `"store":true`)
	path := s.srv.Intake.DB.Path()
	aside := path + ".aside"
	for _, other := range []string{"", "another file"} {
		if err := os.Rename(path, aside); err != nil {
			t.Fatal(err)
		}
		if other != "" {
			if err := os.WriteFile(path, []byte(other), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		s.says("GET", "/healthz", "", "", 503, `"disk"`)
		if err := os.Rename(aside, path); err != nil {
			t.Fatal(err)
		}
		s.says("GET", "/healthz", "", "", 200, `"store":true`)
	}
}
