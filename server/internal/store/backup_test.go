package store_test

import (
	"bytes"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/scene"
)

// A restore brings back what the backup held, under a new epoch, and keeps the
// newer file beside it.
func TestBackupRestoreDrill(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, copyTo := filepath.Join(dir, "n.db"), filepath.Join(dir, "copy.db")
	db, err := store.Open(path, func() time.Time { return scene.Now })
	if err != nil {
		t.Fatal(err)
	}
	scene.Append(t, db, scene.Entry(1, nil))
	before := epoch(t, db)
	if err := db.Backup(copyTo); err != nil {
		t.Fatal(err)
	}
	if err := db.Backup(copyTo); care.KindOf(err) != care.Conflict {
		t.Errorf("second backup to the same name: got %v, want a refusal", err)
	}
	scene.Append(t, db, scene.Entry(2, nil))
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	kept, err := store.Restore(copyTo, path, scene.Now)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		path    string
		entries int
	}{{path, 1}, {kept, 2}} {
		db, err := store.Open(want.path, func() time.Time { return scene.Now })
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

// What was done after the backup was made stands in the restored audit log as not in the
// backup, and is counted until somebody has seen to it; what was only looked at, and
// what an erased family did, does not. A restore of a restored file tells its own.
func TestARestoreSaysWhatItTookBack(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := scene.OpenAt(t, path)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error {
		for _, line := range [][2]string{{"stored plan", "quincely-wearer"}, {"stored plan", "marrowby-wearer"}, {"read review", "quincely-wearer"}, {"changed settings", "rota"}} {
			if err := tx.Audit().Append("c1", line[0], line[1]); err != nil {
				return err
			}
		}
		_, err := tx.Archive().EraseFamily("marrowby-family", "")
		return err
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	told := func(want store.Lacks, lines int) {
		t.Helper()
		db := scene.OpenAt(t, path)
		_ = db.View(func(tx *store.Tx) error {
			var got store.Lacks
			if err := tx.Register().Setting(store.LacksSetting, &got); err != nil || !maps.Equal(got.Did, want.Did) || got.Unknown != want.Unknown || got.At.IsZero() {
				t.Errorf("taken back: %+v, %v; want %+v", got, err, want)
			}
			n := 0
			err := tx.Audit().Each(func(a audit.Line) error {
				if strings.HasPrefix(a.Did, store.LackingLine) {
					n++
					if a.Who != "c1" || a.Did == store.LackingLine+"stored plan" && !strings.HasPrefix(a.What, "quincely-wearer ") {
						t.Errorf("the line of it: %+v", a)
					}
				}
				return nil
			})
			if err != nil || n != lines {
				t.Errorf("%d lines of it, %v; want %d", n, err, lines)
			}
			return nil
		})
		db.Close()
		if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
			t.Errorf("%v, %v", faults, err)
		}
	}
	if _, err := store.Restore(backup, path, scene.Now); err != nil {
		t.Fatal(err)
	}
	told(store.Lacks{Did: map[string]int{"stored plan": 1, "changed settings": 1}}, 2)
	if err := os.WriteFile(path, []byte("nothing of a data file"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Restore(backup, path, scene.Now); err != nil {
		t.Fatal(err)
	}
	told(store.Lacks{Unknown: true}, 0)
}

// A phone taken out of use and a person who left after the backup stay out when
// it is restored, and a code used since is used; the others come back as they
// were.
func TestRestoreLetsNobodyBackIn(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := scene.OpenAt(t, path)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error {
		if _, err := tx.Access().Redeem("quincely-code"); err != nil {
			return err
		}
		// One that the backup does not know: of it there is nothing to shut out.
		if err := tx.Register().AddDevice(care.Device{ID: "quincely-later", Family: "quincely-family", Person: "quincely-parent", Created: tx.Now}); err != nil {
			return err
		}
		return tx.Access().Leave("quincely-parent")
	})
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	if _, err := store.Restore(backup, path, scene.Now); err != nil {
		t.Fatal(err)
	}
	db = scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		if of, err := tx.Register().Devices("quincely-family"); err != nil || len(of) != 1 {
			t.Errorf("devices of the family: %+v, %v; want the one of the backup", of, err)
		}
		if _, err := tx.Register().Device(""); care.KindOf(err) != care.NotFound {
			t.Errorf("a device without an id: %v", err)
		}
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

// A backup is made beside a record that was altered, and the record is named from
// then on.
func TestABackupNamesWhatWasAltered(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	scene.Append(t, db, scene.Entry(1, nil))
	scene.Append(t, db, scene.Entry(2, nil))
	db.Close()
	scene.Damage(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket([]byte("entries"))
		k, v := b.Cursor().First()
		return b.Put(bytes.Clone(k), bytes.Replace(v, []byte(`"author":"p1"`), []byte(`"author":"p2"`), 1))
	})
	db = scene.OpenAt(t, path)
	defer db.Close()
	copied := filepath.Join(t.TempDir(), "b.db")
	var lacks store.Lacking
	if err := db.Backup(copied); !errors.As(err, &lacks) || len(lacks.Records) != 1 || lacks.Records[0].Bucket != "entries" {
		t.Errorf("a backup beside it: %v; want it made, and that the entry is lacking", err)
	}
	if _, err := os.Stat(copied); err != nil {
		t.Error(err)
	}
	if u := db.Unreadable(); len(u) != 1 || u[0].Bucket != "entries" {
		t.Errorf("set aside: %v, want the entry", u)
	}
}

func epoch(t *testing.T, db *store.DB) (e string) {
	t.Helper()
	if err := db.View(func(tx *store.Tx) (err error) { e, err = tx.Log().Epoch(); return err }); err != nil {
		t.Fatal(err)
	}
	return e
}
