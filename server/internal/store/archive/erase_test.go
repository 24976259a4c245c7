package archive_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// Erasing a family leaves no id, name or text of it in any bucket, nor in the
// bytes of a backup made then, nor of the file once it was opened again; the other family keeps every
// pair, and the file stays sound, its audit chain included.
func TestEraseLeavesNothing(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	traces := scene.Found(t, path, "quincely")
	for _, b := range pairs.Buckets {
		bucket := b.Name
		if traces[bucket] == 0 && !slices.Contains(append(scene.NotOfFamilies, "invitations", "credentials", "quarantine"), bucket) {
			t.Errorf("the family left no trace in %s before the erasure, so the test shows nothing there", bucket)
		}
	}
	other := scene.Found(t, path, "marrowby")
	db := scene.OpenAt(t, path)
	var left archive.Tombstone
	err := db.Update(func(tx *store.Tx) (err error) {
		left, err = tx.Archive().EraseFamily("quincely-family", "staff-1")
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	_ = db.View(func(tx *store.Tx) error { // who erased, and of whom only the mark
		lines, _, err := tx.Audit().Lines(tx.Audit().Last(), 1)
		if err != nil || len(lines) != 1 || lines[0].Who != "staff-1" || lines[0].Did != "erased family" || lines[0].What != left.ID {
			t.Errorf("the log's last line: %+v, %v; want that staff-1 erased a family, by its mark %q", lines, err, left.ID)
		}
		return nil
	})
	backup := filepath.Join(t.TempDir(), "backup.db")
	if err := db.Backup(backup); err != nil { // at once, while free pages of the file still hold the family
		t.Fatal(err)
	}
	db.Close()
	if raw, err := os.ReadFile(backup); err != nil || bytes.Contains(raw, []byte("quincely")) || !bytes.Contains(raw, []byte("marrowby")) {
		t.Errorf("the bytes of a backup made after the erasure hold the family, or lost the other one: %v", err)
	}
	for bucket, n := range scene.Found(t, path, "quincely") {
		if n > 0 {
			t.Errorf("%s: %d pairs still name the family", bucket, n)
		}
	}
	if d := cmp.Diff(other, scene.Found(t, path, "marrowby")); d != "" {
		t.Errorf("the other family's pairs (-before +after):\n%s", d)
	}
	scene.Counts(t, path, map[string]int{"invitations": 1, "credentials": 1, "tombstones": 1})
	scene.OpenAt(t, path).Close()
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

// An export holds as many records of each bucket as there are pairs of the
// family in it, and nothing of another family.
func TestExportIsComplete(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	want := scene.Found(t, path, "quincely")
	want["invitations"], want["credentials"] = 1, 1 // hashed keys and ids of others
	for _, name := range scene.NotOfFamilies {
		delete(want, name)
	}
	db := scene.OpenAt(t, path)
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

// A family whose ids begin with another's is another family.
func TestEraseIsExact(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
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
		if due := tx.Duty().DueBy(scene.Now, 10); len(due) != 1 || due[0] != "w10" {
			t.Errorf("due: %v, want the other family's wearer", due)
		}
		return nil
	})
}
