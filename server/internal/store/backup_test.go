package store_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A restore brings back what the backup held, under a new epoch, and keeps the
// newer file beside it.
func TestBackupRestoreDrill(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, copyTo := filepath.Join(dir, "n.db"), filepath.Join(dir, "copy.db")
	db, err := store.Open(path, func() time.Time { return t0 })
	if err != nil {
		t.Fatal(err)
	}
	add(t, db, entry(1, nil))
	before := epoch(t, db)
	if err := db.Backup(copyTo); err != nil {
		t.Fatal(err)
	}
	if err := db.Backup(copyTo); care.KindOf(err) != care.Conflict {
		t.Errorf("second backup to the same name: got %v, want a refusal", err)
	}
	add(t, db, entry(2, nil))
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	kept, err := store.Restore(copyTo, path, t0)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		path    string
		entries int
	}{{path, 1}, {kept, 2}} {
		db, err := store.Open(want.path, func() time.Time { return t0 })
		if err != nil {
			t.Fatal(err)
		}
		_ = db.View(func(tx *store.Tx) error {
			p, err := tx.Log().Page("f1", 0, 10, 1<<20)
			if err != nil || len(p.Entries) != want.entries {
				t.Errorf("%s: %d entries, %v; want %d", want.path, len(p.Entries), err, want.entries)
			}
			return nil
		})
		if same := epoch(t, db) == before; same != (want.path == kept) {
			t.Errorf("%s: epoch kept = %v", want.path, same)
		}
		db.Close()
		if faults, err := store.CheckFile(want.path); err != nil || len(faults) > 0 {
			t.Errorf("%s: faults %v, %v", want.path, faults, err)
		}
	}
}

func epoch(t *testing.T, db *store.DB) (e string) {
	t.Helper()
	if err := db.View(func(tx *store.Tx) (err error) { e, err = tx.Log().Epoch(); return err }); err != nil {
		t.Fatal(err)
	}
	return e
}

// A line taken out of or changed in the audit log is found.
func TestAuditChain(t *testing.T) {
	t.Parallel()
	db := open(t)
	err := db.Update(func(tx *store.Tx) error {
		for _, did := range []string{"joined", "acknowledged", "closed"} {
			if err := tx.Audit().Append("p1", did, "x"); err != nil {
				return err
			}
		}
		lines, broken, err := tx.Audit().Lines(1, 10)
		if err != nil || broken != 0 || len(lines) != 3 || lines[2].Did != "closed" {
			t.Errorf("whole chain: %d lines, broken at %d, %v", len(lines), broken, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A phone taken out of use and a person who left after the backup stay out when
// it is restored, and a code used since is used; the others come back as they
// were.
func TestRestoreLetsNobodyBackIn(t *testing.T) {
	t.Parallel()
	path := twoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := openAt(t, path)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error {
		if _, err := tx.Access().Redeem("quincely-code"); err != nil {
			return err
		}
		return tx.Access().Leave("quincely-parent")
	})
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := store.Restore(backup, path, t0); err != nil {
		t.Fatal(err)
	}
	db = openAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		invited, err := tx.Access().InvitedUntil()
		if err != nil {
			t.Error(err)
		}
		for mark, out := range map[string]bool{"quincely": true, "marrowby": false} {
			p, errP := tx.Register().Person(care.PersonID(mark + "-parent"))
			d, errD := tx.Register().Device(care.DeviceID(mark + "-device"))
			_, errS := tx.Access().Subscription(d.ID)
			if errP != nil || errD != nil || p.Gone != out || d.Revoked != out || (errS != nil) != out {
				t.Errorf("%s: gone %v, revoked %v, subscription %v; want shut out %v", mark, p.Gone, d.Revoked, errS, out)
			}
			if open := invited[p.ID]; open.IsZero() != out {
				t.Errorf("%s: the invitation is good until %v; want it used up %v", mark, open, out)
			}
		}
		return nil
	})
}
