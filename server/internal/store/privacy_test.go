package store_test

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"encoding/json"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"go.etcd.io/bbolt"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// notOfFamilies are the buckets that hold nothing of a family: settings of the
// practice, credentials of its staff, and what is left after an erasure.
var notOfFamilies = []string{"meta", "digests", "passkeys", "staff_devices", "tombstones"}

// found returns, for each bucket of a file in which any does, how many of its
// pairs hold the mark. It reads the file with bbolt alone.
func found(t *testing.T, path, mark string) map[string]int {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	out := map[string]int{}
	err = b.View(func(tx *bbolt.Tx) error {
		return tx.ForEach(func(name []byte, bucket *bbolt.Bucket) error {
			return bucket.ForEach(func(k, v []byte) error {
				if bytes.Contains(k, []byte(mark)) || bytes.Contains(v, []byte(mark)) {
					out[string(name)]++
				}
				return nil
			})
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// twoFamilies makes a file with two families, and closes it.
func twoFamilies(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "n.db")
	db := openAt(t, path)
	practice(t, db)
	household{mark: "quincely"}.settle(t, db)
	household{mark: "marrowby"}.settle(t, db)
	for _, h := range []string{"quincely", "marrowby"} {
		err := db.Update(func(tx *store.Tx) error {
			return tx.Access().PutConsent(register.Consent{Person: care.PersonID(h + "-parent"), Device: care.DeviceID(h + "-device"), Version: "1", At: tx.Now})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

func openAt(t *testing.T, path string) *store.DB {
	t.Helper()
	db, err := store.Open(path, func() time.Time { return t0 })
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// Erasing a family leaves no id, name or text of it in any bucket, nor in the
// bytes of the file once it was opened again; the other family keeps every
// pair, and the file stays sound, its audit chain included.
func TestEraseLeavesNothing(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	traces := found(t, path, "quincely")
	for _, b := range pairs.Buckets {
		bucket := b.Name
		if traces[bucket] == 0 && !slices.Contains(append(notOfFamilies, "invitations", "credentials"), bucket) {
			t.Errorf("the family left no trace in %s before the erasure, so the test shows nothing there", bucket)
		}
	}
	other := found(t, path, "marrowby")
	db := openAt(t, path)
	err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", "staff-1"); return err })
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	for bucket, n := range found(t, path, "quincely") {
		if n > 0 {
			t.Errorf("%s: %d pairs still name the family", bucket, n)
		}
	}
	if d := cmp.Diff(other, found(t, path, "marrowby")); d != "" {
		t.Errorf("the other family's pairs (-before +after):\n%s", d)
	}
	counts(t, path, map[string]int{"invitations": 1, "credentials": 1, "tombstones": 1})
	openAt(t, path).Close()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(raw, []byte("quincely")) || !bytes.Contains(raw, []byte("marrowby")) {
		t.Error("the bytes of the file still hold the erased family, or lost the other one")
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the erasure: %v, %v", faults, err)
	}
}

// counts checks how many pairs buckets hold whose keys are hashes.
func counts(t *testing.T, path string, want map[string]int) {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	_ = b.View(func(tx *bbolt.Tx) error {
		for name, n := range want {
			if got := tx.Bucket([]byte(name)).Stats().KeyN; got != n {
				t.Errorf("%s holds %d pairs, want %d", name, got, n)
			}
		}
		return nil
	})
}

// An export holds as many records of each bucket as there are pairs of the
// family in it, and nothing of another family.
func TestExportIsComplete(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	want := found(t, path, "quincely")
	want["invitations"], want["credentials"] = 1, 1 // hashed keys and ids of others
	for _, name := range notOfFamilies {
		delete(want, name)
	}
	db := openAt(t, path)
	defer db.Close()
	got := map[string]int{}
	err := db.View(func(tx *store.Tx) error {
		return tx.Archive().Records("quincely-family", func(r archive.Record) error {
			got[r.Bucket]++
			if strings.Contains(strings.Join(r.Key, " ")+string(r.Value), "marrowby") {
				t.Errorf("%s: a record of another family: %v", r.Bucket, r.Key)
			}
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("records by bucket (-stored +exported):\n%s", d)
	}
}

// A family erased after a backup stays erased when that backup is restored.
func TestRestoreKeepsTheErasure(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := openAt(t, path)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", ""); return err })
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := store.Restore(backup, path, t0); err != nil {
		t.Fatal(err)
	}
	for bucket, n := range found(t, path, "quincely") {
		if n > 0 {
			t.Errorf("%s: %d pairs came back with the backup", bucket, n)
		}
	}
	if found(t, path, "marrowby")["families"] != 1 {
		t.Error("the other family did not come back")
	}
}

// A file of layout 1, made by the program of that time, opens with everything
// in it, with a copy kept from before, and with an audit chain that still
// tells a line that was changed.
func TestUpgradeFromLayout1(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-1.db.gz", path)
	before := found(t, path, "quincely")
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("as it is: %v, %v", faults, err)
	}
	db := openAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		given, err := tx.Access().Consents("quincely-parent")
		if err != nil || len(given) != 1 || given[0].Version != "1" || given[0].Device != "quincely-device" {
			t.Errorf("consents %+v, %v; want the one that stood in the audit log", given, err)
		}
		n, err := tx.Log().Night("quincely-wearer", civil.MustDate("2026-03-28"))
		if err != nil || len(n.Items) == 0 {
			t.Errorf("night %+v, %v; want the one logged", n, err)
		}
		if b, err := tx.Log().Briefs("quincely-wearer", n.Date, n.Date); err != nil || len(b) != 1 {
			t.Errorf("what the rules look at: %+v, %v; want that night", b, err)
		}
		if d, err := tx.Register().StaffDevices("staff-1"); err != nil || len(d) != 1 || d[0].ID != "desk-1" {
			t.Errorf("staff devices %+v, %v; want the desk", d, err)
		}
		first := household{mark: "quincely"}.entryID(1)
		if e, err := tx.Log().Entry("quincely-family", first); err != nil || e.ID != first {
			t.Errorf("entry %+v, %v; want the first, found by its id", e, err)
		}
		if _, err := tx.Log().Entry("marrowby-family", first); err == nil {
			t.Error("an id of one family finds an entry for another")
		}
		return nil
	})
	db.Close()
	after := found(t, path, "quincely")
	for _, gone := range merged {
		delete(before, gone)
	}
	was := maps.Clone(before)
	was["entries"]++ // its wear-start
	was["due"]++     // for which it is looked at
	for bucket, n := range was {
		if after[bucket] != n {
			t.Errorf("%s: %d pairs of the family, %d before the upgrade", bucket, after[bucket], n)
		}
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the upgrade: %v, %v", faults, err)
	}
	kept, err := filepath.Glob(path + ".layout-1-*")
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, %v; want one copy from before", kept, err)
	}
	as := found(t, kept[0], "quincely")
	for _, gone := range merged {
		delete(as, gone)
	}
	if d := cmp.Diff(before, as); d != "" {
		t.Errorf("the copy kept (-before +kept):\n%s", d)
	}
}

// merged are the buckets whose content layout 4 keeps in the records of nights,
// and layout 5 beside the log.
var merged = []string{"night_entries", "briefs", "entry_ids", "device_marks"}

// A file of layout 2 or 3, made by the program of that time, opens with the log,
// nights and what the rules look at as that program read them, and a copy kept
// from before.
func TestUpgradeFromLayouts2And3(t *testing.T) {
	t.Parallel()
	for _, layout := range []string{"layout-2", "layout-3"} {
		t.Run(layout, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "n.db")
			unzip(t, "../../../testdata/store/"+layout+".db.gz", path)
			before, nights := found(t, path, "quincely"), foldedThen(t, path, "quincely-wearer")
			if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
				t.Errorf("as it is: %v, %v", faults, err)
			}
			db := openAt(t, path)
			_ = db.View(func(tx *store.Tx) error {
				got, err := tx.Log().Nights("quincely-wearer", civil.MustDate("2000-01-01"), civil.MustDate("2100-01-01"))
				if d := cmp.Diff(nights, got); err != nil || d != "" || len(nights) == 0 {
					t.Errorf("nights, %v (-as kept then +now):\n%s", err, d)
				}
				briefs, err := tx.Log().Briefs("quincely-wearer", civil.MustDate("2000-01-01"), civil.MustDate("2100-01-01"))
				if err != nil || len(briefs) != len(nights) {
					t.Errorf("%d briefs, %v; want one of each of %d nights", len(briefs), err, len(nights))
				}
				first := household{mark: "quincely"}.entryID(1)
				if e, err := tx.Log().Entry("quincely-family", first); err != nil || e.ID != first {
					t.Errorf("entry %+v, %v; want the first, found by its id", e, err)
				}
				if d, err := tx.Register().StaffDevices("staff-1"); err != nil || len(d) != 1 || d[0].ID != "desk-1" {
					t.Errorf("staff devices %+v, %v; want the desk", d, err)
				}
				if _, broken, err := tx.Audit().Lines(1, 100); err != nil || broken != 0 {
					t.Errorf("audit chain broken at %d, %v", broken, err)
				}
				return nil
			})
			db.Close()
			after := found(t, path, "quincely")
			if after["entries"] != before["entries"]+1 {
				t.Errorf("%d entries, want %d and a wear-start", after["entries"], before["entries"])
			}
			for _, same := range []string{"refs", "nights", "wearers", "audit", "alerts", "outbox", "held", "consents", "calendar_events"} {
				if after[same] != before[same] || after[same] == 0 {
					t.Errorf("%s: %d pairs of the family, %d before the upgrade", same, after[same], before[same])
				}
			}
			if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
				t.Errorf("after the upgrade: %v, %v", faults, err)
			}
			kept, err := filepath.Glob(path + "." + layout + "-*")
			if err != nil || len(kept) != 1 {
				t.Fatalf("kept %v, %v; want one copy from before", kept, err)
			}
			if d := cmp.Diff(before, found(t, kept[0], "quincely")); d != "" {
				t.Errorf("the copy kept (-before +kept):\n%s", d)
			}
		})
	}
}

// A file of layout 4, made by the program of that time, opens with every id found
// and with what each device had been heard, as that program kept them.
func TestUpgradeFromLayout4(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-4.db.gz", path)
	before, heard := found(t, path, "quincely"), heardThen(t, path)
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 || len(heard) != 2 {
		t.Errorf("as it is: %v, %v, heard of %v; want two devices", faults, err, heard)
	}
	db := openAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		for _, mark := range []string{"quincely", "marrowby"} {
			h := household{mark: mark}
			for n := 1; n <= 2; n++ {
				if e, err := tx.Log().Entry(care.FamilyID(h.id("family")), h.entryID(n)); err != nil || e.ID != h.entryID(n) {
					t.Errorf("entry %+v, %v; want number %d of %s, found by its id", e, err, n, mark)
				}
			}
			device := care.DeviceID(h.id("device"))
			if got := tx.Log().Watermark(care.FamilyID(h.id("family")), device); got != heard[device] {
				t.Errorf("%s has been heard up to %d, want %d", device, got, heard[device])
			}
		}
		return nil
	})
	db.Close()
	after := found(t, path, "quincely")
	was := maps.Clone(before)
	was["entries"]++ // its wear-start
	was["due"]++     // for which it is looked at
	for bucket, n := range was {
		if !slices.Contains(merged, bucket) && after[bucket] != n {
			t.Errorf("%s: %d pairs of the family, %d before the upgrade", bucket, after[bucket], n)
		}
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the upgrade: %v, %v", faults, err)
	}
	kept, err := filepath.Glob(path + ".layout-4-*")
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, %v; want one copy from before", kept, err)
	}
	if d := cmp.Diff(before, found(t, kept[0], "quincely")); d != "" {
		t.Errorf("the copy kept (-before +kept):\n%s", d)
	}
}

// A file of layout 5, made by the program of that time, opens with the log, its
// checksums, and every pair of a family as they were.
func TestUpgradeFromLayout5(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-5.db.gz", path)
	before := found(t, path, "quincely")
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("as it is: %v, %v", faults, err)
	}
	db := openAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		sum := ""
		for _, n := range append([]int{1, 2}, span(6, 51)...) { // 3 and 4 never came, 5 is held
			sum = log.NextChecksum(sum, household{mark: "quincely"}.entryID(n))
		}
		page, err := tx.Log().Page("quincely-family", 0, 1000, 1<<20)
		if err != nil || len(page.Entries) != 49 {
			t.Fatalf("%d entries, %v; want 48 and a wear-start", len(page.Entries), err)
		}
		var start struct {
			ID   care.EntryID
			Kind care.EntryKind
			Body struct{ Opens map[care.EntryID]care.Marks }
		}
		if err := json.Unmarshal(page.Entries[48], &start); err != nil || start.Kind != care.WearStart || page.Checksum != log.NextChecksum(sum, start.ID) {
			t.Errorf("last entry %s, checksum %s; want a wear-start after %s", page.Entries[48], page.Checksum, sum)
		}
		// Its one alert, an emergency, lives: the report that raised it holds.
		first := household{mark: "quincely"}.entryID(1)
		wear := care.WearOf(tx.Log().WearFacts("quincely-wearer"), civil.MustDate("2026-03-28"), false, nil)
		if len(start.Body.Opens) != 1 || wear.Right.State != care.Stop || wear.Left.State != care.Stop || wear.Right.Causes[0].ID != first {
			t.Errorf("wear-start opens %v and comes to %+v; want a stop of both eyes by %s", start.Body.Opens, wear, first)
		}
		if n, err := tx.Log().Night("quincely-wearer", civil.MustDate("2026-03-28")); err != nil || len(n.Item("care/closed_at").Facts) != 2 {
			t.Errorf("night %+v, %v; want both closing times", n, err)
		}
		if held := tx.Log().AllHeld(); len(held) != 2 {
			t.Errorf("%d entries held, want one of each family", len(held))
		}
		if stones, err := tx.Archive().Tombstones(); err != nil || len(stones) != 1 {
			t.Errorf("tombstones %v, %v; want that of the erased family", stones, err)
		}
		return nil
	})
	db.Close()
	after := found(t, path, "quincely")
	was := maps.Clone(before)
	was["entries"]++
	for bucket, n := range was {
		if after[bucket] != n {
			t.Errorf("%s: %d pairs of the family, %d before the upgrade", bucket, after[bucket], n)
		}
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the upgrade: %v, %v", faults, err)
	}
	kept, err := filepath.Glob(path + ".layout-5-*")
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, %v; want one copy from before", kept, err)
	}
	if d := cmp.Diff(before, found(t, kept[0], "quincely")); d != "" {
		t.Errorf("the copy kept (-before +kept):\n%s", d)
	}
}

