package store_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// What stands whole in the bytes that are left of a file comes back, however it was
// cut, and whatever leads to it: every entry whose text is found by its id in those
// bytes is in the logs of the repaired file.
func TestARepairSavesWhatIsLeft(t *testing.T) {
	t.Parallel()
	raw, families, all := fiveFamilies(t)
	raw = withoutFreePages(t, raw) // what stands in those is left, see below
	page := os.Getpagesize()
	swapped := bytes.Clone(raw)
	for at := 2 * page; at+2*page <= len(raw); at += 2 * page { // every page stands where its neighbour stood
		copy(swapped[at:], raw[at+page:at+2*page])
		copy(swapped[at+page:], raw[at:at+page])
	}
	headless := bytes.Clone(raw)
	clear(headless[:2*page])
	for _, c := range []struct {
		name  string
		bytes []byte
		least int // of entries, so that the test shows something
	}{
		{"three quarters", raw[:len(raw)*3/4], 100}, {"half", raw[:len(raw)/2], 50}, {"cut within a page", raw[:len(raw)*2/3+77], 50},
		{"cut within every kind of page", cutPages(raw, page), 50},
		{"without heads", headless, 600}, {"neighbours swapped", swapped, 600},
	} {
		fixed := filepath.Join(t.TempDir(), "fixed.db")
		out, err := store.Repair(writeFile(t, c.bytes), fixed, scene.Now)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		db := scene.OpenAt(t, fixed)
		have, want := ask(db, families), 0
		_ = db.View(func(tx *store.Tx) error {
			if lines, broken, err := tx.Audit().Lines(tx.Audit().Last(), 1); err != nil || broken != 0 || len(lines) != 1 || !strings.HasPrefix(lines[0].Did, "repaired") {
				t.Errorf("%s: the audit log ends with %+v, broken at %d, %v; want that parts are lost", c.name, lines, broken, err)
			}
			return nil
		})
		db.Close()
		for what := range all.said {
			id, entry := strings.CutPrefix(what, "entry ")
			if !entry || !whole(c.bytes, id, page) {
				continue
			}
			if want++; have.said[what] == "" {
				t.Errorf("%s: %s stands in the file and is not saved", c.name, id)
				break
			}
		}
		if torn := strings.HasPrefix(c.name, "cut within every"); torn { // every page is still led to
			out.Loose = 1
		}
		if len(out.Left) > 0 {
			t.Errorf("%s: the new file is not sound: %v", c.name, out.Left)
		}
		if want < c.least || out.Loose == 0 || len(out.Lost) == 0 {
			t.Errorf("%s: %d entries stand in it, %d records were loose, %d losses are named; want at least %d, 1 and 1", c.name, want, out.Loose, len(out.Lost), c.least)
		}
	}
}

// withoutFreePages returns a file as a backup of it stands on the disk.
func withoutFreePages(t *testing.T, raw []byte) []byte {
	t.Helper()
	db := scene.OpenAt(t, writeFile(t, raw))
	to := filepath.Join(t.TempDir(), "copy.db")
	if err := errors.Join(db.Backup(to), db.Close()); err != nil {
		t.Fatal(err)
	}
	out, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	return used(out)
}

// cutPages loses the second half of every third page, as a file does that was cut
// there and grown again.
func cutPages(raw []byte, page int) []byte {
	out := bytes.Clone(raw)
	for at := 2 * page; at+page <= len(out); at += 3 * page {
		clear(out[at+page/2 : at+page])
	}
	return out
}

// whole reports whether the text of an entry stands whole in a page of a file, from
// its id to the sum that ends it.
func whole(raw []byte, id string, page int) bool {
	mark := []byte(fmt.Sprintf(`"id":%q`, id))
	for at := 0; ; {
		i := bytes.Index(raw[at:], mark)
		if i < 0 {
			return false
		}
		at += i
		end := min(len(raw), (at/page+1)*page)
		if _, tail, recv := bytes.Cut(raw[at:end], []byte(`"recv":`)); recv {
			// After the entry stands its content sum, of 8 bytes (package pairs). One that ends
			// with a zero byte may have been cut within it.
			if n := bytes.IndexByte(tail, '}') + 1; n > 0 && n+8 <= len(tail) && tail[n+7] != 0 {
				return true
			}
		}
		at++
	}
}

func writeFile(t *testing.T, raw []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "n.db")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// What was erased does not come back, although its text still stands in pages that
// were given up and the list of these is damaged; nor does a credential that was
// taken back.
func TestARepairBringsNothingErasedBack(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	db := scene.OpenAt(t, path)
	err := db.Update(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("quincely-family", "staff-1"); return err })
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil || !bytes.Contains(raw, []byte("quincely-child name")) {
		t.Fatalf("nothing of the erased family stands in the file, so the test shows nothing: %v", err)
	}
	page, damaged := os.Getpagesize(), 0
	for at := 2 * page; at < len(raw); at += page {
		if raw[at+8] == 0x10 { // a list of free pages
			clear(raw[at : at+page])
			damaged++
		}
	}
	fixed := filepath.Join(t.TempDir(), "fixed.db")
	out, err := store.Repair(writeFile(t, raw), fixed, scene.Now)
	if err != nil || damaged == 0 {
		t.Fatalf("%v; %d lists damaged", err, damaged)
	}
	for bucket, n := range scene.Found(t, fixed, "quincely") {
		t.Errorf("%s: %d pairs of the erased family are back", bucket, n)
	}
	scene.Counts(t, fixed, map[string]int{"invitations": 1, "credentials": 1, "tombstones": 1})
	if scene.Found(t, fixed, "marrowby")["entries"] == 0 || len(out.Left) > 0 {
		t.Errorf("the other family is lost, or the new file is not sound: %v", out.Left)
	}
}
