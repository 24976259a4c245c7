package audit_test

import (
	"bytes"
	"encoding/json"
	"fmt"
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

// oldLog makes a file whose audit log has five lines, one a year, the last one
// at scene.Now.
func oldLog(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		for n := range 5 {
			tx.Now = scene.Now.AddDate(n-4, 0, 0)
			if err := tx.Audit().Append("staff-1", "read review", fmt.Sprintf("wearer-%d", n+1)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// cutBefore cuts the lines from before an instant.
func cutBefore(t *testing.T, path string, at time.Time) (err error) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	return db.Update(func(tx *store.Tx) error {
		to, err := tx.Audit().Old(func(line time.Time) bool { return line.Before(at) })
		if err != nil {
			return err
		}
		return tx.Audit().CutTo("admin-1", to)
	})
}

func line(n byte) []byte { return []byte{0, 0, 0, 0, 0, 0, 0, n} }

// Old lines are cut off, twice; what stays fits the chain, is numbered on, says
// who cut, and of the lines cut nothing is left in the bytes of the file.
func TestCutAudit(t *testing.T) {
	t.Parallel()
	path := oldLog(t)
	for i, want := range []string{"3 read review, 4 read review, 5 read review, 6 cut audit log", "4 read review, 5 read review, 6 cut audit log, 7 cut audit log"} {
		if err := cutBefore(t, path, scene.Now.AddDate(i-2, 0, 0)); err != nil {
			t.Fatal(err)
		}
		db := scene.OpenAt(t, path)
		_ = db.View(func(tx *store.Tx) error {
			lines, broken, err := tx.Audit().Lines(1, 100)
			got := []string{}
			for _, a := range lines {
				got = append(got, fmt.Sprint(a.Seq, " ", a.Did))
			}
			if err != nil || broken != 0 || strings.Join(got, ", ") != want {
				t.Errorf("%s, broken at %d, %v; want %s", strings.Join(got, ", "), broken, err, want)
			}
			if last := lines[len(lines)-1]; last.Who != "admin-1" || !strings.HasPrefix(last.What, fmt.Sprint(i+2)+" ") {
				t.Errorf("the cut is said as %+v", last)
			}
			if part, broken, err := tx.Audit().Lines(5, 1); err != nil || broken != 0 || len(part) != 1 {
				t.Errorf("line 5 alone: %d lines, broken at %d, %v", len(part), broken, err)
			}
			return nil
		})
		db.Close()
		if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
			t.Errorf("after the cut: %v, %v", faults, err)
		}
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(raw, []byte("wearer-1")) || bytes.Contains(raw, []byte("wearer-3")) || !bytes.Contains(raw, []byte("wearer-4")) {
		t.Error("the file still holds a line that was cut, or lost one that was not")
	}
}

// Whoever changes the log of a cut file by hand is found by the check: a line
// changed, more lines taken, even with the anchor moved after them.
func TestCheckOfACutLog(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*bbolt.Tx) error{
		"a line changed": func(tx *bbolt.Tx) error {
			v := tx.Bucket([]byte("audit")).Get(line(3))
			return tx.Bucket([]byte("audit")).Put(line(3), bytes.Replace(v, []byte("read"), []byte("sent"), 1))
		},
		"one more line taken": func(tx *bbolt.Tx) error { return tx.Bucket([]byte("audit")).Delete(line(3)) },
		"the anchor taken":    func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Delete([]byte("audit_cut")) },
		"one more line taken and the anchor moved": func(tx *bbolt.Tx) error {
			var a audit.Line
			if err := json.NewDecoder(bytes.NewReader(tx.Bucket([]byte("audit")).Get(line(3)))).Decode(&a); err != nil {
				return err
			}
			raw, err := json.Marshal(audit.Cut{Lines: 3, Hash: a.Hash})
			if err != nil {
				return err
			}
			if err := tx.Bucket([]byte("meta")).Put([]byte("audit_cut"), raw); err != nil {
				return err
			}
			return tx.Bucket([]byte("audit")).Delete(line(3))
		},
	} {
		path := oldLog(t)
		if err := cutBefore(t, path, scene.Now.AddDate(-2, 0, 0)); err != nil {
			t.Fatal(err)
		}
		scene.Forge(t, path, change)
		if faults, err := store.CheckFile(path); err != nil || len(faults) != 1 || !strings.Contains(faults[0].Error(), "audit log") {
			t.Errorf("%s: faults %v, %v; want one about the audit log", name, faults, err)
		}
	}
}

// A log that somebody has changed is not cut: what shows it must stay. Nor is
// anything behind a line whose instant is not old.
func TestCutAuditRefuses(t *testing.T) {
	t.Parallel()
	path := oldLog(t)
	scene.Forge(t, path, func(tx *bbolt.Tx) error {
		v := tx.Bucket([]byte("audit")).Get(line(2))
		return tx.Bucket([]byte("audit")).Put(line(2), bytes.Replace(v, []byte("read"), []byte("sent"), 1))
	})
	if err := cutBefore(t, path, scene.Now); care.KindOf(err) != care.Conflict {
		t.Errorf("cut of a changed log: %v; want a conflict", err)
	}
	path = filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		for _, years := range []int{-5, 3, -5} { // the second with a clock set wrong
			tx.Now = scene.Now.AddDate(years, 0, 0)
			if err := tx.Audit().Append("staff-1", "read review", "w"); err != nil {
				return err
			}
		}
		tx.Now = scene.Now
		if to, err := tx.Audit().Old(func(at time.Time) bool { return at.Before(scene.Now) }); err != nil || to.Lines != 1 {
			t.Errorf("up to line %d, %v; want 1", to.Lines, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A line taken out of or changed in the audit log is found.
func TestAuditChain(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
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
			path := scene.TwoFamilies(t)
			db := scene.OpenAt(t, path)
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
			scene.Forge(t, path, func(tx *bbolt.Tx) error {
				k := []byte{0, 0, 0, 0, 0, 0, 0, byte(tc.line)}
				v := tx.Bucket([]byte("audit")).Get(k)
				if !bytes.Contains(v, []byte(tc.from)) {
					t.Fatalf("line %d is %s", tc.line, v)
				}
				return tx.Bucket([]byte("audit")).Put(k, bytes.Replace(v, []byte(tc.from), []byte(tc.to), 1))
			})
			db = scene.OpenAt(t, path)
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
