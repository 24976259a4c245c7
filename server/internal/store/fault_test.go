package store_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// places is how many damages are tried; NIGHTKEEP_FAULTS says another number.
func places(t *testing.T) int {
	t.Helper()
	if text := os.Getenv("NIGHTKEEP_FAULTS"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	return 60
}

// served is what a file answers: every text by what it is of.
type served struct {
	said   map[string]string
	failed int // questions answered with an error, or entries said to be unreadable
}

// ask asks a file for everything of some families, as requests would: each in a
// transaction of its own.
func ask(db *store.DB, families []string) served {
	out := served{said: map[string]string{}}
	view := func(f func(tx *store.Tx) error) {
		if db.View(f) != nil {
			out.failed++
		}
	}
	say := func(what string, v any) {
		raw, err := json.Marshal(v)
		if err != nil {
			panic(err)
		}
		out.said[what] = string(raw)
	}
	for _, mark := range families {
		askRecords(mark, view, say)
		askLog(mark, view, say, &out.failed)
	}
	for what, text := range out.said {
		if text == `""` || text == "null" { // what an error left empty
			delete(out.said, what)
		}
	}
	return out
}

// askRecords asks for what is known of a family beside its log.
func askRecords(mark string, view func(func(*store.Tx) error), say func(string, any)) {
	h := scene.Household{Mark: mark}
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	view(func(tx *store.Tx) error {
		f, err := tx.Register().Family(family)
		say("family "+mark, f.Name)
		return err
	})
	view(func(tx *store.Tx) error {
		p, err := tx.Register().Person(care.PersonID(h.ID("parent")))
		say("parent "+mark, p.Phone)
		return err
	})
	view(func(tx *store.Tx) error {
		a, err := tx.Duty().Alert(care.AlertID(h.ID("alert")))
		say("alert "+mark, a.Level)
		return err
	})
	view(func(tx *store.Tx) error {
		p, err := tx.Chart().Plan(wearer)
		say("plan "+mark, string(p.Plan))
		return err
	})
}

// askLog asks for the nights and the log of a family.
func askLog(mark string, view func(func(*store.Tx) error), say func(string, any), failed *int) {
	h := scene.Household{Mark: mark}
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	view(func(tx *store.Tx) error {
		nights, err := tx.Log().Nights(wearer, civil.MustDate("2026-03-01"), civil.MustDate("2026-04-30"))
		for _, n := range nights {
			for _, item := range n.Items {
				say(fmt.Sprintf("item %s %s %s", mark, n.Date, item.Key), item.Differ)
			}
		}
		return err
	})
	view(func(tx *store.Tx) error {
		page, err := tx.Log().Page(family, 0, 1e6, 1e9)
		for _, raw := range page.Entries {
			var e struct {
				ID, Mac    string
				Wearer     string
				Body       json.RawMessage
				Unreadable bool
			}
			if json.Unmarshal(raw, &e) != nil || e.Unreadable {
				*failed++
				continue
			}
			e.Mac = ""
			say("entry "+e.ID, e)
		}
		return err
	})
}

// hurt damages one place of a file: a bit, a page, two pages or its end.
func hurt(r *rand.Rand, raw []byte) (how string) {
	page := os.Getpagesize()
	pages := len(raw) / page
	at := func() []byte { n := r.IntN(pages); return raw[n*page : (n+1)*page] }
	switch r.IntN(4) {
	case 0:
		n := r.IntN(len(raw) * 8)
		raw[n/8] ^= 1 << (n % 8)
		return fmt.Sprintf("bit %d flipped", n)
	case 1:
		clear(at())
		return "a page zeroed"
	case 2:
		a, b := at(), at()
		keep := bytes.Clone(a)
		copy(a, b)
		copy(b, keep)
		return "two pages swapped"
	}
	n := r.IntN(pages)
	clear(raw[n*page:]) // what a file system gives back of a file that was cut and grown again
	return fmt.Sprintf("all zero from page %d on", n)
}

// fiveFamilies makes a file and returns its bytes, who is in it, and what it says.
func fiveFamilies(t *testing.T) (raw []byte, families []string, want served) {
	t.Helper()
	families = []string{"quincely", "marrowby", "aldhurst", "brinkham", "colswick"}
	path := filepath.Join(t.TempDir(), "whole.db")
	db := scene.OpenAt(t, path)
	scene.Practice(t, db)
	for _, mark := range families {
		h := scene.Household{Mark: mark}
		h.Settle(t, db)
		err := db.Update(func(tx *store.Tx) error {
			for n := 10; n < 150; n++ {
				e := h.Entry(n, func(e *care.Entry) { e.Night = civil.MustDate("2026-03-01").AddDays(n % 40) })
				if _, err := tx.Log().Append(care.FamilyID(h.ID("family")), e); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	want = ask(db, families)
	if want.failed > 0 || len(want.said) < 900 {
		t.Fatalf("the whole file answers %d things, %d failed", len(want.said), want.failed)
	}
	db.Close()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return used(raw), families, want
}

// used returns a file without the end of it that was never used.
func used(raw []byte) []byte {
	for n := len(raw); n > 4096 && len(bytes.Trim(raw[n-4096:n], "\x00")) == 0; n -= 4096 {
		raw = raw[:n-4096]
	}
	return raw
}

// oneDamage damages the file at a seeded place, and reports whether that cost an
// answer, and whether it could be repaired.
func oneDamage(t *testing.T, seed int, raw []byte, families []string, want served) (lessSaid, saved bool) {
	t.Helper()
	r := rand.New(rand.NewPCG(uint64(seed), 1))
	dir := t.TempDir()
	broken := bytes.Clone(raw)
	how := fmt.Sprintf("seed %d, %s", seed, hurt(r, broken))
	file, fixed := filepath.Join(dir, "n.db"), filepath.Join(dir, "fixed.db")
	if err := os.WriteFile(file, broken, 0o600); err != nil {
		t.Fatal(err)
	}
	if repaired, err := store.Repair(file, fixed, scene.Now); err == nil {
		saved = true
		db := scene.OpenAt(t, fixed)
		got := ask(db, families)
		truth(t, how+", repaired", got, want, len(repaired.Lost))
		if len(got.said) < len(want.said) && len(repaired.Lost) == 0 && len(repaired.Left) == 0 {
			t.Errorf("%s: the repair has lost %d answers and says nothing", how, len(want.said)-len(got.said))
		}
		db.Close()
	}
	db, err := store.Open(file, func() time.Time { return scene.Now })
	if err != nil {
		return lessSaid, saved
	}
	got := ask(db, families)
	truth(t, how, got, want, len(db.Unreadable()))
	_ = db.Backup(filepath.Join(dir, "copy.db"))
	db.Close()
	faults, err := store.CheckFile(file)
	if len(got.said) < len(want.said) {
		lessSaid = true
		if err == nil && len(faults) == 0 && got.failed == 0 {
			t.Errorf("%s: %d of %d answers, and neither an error nor a check says so", how, len(got.said), len(want.said))
		}
	}
	return lessSaid, saved
}

// A file damaged anywhere serves what is true or an error, never anything else;
// what it lacks is named by a check; a backup of it and a repair end in an answer;
// and what a repair has saved is true too. The process lives on: a panic would end
// this test.
func TestDamageServesNothingWrong(t *testing.T) {
	t.Parallel()
	raw, families, want := fiveFamilies(t)
	lessSaid, saved := 0, 0
	for seed := range places(t) {
		less, whole := oneDamage(t, seed, raw, families, want)
		if less {
			lessSaid++
		}
		if whole {
			saved++
		}
	}
	if n := places(t); lessSaid < n/10 || saved < n/4 {
		t.Errorf("of %d damages %d cost an answer and %d were repaired, so the test shows little", n, lessSaid, saved)
	}
}

// truth reports every answer that differs from the whole file's. Where a correction
// is lost, what it corrected is shown again; that it is lost must be named.
func truth(t *testing.T, how string, got, want served, named int) {
	t.Helper()
	for what, text := range got.said {
		if _, known := want.said[what]; !known && named > 0 && strings.HasPrefix(what, "item ") {
			continue
		}
		if want.said[what] != text {
			t.Errorf("%s: %s is served as %.80s, and was %.80s", how, what, text, want.said[what])
			return
		}
	}
}

// A repair touches no file there is.
func TestRepairNeverOverwrites(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	there := filepath.Join(t.TempDir(), "there.db")
	if err := os.WriteFile(there, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var refused *care.Error
	if _, err := store.Repair(path, there, scene.Now); !errors.As(err, &refused) || refused.Code != "file-exists" {
		t.Errorf("repair over a file: %v, want file-exists", err)
	}
	if raw, err := os.ReadFile(there); err != nil || string(raw) != "mine" {
		t.Errorf("the file that was there holds %q, %v", raw, err)
	}
	out, err := store.Repair(path, there+".new", scene.Now)
	if err != nil || len(out.Lost) > 0 || len(out.Left) > 0 {
		t.Errorf("repair of a whole file: lost %v, left %v, %v; want nothing", out.Lost, out.Left, err)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the file that was repaired has changed: %v", err)
	}
}
