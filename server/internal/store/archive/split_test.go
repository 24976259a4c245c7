package archive_test

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
	"nightkeep/server/internal/store/storetest"
)

// sharedRecord makes a file with one family of two wearers, of whom the one
// marked quincely has an account, and closes it. Their logs alternate.
func sharedRecord(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	scene.Practice(t, db)
	grown, other := scene.Household{Mark: "quincely", Family: "commonly-family"}, scene.Household{Mark: "marrowby", Family: "commonly-family"}
	grown.Settle(t, db)
	other.Settle(t, db)
	err := db.Update(func(tx *store.Tx) error {
		p := care.Person{ID: "quincely-parent", Family: "commonly-family", Name: "quincely-name", Role: care.Teen, Wearer: "quincely-wearer"}
		stored := func(_ log.Stored, err error) error { return err }
		for _, err := range []error{
			storetest.Put(tx, p),
			tx.Access().PutConsent(register.Consent{Person: p.ID, Device: "quincely-device", Version: "1", At: tx.Now}),
			stored(tx.Log().Append("commonly-family", grown.Entry(3, nil))),
			stored(tx.Log().Append("commonly-family", other.Entry(3, nil))),
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
	db.Close()
	return path
}

func split(t *testing.T, path string) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		return tx.Archive().SplitWearer("quincely-wearer", care.Family{ID: "quincely-own", Name: "quincely-home", Zone: "Europe/Lisbon", Created: tx.Now})
	})
	if err != nil {
		t.Fatal(err)
	}
}

func erase(t *testing.T, path string, id care.FamilyID) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	if err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily(id, ""); return err }); err != nil {
		t.Fatal(err)
	}
}

// records counts what belongs to a family by bucket, and fails on any record
// that holds a stranger's mark.
func records(t *testing.T, path string, id care.FamilyID, stranger string) map[string]int {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	out := map[string]int{}
	err := db.View(func(tx *store.Tx) error {
		return tx.Archive().Records(id, func(r archive.Record) error {
			out[r.Bucket]++
			if strings.Contains(strings.Join(r.Key, " ")+string(r.Value), stranger) {
				t.Errorf("%s of %s: %v names %s", r.Bucket, id, r.Key, stranger)
			}
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A wearer of a shared record who becomes a family of their own takes every
// pair that is about them along, in every bucket, and nothing of the other; the
// file stays sound. Expected counts are those of the marked pairs in the file,
// read with bbolt alone; the calendar's address ends, and credentials and
// invitations stand under hashes.
func TestSplitMovesEveryBucket(t *testing.T) {
	t.Parallel()
	path := sharedRecord(t)
	before, others := scene.Found(t, path, "quincely"), scene.Found(t, path, "marrowby")
	split(t, path)
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("after the split: %v, %v", faults, err)
	}
	after := scene.Found(t, path, "quincely")
	want := map[string]int{}
	for bucket, n := range after {
		if bucket != "calendars" && bucket != "waiting" && !slices.Contains(scene.NotOfFamilies, bucket) {
			want[bucket] = n
		}
		if bucket == "received" {
			n-- // the ids of the log stood beside the other wearer's, without a mark
		}
		if before[bucket] != n && bucket != "families" && bucket != "calendars" && bucket != "waiting" {
			t.Errorf("%s: %d pairs of the wearer, %d before", bucket, n, before[bucket])
		}
	}
	want["credentials"], want["invitations"] = 1, 1
	if d := cmp.Diff(want, records(t, path, "quincely-own", "marrowby")); d != "" {
		t.Errorf("the new family's records (-marked +owned):\n%s", d)
	}
	records(t, path, "commonly-family", "quincely")
	delete(others, "calendars")
	if d := cmp.Diff(others, scene.Found(t, path, "marrowby")); d != "" {
		t.Errorf("the other wearer's pairs (-before +after):\n%s", d)
	}
}

// heardOf returns how far a device of a family has been heard.
func heardOf(t *testing.T, path string, f care.FamilyID, d care.DeviceID) (top uint64) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error { top = tx.Log().Watermark(f, d); return nil })
	return top
}

// Each log is numbered anew from 1 in the order it had, under another epoch; what
// a device sent stays received.
func TestSplitNumbersBothLogs(t *testing.T) {
	t.Parallel()
	path := sharedRecord(t)
	theirs, others := heardOf(t, path, "commonly-family", "quincely-device"), heardOf(t, path, "commonly-family", "marrowby-device")
	split(t, path)
	if got := heardOf(t, path, "quincely-own", "quincely-device"); theirs == 0 || got != theirs {
		t.Errorf("the device that went is heard up to %d, %d before", got, theirs)
	}
	if got := heardOf(t, path, "commonly-family", "marrowby-device"); others == 0 || got != others {
		t.Errorf("the device that stayed is heard up to %d, %d before", got, others)
	}
	if got := heardOf(t, path, "commonly-family", "quincely-device"); got != 0 {
		t.Errorf("the family that was left still hears the device, up to %d", got)
	}
	db := scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		whole, err := tx.Log().Epoch()
		if err != nil {
			t.Fatal(err)
		}
		for family, mark := range map[care.FamilyID]string{"quincely-own": "quincely", "commonly-family": "marrowby"} {
			epoch, err := tx.Log().EpochOf(family)
			if err != nil || epoch == whole {
				t.Errorf("%s: epoch %q, %v; want another than the practice's", family, epoch, err)
			}
			page, err := tx.Log().Page(family, 0, 100, 1<<20)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for i, raw := range page.Entries {
				var e care.Entry
				if err := json.Unmarshal(raw, &e); err != nil || e.FSeq != uint64(i+1) {
					t.Errorf("%s: entry %d has number %d, %v", family, i+1, e.FSeq, err)
				}
				got = append(got, string(e.ID))
			}
			h := scene.Household{Mark: mark}
			want := []string{string(h.EntryID(1)), string(h.EntryID(2)), string(h.EntryID(7)), string(h.EntryID(3))}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s (-want +got):\n%s", family, d)
			}
		}
		return nil
	})
}