// span is the numbers from one to another, both included.
func span(from, to int) (out []int) {
	for n := from; n <= to; n++ {
		out = append(out, n)
	}
	return out
}

// heardThen reads the watermarks of devices that a file of layout 4 holds.
func heardThen(t *testing.T, path string) map[care.DeviceID]uint64 {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	out := map[care.DeviceID]uint64{}
	_ = b.View(func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte("device_marks")).ForEach(func(device, top []byte) error {
			out[care.DeviceID(device)] = binary.BigEndian.Uint64(top)
			return nil
		})
	})
	return out
}

// foldedThen reads the folded nights that a file of layout 2 or 3 holds.
func foldedThen(t *testing.T, path, wearer string) (out []care.Night) {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	err = b.View(func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte("nights")).ForEach(func(k, v []byte) error {
			if !bytes.HasPrefix(k, []byte(wearer+"\x00")) {
				return nil
			}
			out = append(out, care.Night{})
			return json.Unmarshal(v, &out[len(out)-1])
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A line of the audit log changed before the upgrade is still found after it.
func TestUpgradeKeepsABrokenChainBroken(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-1.db.gz", path)
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = b.Update(func(tx *bbolt.Tx) error {
		k, v := tx.Bucket([]byte("audit")).Cursor().First()
		return tx.Bucket([]byte("audit")).Put(bytes.Clone(k), bytes.Replace(v, []byte("joined"), []byte("closed"), 1))
	})
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	db := openAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		if _, broken, err := tx.Audit().Lines(1, 100); err != nil || broken != 1 {
			t.Errorf("broken at %d, %v; want line 1", broken, err)
		}
		return nil
	})
}

// A file of a later layout is refused with words and left as it is.
func TestLaterLayoutIsRefused(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = b.Update(func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Put([]byte("layout"), []byte("99")) })
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	_, err = store.Open(path, func() time.Time { return t0 })
	if care.KindOf(err) != care.Unavailable || !strings.Contains(err.Error(), "99") {
		t.Errorf("got %v, want a refusal that names the layout", err)
	}
}

