package bolt_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/kv/kvtest"
)

func openIn(place string) (kv.DB, error) {
	return bolt.Open(filepath.Join(place, "n.db"), bolt.Options{Ordered: []string{"left"}})
}

func TestMain(m *testing.M) { kvtest.Main(m, openIn) }

func TestBoltIsAnEngine(t *testing.T) {
	t.Parallel()
	kvtest.Run(t, openIn)
}

func open(t *testing.T, path string, opt bolt.Options) *bolt.DB {
	t.Helper()
	db, err := bolt.Open(path, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// A pressing write goes before all that wait, however many they are.
func TestPressingGoesFirst(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		db := open(t, filepath.Join(t.TempDir(), "n.db"), bolt.Options{})
		var order []string
		run := func(name string, lane kv.Lane, wait <-chan bool) {
			go func() {
				_ = db.Update(lane, func(kv.Tx) error {
					if wait != nil {
						<-wait
					}
					order = append(order, name)
					return nil
				})
			}()
			synctest.Wait() // it waits for its turn, or for the test
		}
		disk := make(chan bool)
		run("running", kv.Shared, disk)
		for range 200 {
			run("night", kv.Shared, nil)
		}
		run("report", kv.Pressing, nil)
		close(disk)
		synctest.Wait()
		if len(order) != 202 || order[0] != "running" || order[1] != "report" {
			t.Errorf("order %.3v of %d; want the running one, then the report", order, len(order))
		}
	})
}

// One process has the file; another is told so.
func TestBusy(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	open(t, path, bolt.Options{})
	if _, err := bolt.Open(path, bolt.Options{}); !errors.Is(err, kv.ErrBusy) {
		t.Errorf("a second opening: %v, want busy", err)
	}
}

// thousand stores a thousand pairs and returns the file.
func thousand(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "n.db")
	db := open(t, path, bolt.Options{})
	err := db.Update(kv.Alone, func(tx kv.Tx) error {
		for n := range 1000 {
			if err := tx.Put("b", fmt.Appendf(nil, "key %04d", n), bytes.Repeat([]byte("secret"), 20)); err != nil {
				return err
			}
		}
		return nil
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

// A copy holds the same pairs; a file written anew holds nothing of what was
// deleted.
func TestCopyAndRenew(t *testing.T) {
	t.Parallel()
	path := thousand(t)
	db := open(t, path, bolt.Options{})
	aside := filepath.Join(t.TempDir(), "copy.db")
	if err := db.CopyTo(aside, func(time.Duration) {}); err != nil {
		t.Fatal(err)
	}
	if n := count(t, open(t, aside, bolt.Options{ReadOnly: true})); n != 1000 {
		t.Errorf("the copy holds %d pairs, want 1000", n)
	}
	err := db.Update(kv.Alone, func(tx kv.Tx) error { return errors.Join(tx.Drop("b"), tx.Put("c", []byte("k"), []byte("kept"))) })
	if err != nil {
		t.Fatal(err)
	}
	clean := filepath.Join(t.TempDir(), "clean.db")
	if err := db.CopyTo(clean, func(time.Duration) {}); err != nil {
		t.Fatal(err)
	}
	if raw, err := os.ReadFile(clean); err != nil || strings.Contains(string(raw), "secret") || !strings.Contains(string(raw), "kept") {
		t.Errorf("a copy holds what was dropped, or lost what was kept: %v", err)
	}
	if err := db.Renew(nil, func(tx kv.Tx) error { return tx.Put("c", []byte("last"), nil) }); err != nil {
		t.Fatal(err)
	}
	if raw, err := os.ReadFile(path); err != nil || strings.Contains(string(raw), "secret") {
		t.Errorf("what was dropped still stands in the file: %v", err)
	}
	if n, faults := count(t, db), db.Check(); n != 2 || len(faults) > 0 {
		t.Errorf("the new file holds %d pairs, faults %v; want 2, none", n, faults)
	}
}

func count(t *testing.T, db *bolt.DB) (n int) {
	t.Helper()
	if err := db.View(func(tx kv.Tx) error {
		for range kv.Pairs(tx) {
			n++
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return n
}

// With any page of a file zeroed, or the file cut short, reading it, checking it
// and writing to it end in an answer: never in the end of the process.
func TestDamageIsContained(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(thousand(t))
	if err != nil {
		t.Fatal(err)
	}
	page, hurt := os.Getpagesize(), 0
	for n := len(raw); n > page && len(bytes.Trim(raw[n-page:n], "\x00")) == 0; n -= page {
		raw = raw[:n-page] // never used
	}
	path := filepath.Join(t.TempDir(), "broken.db")
	for at := 0; at < len(raw); at += page {
		for _, cut := range []bool{false, true} {
			broken := bytes.Clone(raw)
			if cut {
				broken = broken[:at]
			} else {
				clear(broken[at : at+page])
			}
			if err := os.WriteFile(path, broken, 0o600); err != nil {
				t.Fatal(err)
			}
			db, err := bolt.Open(path, bolt.Options{})
			if err != nil {
				hurt++
				continue
			}
			pairs := 0
			err = db.View(func(tx kv.Tx) error {
				for range kv.Pairs(tx) {
					pairs++
				}
				return nil
			})
			if err != nil && !errors.Is(err, kv.ErrDamaged) {
				t.Errorf("page at %d: %v, want damaged", at, err)
			}
			faults := db.Check()
			if pairs != 1000 && err == nil && len(faults) == 0 && len(broken) > 0 {
				t.Errorf("page at %d, cut %v: %d pairs and nothing said", at, cut, pairs)
			}
			if err != nil || len(faults) > 0 {
				hurt++
			}
			_ = db.Update(kv.Shared, func(tx kv.Tx) error { return tx.Put("b", []byte("key 0500 and more"), []byte("v")) })
			_ = db.Close()
		}
	}
	if hurt < len(raw)/page {
		t.Errorf("%d of %d damages were noticed, so the test shows little", hurt, 2*len(raw)/page)
	}
}