// After a split each family can be erased without the other, and a restore
// from before the split erases the same again.
func TestSplitThenEraseThenRestore(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name       string
		erase      care.FamilyID
		gone, kept string
	}{
		{"the one who left is erased", "quincely-own", "quincely", "marrowby"},
		{"the family that was left is erased", "commonly-family", "marrowby", "quincely"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			path := sharedRecord(t)
			backup := filepath.Join(t.TempDir(), "backup.db")
			db := scene.OpenAt(t, path)
			if err := db.Backup(backup); err != nil {
				t.Fatal(err)
			}
			db.Close()
			split(t, path)
			kept := scene.Found(t, path, tc.kept)
			erase(t, path, tc.erase)
			if d := cmp.Diff(kept, scene.Found(t, path, tc.kept)); d != "" {
				t.Errorf("erasing changed the other's pairs (-before +after):\n%s", d)
			}
			if _, err := store.Restore(backup, path, scene.Now); err != nil {
				t.Fatal(err)
			}
			for bucket, n := range scene.Found(t, path, tc.gone) {
				if n > 0 {
					t.Errorf("%s: %d pairs came back with the backup", bucket, n)
				}
			}
			if n := scene.Found(t, path, tc.kept)["entries"]; n != 4 {
				t.Errorf("%d entries of the other came back, want 4", n)
			}
			if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
				t.Errorf("after the restore: %v, %v", faults, err)
			}
		})
	}
}

// An alert goes with its wearer: the new family's phones hear of it, the other's no more.
func TestASplitTakesTheWearersAlertsAlong(t *testing.T) {
	t.Parallel()
	path := sharedRecord(t)
	split(t, path)
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.View(func(tx *store.Tx) error {
		for w, want := range map[care.WearerID]care.FamilyID{"quincely-wearer": "quincely-own", "marrowby-wearer": "commonly-family"} {
			all, err := tx.Duty().WearerAlerts(w)
			if err != nil || len(all) == 0 {
				t.Errorf("%s: alerts %v, %v; want some", w, all, err)
			}
			for _, a := range all {
				if a.Family != want {
					t.Errorf("an alert of %s is of %s, want %s", w, a.Family, want)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