func unzip(t *testing.T, from, to string) {
	t.Helper()
	f, err := os.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Nothing can be changed in the audit log unseen, whether a family was erased
// or not: each change below is made to the stored bytes.
func TestAuditChainFindsChanges(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name     string
		from, to string // in the bytes of the line
		erase    bool
		line     uint64
	}{
		{"another did", `"did":"joined"`, `"did":"closed"`, false, 1},
		{"another who", `"who":"quincely-parent"`, `"who":"marrowby-parent"`, false, 1},
		{"another what", `"what":"quincely-wearer`, `"what":"marrowby-wearer`, false, 2},
		{"a person who was there made to look erased", `"who":"staff-1"`, `"who":"erased"`, false, 2},
		{"an erased line pinned on somebody", `"who":"erased"`, `"who":"marrowby-parent"`, true, 1},
		{"an erased line's deed", `"did":"joined"`, `"did":"closed"`, true, 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			path := twoFamilies(t)
			db := openAt(t, path)
			if tc.erase {
				err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", ""); return err })
				if err != nil {
					t.Fatal(err)
				}
			}
			_ = db.View(func(tx *store.Tx) error {
				if _, broken, err := tx.Audit().Lines(1, 100); err != nil || broken != 0 {
					t.Errorf("before the change: broken at %d, %v", broken, err)
				}
				return nil
			})
			db.Close()
			edit(t, path, func(tx *bbolt.Tx) error {
				k := []byte{0, 0, 0, 0, 0, 0, 0, byte(tc.line)}
				v := tx.Bucket([]byte("audit")).Get(k)
				if !bytes.Contains(v, []byte(tc.from)) {
					t.Fatalf("line %d is %s", tc.line, v)
				}
				return tx.Bucket([]byte("audit")).Put(k, bytes.Replace(v, []byte(tc.from), []byte(tc.to), 1))
			})
			db = openAt(t, path)
			defer db.Close()
			_ = db.View(func(tx *store.Tx) error {
				if _, broken, err := tx.Audit().Lines(1, 100); err != nil || broken != tc.line {
					t.Errorf("broken at %d, %v; want %d", broken, err, tc.line)
				}
				return nil
			})
		})
	}
}

