package log_test

import (
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/scene"
)

func TestAppendTwiceIsOnce(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	if got := scene.Append(t, db, scene.Entry(1, nil)); got != log.Added {
		t.Fatalf("first: %v", got)
	}
	if got := scene.Append(t, db, scene.Entry(1, nil)); got != log.Duplicate {
		t.Fatalf("again: %v", got)
	}
	if got := scene.Append(t, db, scene.Entry(1, func(e *care.Entry) { e.Body = json.RawMessage(`{"rub":false}`) })); got != log.Taken {
		t.Fatalf("same id, other content: %v", got)
	}
	err := db.View(func(tx *store.Tx) error {
		p, err := tx.Log().Page("f1", 0, 100, 1<<20)
		if err != nil || len(p.Entries) != 1 || p.Cursor != 1 || p.More {
			t.Errorf("page %+v, %v; want the one entry", p, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The watermark is the highest counter value with nothing missing below it.
// Every entry of a long log is found by its id, and known again, in whatever
// order the ids came: a phone whose clock is behind gives ids that are less than
// those stored. Hundred and one entries fill several values of the index.
func TestIDsAreFoundInAnyOrder(t *testing.T) {
	t.Parallel()
	const last = 101
	for name, id := range map[string]func(seq int) int{
		"rising": func(seq int) int { return seq }, "falling": func(seq int) int { return last + 1 - seq }, "mixed": func(seq int) int { return seq * 41 % (last + 1) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "n.db")
			db := scene.OpenAt(t, path)
			_ = db.Update(func(tx *store.Tx) error { return tx.Register().AddFamily(care.Family{ID: "f1"}) })
			for from := 1; from <= last; from += 7 { // pushes that end within a value and beyond it
				err := db.Update(func(tx *store.Tx) error {
					for seq := from; seq < from+7 && seq <= last; seq++ {
						if got, err := tx.Log().Append("f1", scene.Entry(id(seq), nil)); err != nil || got != log.Added {
							t.Errorf("number %d: %v, %v; want it added", seq, got, err)
						}
					}
					return nil
				})
				if err != nil {
					t.Fatal(err)
				}
			}
			for seq := 1; seq <= last; seq++ {
				want := scene.Entry(id(seq), nil).ID
				_ = db.View(func(tx *store.Tx) error {
					if e, err := tx.Log().Entry("f1", want); err != nil || e.ID != want || e.FSeq != uint64(seq) {
						t.Errorf("%s: found %s at %d, %v; want it at %d", want, e.ID, e.FSeq, err, seq)
					}
					return nil
				})
				if got := scene.Append(t, db, scene.Entry(id(seq), nil)); got != log.Duplicate {
					t.Errorf("number %d again: %v", seq, got)
				}
				if got := scene.Append(t, db, scene.Entry(id(seq), func(e *care.Entry) { e.Body = json.RawMessage(`{"rub":false}`) })); got != log.Taken {
					t.Errorf("number %d with other content: %v", seq, got)
				}
			}
			db.Close()
			if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
				t.Errorf("the file: %v, %v", faults, err)
			}
		})
	}
}

func TestWatermarkWaitsForGaps(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	for _, step := range []struct {
		dseq int
		want uint64
	}{{1, 1}, {3, 1}, {4, 1}, {2, 4}} {
		scene.Append(t, db, scene.Entry(step.dseq, nil))
		_ = db.View(func(tx *store.Tx) error {
			if got := tx.Log().Watermark("f1", "d1"); got != step.want {
				t.Errorf("after %d: watermark %d, want %d", step.dseq, got, step.want)
			}
			return nil
		})
	}
}

// A correction that arrives before what it corrects, and moves it to another
// night, must leave the same nights as in the other order.
func TestLateOriginalFoldsUnderItsCorrection(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	orig := scene.Entry(1, nil)
	fix := scene.Entry(2, func(e *care.Entry) {
		e.Night, e.Supersedes = civil.MustDate("2026-03-27"), []care.EntryID{orig.ID}
	})
	scene.Append(t, db, fix)
	scene.Append(t, db, orig)
	_ = db.View(func(tx *store.Tx) error {
		list, err := tx.Log().Nights("w1", civil.MustDate("2026-03-01"), civil.MustDate("2026-03-31"))
		if err != nil || len(list) != 1 || list[0].Date != civil.MustDate("2026-03-27") {
			t.Errorf("nights %+v, %v; want only the 27th", list, err)
		}
		return nil
	})
}

// Pages walk the whole log once, and the checksum of the last page is that of
// the whole log, worked out here by the definition in care/ENTRIES.md.
func TestPagesAndChecksum(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	sum := ""
	for n := 1; n <= 7; n++ {
		e := scene.Entry(n, nil)
		scene.Append(t, db, e)
		sum = log.NextChecksum(sum, e.ID)
	}
	var cursor uint64
	var seen int
	for {
		var p log.Page
		if err := db.View(func(tx *store.Tx) (err error) { p, err = tx.Log().Page("f1", cursor, 3, 1<<20); return err }); err != nil {
			t.Fatal(err)
		}
		seen += len(p.Entries)
		cursor = p.Cursor
		if !p.More {
			if p.Checksum != sum || seen != 7 || cursor != 7 {
				t.Errorf("end: %d entries, cursor %d, checksum %s; want 7, 7, %s", seen, cursor, p.Checksum, sum)
			}
			return
		}
	}
}

// SHA-256("\n01900000-0000-7000-8000-000000000001"), first 8 bytes, by the
// sha256sum command.
func TestChecksumByCommand(t *testing.T) {
	t.Parallel()
	if got, want := log.NextChecksum("", "01900000-0000-7000-8000-000000000001"), "a3600079428a4bc5"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// A family that only pauses or puts off its reminders has said nothing of how
// the wearer is: the silence counts on from the last word.
func TestPauseIsNoWordOfTheWearer(t *testing.T) {
	t.Parallel()
	now := scene.Now
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	scene.Append(t, db, scene.Entry(1, nil))
	for i, kind := range []care.EntryKind{care.Snooze, care.Pause} {
		now = now.AddDate(0, 0, 1)
		scene.Append(t, db, scene.Entry(2+i, func(e *care.Entry) { e.Kind, e.V, e.Night = kind, 2, e.Night.AddDays(i+1) }))
	}
	_ = db.View(func(tx *store.Tx) error {
		if got, err := tx.Log().LastReceived("w1", civil.MustDate("2026-03-01"), civil.MustDate("2026-04-30")); err != nil || !got.Equal(scene.Now) {
			t.Errorf("last word %s, %v; want %s, when the care was logged", got, err, scene.Now)
		}
		return nil
	})
}
