package audit_test

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// A repaired file's audit log is a chain again, which a check and a restore accept,
// and says where it was broken and what is lost. A log that is whole stays as it was.
func TestARepairBeginsTheChainAnew(t *testing.T) {
	t.Parallel()
	const began = "chain broken here, begun anew by a repair"
	take := func(tx *bbolt.Tx, lines ...byte) (err error) {
		for _, n := range lines {
			if err == nil {
				err = tx.Bucket([]byte("audit")).Delete(line(n))
			}
		}
		return err
	}
	change := func(tx *bbolt.Tx, n byte) error {
		v := tx.Bucket([]byte("audit")).Get(line(n))
		return tx.Bucket([]byte("audit")).Put(line(n), bytes.Replace(v, []byte("read"), []byte("sent"), 1))
	}
	for _, c := range []struct {
		name string
		cut  bool
		hurt func(tx *bbolt.Tx) error
		want string // lines, without the number of those that say who read what
	}{
		{"whole", false, nil, "wearer-1, wearer-2, wearer-3, wearer-4, wearer-5"},
		{"two lines lost", false, func(tx *bbolt.Tx) error { return take(tx, 2, 3) }, "wearer-1, lines 2 to 3 are lost, wearer-4, wearer-5"},
		{"the beginning lost", false, func(tx *bbolt.Tx) error { return take(tx, 1) }, "lines 1 to 1 are lost, wearer-2, wearer-3, wearer-4, wearer-5"},
		{"a line changed", false, func(tx *bbolt.Tx) error { return change(tx, 3) }, "wearer-1, wearer-2, line 3 does not fit, wearer-3, wearer-4, wearer-5"},
		{"the anchor lost", true, func(tx *bbolt.Tx) error { return tx.Bucket([]byte("meta")).Delete([]byte("audit_cut")) }, "wearer-4, wearer-5, anchor"},
		{"the line of the cut lost", true, func(tx *bbolt.Tx) error { return take(tx, 4, 6) }, "lines 4 to 4 are lost, wearer-5, anchor"},
	} {
		path := oldLog(t)
		if c.cut {
			if err := cutBefore(t, path, scene.Now.AddDate(-1, 0, 0)); err != nil {
				t.Fatal(err)
			}
		}
		if c.hurt != nil {
			scene.Forge(t, path, c.hurt)
		}
		fixed := filepath.Join(t.TempDir(), "fixed.db")
		if out, err := store.Repair(path, fixed, scene.Now); err != nil || len(out.Left) > 0 {
			t.Errorf("%s: %v, left %v", c.name, err, out.Left)
		}
		if faults, err := store.CheckFile(fixed); err != nil || len(faults) > 0 {
			t.Errorf("%s: a check finds %v, %v", c.name, faults, err)
		}
		to := filepath.Join(t.TempDir(), "n.db")
		if _, err := store.Restore(fixed, to, scene.Now); err != nil {
			t.Errorf("%s: a restore: %v", c.name, err)
			continue
		}
		db := scene.OpenAt(t, to)
		_ = db.View(func(tx *store.Tx) error {
			var got []string
			lines, broken, err := tx.Audit().Lines(1, 100)
			for _, a := range lines {
				if a.Did == "restored a backup" { // which every restore adds
					continue
				}
				text := a.What
				if a.Did == "cut audit log" {
					text = "anchor"
				} else if (a.Did == began) != strings.HasPrefix(a.What, "line") {
					text = fmt.Sprint(a)
				}
				got = append(got, text)
			}
			if s := strings.Join(got, ", "); s != c.want || broken != 0 || err != nil {
				t.Errorf("%s: %s, broken at %d, %v; want %s", c.name, s, broken, err, c.want)
			}
			return nil
		})
		db.Close()
	}
}
