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
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/scene"
)

// A file of layout 1, made by the program of that time, opens with everything
// in it, with a copy kept from before, and with an audit chain that still
// tells a line that was changed.
func TestUpgradeFromLayout1(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-1.db.gz", path)
	before := scene.Found(t, path, "quincely")
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("as it is: %v, %v", faults, err)
	}
	db := scene.OpenAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		given, err := tx.Access().Consents("quincely-parent")
		if err != nil || len(given) != 1 || given[0].Version != "1" || given[0].Device != "quincely-device" {
			t.Errorf("consents %+v, %v; want the one that stood in the audit log", given, err)
		}
		n, err := tx.Log().Night("quincely-wearer", civil.MustDate("2026-03-28"))
		if err != nil || len(n.Items) == 0 {
			t.Errorf("night %+v, %v; want the one logged", n, err)
		}
		if b, err := tx.Log().NightSigns("quincely-wearer", n.Date, n.Date); err != nil || len(b) != 1 {
			t.Errorf("what the rules look at: %+v, %v; want that night", b, err)
		}
		if d, err := tx.Register().StaffDevices("staff-1"); err != nil || len(d) != 1 || d[0].ID != "desk-1" {
			t.Errorf("staff devices %+v, %v; want the desk", d, err)
		}
		first := scene.Household{Mark: "quincely"}.EntryID(1)
		if e, err := tx.Log().Entry("quincely-family", first); err != nil || e.ID != first {
			t.Errorf("entry %+v, %v; want the first, found by its id", e, err)
		}
		if _, err := tx.Log().Entry("marrowby-family", first); err == nil {
			t.Error("an id of one family finds an entry for another")
		}
		return nil
	})
	db.Close()
	after := scene.Found(t, path, "quincely")
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
	as := scene.Found(t, kept[0], "quincely")
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
			before, nights := scene.Found(t, path, "quincely"), foldedThen(t, path, "quincely-wearer")
			if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
				t.Errorf("as it is: %v, %v", faults, err)
			}
			db := scene.OpenAt(t, path)
			_ = db.View(func(tx *store.Tx) error {
				got, err := tx.Log().Nights("quincely-wearer", civil.MustDate("2000-01-01"), civil.MustDate("2100-01-01"))
				if d := cmp.Diff(nights, got); err != nil || d != "" || len(nights) == 0 {
					t.Errorf("nights, %v (-as kept then +now):\n%s", err, d)
				}
				signs, err := tx.Log().NightSigns("quincely-wearer", civil.MustDate("2000-01-01"), civil.MustDate("2100-01-01"))
				if err != nil || len(signs) != len(nights) {
					t.Errorf("%d signs, %v; want one of each of %d nights", len(signs), err, len(nights))
				}
				first := scene.Household{Mark: "quincely"}.EntryID(1)
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
			after := scene.Found(t, path, "quincely")
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
			if d := cmp.Diff(before, scene.Found(t, kept[0], "quincely")); d != "" {
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
	before, heard := scene.Found(t, path, "quincely"), heardThen(t, path)
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 || len(heard) != 2 {
		t.Errorf("as it is: %v, %v, heard of %v; want two devices", faults, err, heard)
	}
	db := scene.OpenAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		for _, mark := range []string{"quincely", "marrowby"} {
			h := scene.Household{Mark: mark}
			for n := 1; n <= 2; n++ {
				if e, err := tx.Log().Entry(care.FamilyID(h.ID("family")), h.EntryID(n)); err != nil || e.ID != h.EntryID(n) {
					t.Errorf("entry %+v, %v; want number %d of %s, found by its id", e, err, n, mark)
				}
			}
			device := care.DeviceID(h.ID("device"))
			if got := tx.Log().Watermark(care.FamilyID(h.ID("family")), device); got != heard[device] {
				t.Errorf("%s has been heard up to %d, want %d", device, got, heard[device])
			}
		}
		return nil
	})
	db.Close()
	after := scene.Found(t, path, "quincely")
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
	if d := cmp.Diff(before, scene.Found(t, kept[0], "quincely")); d != "" {
		t.Errorf("the copy kept (-before +kept):\n%s", d)
	}
}

// A file of layout 5, made by the program of that time, opens with the log, its
// checksums, and every pair of a family as they were.
func TestUpgradeFromLayout5(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	unzip(t, "../../../testdata/store/layout-5.db.gz", path)
	before := scene.Found(t, path, "quincely")
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("as it is: %v, %v", faults, err)
	}
	db := scene.OpenAt(t, path)
	_ = db.View(func(tx *store.Tx) error {
		sum := ""
		for _, n := range append([]int{1, 2}, span(6, 51)...) { // 3 and 4 never came, 5 is held
			sum = log.NextChecksum(sum, scene.Household{Mark: "quincely"}.EntryID(n))
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
		first := scene.Household{Mark: "quincely"}.EntryID(1)
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
	after := scene.Found(t, path, "quincely")
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
	if d := cmp.Diff(before, scene.Found(t, kept[0], "quincely")); d != "" {
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
	db := scene.OpenAt(t, path)
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
	path := scene.TwoFamilies(t)
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = b.Update(func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Put([]byte("layout"), []byte("99")) })
	if err != nil {
		t.Fatal(err)
	}
	b.Close()
	_, err = store.Open(path, func() time.Time { return scene.Now })
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
