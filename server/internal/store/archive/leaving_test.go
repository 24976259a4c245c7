package archive_test

import (
	"bytes"
	"encoding/base64"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/scene"
)

const leaver = "quincely-family"

// change opens a file at a time, changes it, and closes it.
func change(t *testing.T, path string, at time.Time, f func(tx *archive.Tx) error) {
	t.Helper()
	db, err := store.Open(path, func() time.Time { return at })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Update(func(tx *store.Tx) error { return f(tx.Archive()) }); err != nil {
		t.Fatal(err)
	}
}

func setAside(tx *archive.Tx) error {
	return tx.SetAside(leaver, "staff-1", scene.Now.Add(archive.UndoFor))
}

// leavesUntil is when a family goes for good; zero when it is not leaving.
func leavesUntil(t *testing.T, path string) (until time.Time) {
	t.Helper()
	change(t, path, scene.Now, func(tx *archive.Tx) error {
		all, err := tx.Leaving()
		for _, l := range all {
			if l.Family == leaver {
				until = l.Until
			}
		}
		return err
	})
	return until
}

func isSound(t *testing.T, when, path string) {
	t.Helper()
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("%s: %v, %v", when, faults, err)
	}
}

// A family erased in the console is in no bucket that anything reads, though the
// audit log still names it; taken back, each of its pairs is there as it was, and
// the other family's never changed.
func TestAnErasureCanBeTakenBack(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	before, other := scene.Found(t, path, "quincely"), scene.Found(t, path, "marrowby")
	change(t, path, scene.Now, setAside)
	isSound(t, "while it leaves", path)
	for bucket, n := range scene.Found(t, path, "quincely") {
		if n > 0 && bucket != "leaving" && bucket != "leaving_pairs" && bucket != "audit" {
			t.Errorf("%s: %d pairs while it leaves", bucket, n)
		}
	}
	scene.Counts(t, path, map[string]int{"invitations": 1, "credentials": 1, "leaving": 1, "tombstones": 0}) // of the other family
	change(t, path, scene.Now, func(tx *archive.Tx) error { return tx.PutBack(leaver, "staff-1") })
	isSound(t, "taken back", path)
	after := scene.Found(t, path, "quincely")
	before["audit"] += 2 // that it began, and that it was taken back
	if d := cmp.Diff(before, after); d != "" {
		t.Errorf("pairs (-before +after):\n%s", d)
	}
	if d := cmp.Diff(other, scene.Found(t, path, "marrowby")); d != "" {
		t.Errorf("the other family's pairs (-before +after):\n%s", d)
	}
	scene.Counts(t, path, map[string]int{"invitations": 2, "credentials": 2, "leaving": 0, "leaving_pairs": 0})
}

// A minute before its day is over nothing more happens; then it goes for good:
// no bucket and no byte of the file holds it, whichever way it was written.
func TestAnErasureIsForGoodAfterADay(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	change(t, path, scene.Now, setAside)
	for _, step := range []struct {
		after time.Duration
		gone  int
	}{{24*time.Hour - time.Minute, 0}, {24 * time.Hour, 1}} {
		change(t, path, scene.Now.Add(step.after), func(tx *archive.Tx) error {
			n, err := tx.EraseDue()
			if n != step.gone {
				t.Errorf("%v after: %d erased, want %d", step.after, n, step.gone)
			}
			return err
		})
	}
	for bucket, n := range scene.Found(t, path, "quincely") {
		if n > 0 {
			t.Errorf("%s: %d pairs still name the family", bucket, n)
		}
	}
	scene.Counts(t, path, map[string]int{"leaving": 0, "leaving_pairs": 0, "tombstones": 1})
	scene.OpenAt(t, path).Close()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for shift := range 3 {
		whole := base64.StdEncoding.EncodeToString([]byte("xyz"[:shift] + "quincely"))
		mark := whole[4 : len(whole)-4] // what does not depend on the neighbours
		if bytes.Contains(raw, []byte(mark)) {
			t.Errorf("the bytes of the file still hold the family as %q", mark)
		}
	}
	if bytes.Contains(raw, []byte("quincely")) {
		t.Error("the bytes of the file still hold the family")
	}
	isSound(t, "after it", path)
}

// A backup that is restored neither brings a family back that was leaving, nor
// takes one away whose erasure was taken back: that one leaves, with a whole day
// to say so again. With an alert open it is there: somebody waits.
func TestARestoreKeepsWhoIsLeaving(t *testing.T) {
	t.Parallel()
	day, later := archive.UndoFor, scene.Now.Add(40*time.Hour)
	backUp := func(t *testing.T, path string) string {
		t.Helper()
		backup := filepath.Join(t.TempDir(), "backup.db")
		db := scene.OpenAt(t, path)
		defer db.Close()
		if err := db.Backup(backup); err != nil {
			t.Fatal(err)
		}
		return backup
	}
	putBack := func(tx *archive.Tx) error { return tx.PutBack(leaver, "staff-1") }
	forGood := func(tx *archive.Tx) error { _, err := tx.EraseFamily(leaver, "staff-1"); return err }
	for _, tc := range []struct {
		name          string
		before, since func(tx *archive.Tx) error
		until         time.Time
		stones, there int
	}{
		{"leaving since the backup", nil, setAside, scene.Now.Add(day), 0, 0},
		{"leaving in the backup, taken back since", setAside, putBack, later.Add(day), 0, 0},
		{"leaving in the backup, taken back since, an alert open", setAside, putBack, time.Time{}, 0, 1},
		{"leaving in the backup, erased for good since", setAside, forGood, time.Time{}, 1, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			path := scene.TwoFamilies(t)
			if tc.there == 0 {
				closeAlert(t, path, "quincely-alert")
			}
			if tc.before != nil {
				change(t, path, scene.Now, tc.before)
			}
			backup := backUp(t, path)
			change(t, path, scene.Now, tc.since)
			if _, err := store.Restore(backup, path, later); err != nil {
				t.Fatal(err)
			}
			if n := scene.Found(t, path, "quincely")["families"]; n != tc.there {
				t.Errorf("the family is there %d times, want %d", n, tc.there)
			}
			if until := leavesUntil(t, path); !until.Equal(tc.until) {
				t.Errorf("leaves until %v, want %v", until, tc.until)
			}
			scene.Counts(t, path, map[string]int{"tombstones": tc.stones})
			isSound(t, "restored", path)
		})
	}
}

// closeAlert lets an alert wait for nobody.
func closeAlert(t *testing.T, path string, id care.AlertID) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		a, err := tx.Duty().Alert(id)
		a.State, a.ClosedAt = escalate.Closed, tx.Now
		return errors.Join(err, tx.Duty().PutAlert(a))
	})
	if err != nil {
		t.Fatal(err)
	}
}