// A family whose ids begin with another's is another family.
func TestEraseIsExact(t *testing.T) {
	t.Parallel()
	db := open(t)
	err := db.Update(func(tx *store.Tx) error {
		for _, n := range []string{"1", "10"} {
			f, w, p := care.FamilyID("f"+n), care.WearerID("w"+n), care.PersonID("p"+n)
			for _, err := range []error{
				tx.Register().AddFamily(care.Family{ID: f}), tx.Register().AddWearer(care.Wearer{ID: w, Family: f}), tx.Register().AddPerson(care.Person{ID: p, Family: f}),
				tx.Chart().PutVisit(w, "v", "kept"), tx.Access().PutConsent(register.Consent{Person: p, Version: "1"}), tx.Duty().SetDue(w, tx.Now),
			} {
				if err != nil {
					return err
				}
			}
		}
		_, err := tx.Archive().EraseFamily("f1", "")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	_ = db.View(func(tx *store.Tx) error {
		for n, want := range map[string]int{"1": 0, "10": 1} {
			wearers, _ := tx.Register().Wearers(care.FamilyID("f" + n))
			people, _ := tx.Register().People(care.FamilyID("f" + n))
			visits, _ := register.Visits[string](tx.Chart(), care.WearerID("w"+n))
			given, _ := tx.Access().Consents(care.PersonID("p" + n))
			got := []int{len(wearers), len(people), len(visits), len(given)}
			if d := cmp.Diff([]int{want, want, want, want}, got); d != "" {
				t.Errorf("family f%s: wearers, people, visits, consents (-want +got):\n%s", n, d)
			}
		}
		if due := tx.Duty().DueBy(t0, 10); len(due) != 1 || due[0] != "w10" {
			t.Errorf("due: %v, want the other family's wearer", due)
		}
		return nil
	})
}
