package app_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/app"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// BenchmarkCase reads what decides about one wearer's reminders: it must cost
// the same after a year as after three months.
func BenchmarkCase(b *testing.B) {
	for _, nights := range []int{90, 400} {
		b.Run(fmt.Sprintf("%d nights", nights), func(b *testing.B) {
			now := time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)
			db, err := store.Open(filepath.Join(b.TempDir(), "n.db"), func() time.Time { return now })
			if err != nil {
				b.Fatal(err)
			}
			defer db.Close()
			today := civil.DateOf(now)
			if err := db.Update(func(tx *store.Tx) error { return aYear(tx, today.AddDays(-nights), nights) }); err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				err := db.View(func(tx *store.Tx) error { _, err := app.ReadCase(tx, "w1"); return err })
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Of a long log the reminders still know the bottle opened 200 nights ago, the
// lens worn since 390 nights, the last deposit removal and the pause that holds.
func TestRemindersRememberALongLog(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 25, 21, 0, 0, 0, time.UTC)
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	today := civil.DateOf(now)
	ago := func(nights int) civil.Date { return today.AddDays(-nights) }
	err = db.Update(func(tx *store.Tx) error {
		if err := aYear(tx, ago(395), 395); err != nil {
			return err
		}
		p := schedule.DefaultPlan(ago(395), "Europe/Lisbon")
		p.DepositRemovalDays = 30
		raw, err := json.Marshal(p)
		if err != nil {
			return err
		}
		if _, err := tx.Chart().PutPlan("w1", "c1", raw); err != nil {
			return err
		}
		for i, more := range []care.Entry{
			{Kind: care.Supply, Night: ago(390), Body: json.RawMessage(`{"item":"lens","action":"started","on":"` + ago(390).String() + `","eye":"both"}`)},
			{Kind: care.Supply, Night: ago(200), Body: json.RawMessage(`{"item":"solution","action":"started","on":"` + ago(200).String() + `","discard_after_days":300}`)},
			{Kind: care.Care, Night: ago(60), Body: json.RawMessage(`{"deposit_removal":true}`)},
			{Kind: care.Pause, Night: ago(29), V: 2, Body: json.RawMessage(`{"reason":"away","to":"` + today.String() + `"}`)},
		} {
			more.ID, more.DSeq, more.HLC = care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-9%011d", i)), uint64(9000+i), fmt.Sprintf("%013d-0000", 9000+i)
			more.Wearer, more.Device, more.Author, more.Zone, more.Wall, more.V = "w1", "d1", "p1", "Europe/Lisbon", more.Night.String()+"T20:00:00", max(more.V, 1)
			if _, err := tx.Log().Append("f1", &more); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var log schedule.Log
	err = db.View(func(tx *store.Tx) error { c, err := app.ReadCase(tx, "w1"); log = c.Input.Log; return err })
	// A pair of lenses is two things in use, one an eye, and begun on one day.
	if err != nil || len(log.Supplies) != 3 || len(log.LensStarts) != 1 || log.LastDeposit != ago(60) || len(log.Pauses) != 1 {
		t.Errorf("supplies %v, lenses %v, deposit removal %v, pauses %v, %v", log.Supplies, log.LensStarts, log.LastDeposit, log.Pauses, err)
	}
	if last := log.Nights[len(log.Nights)-1]; last.Night != ago(1) || !last.Inserted {
		t.Errorf("last night %+v", last)
	}
}

// aYear stores a wearer with a plan and four entries a night.
func aYear(tx *store.Tx, first civil.Date, nights int) error {
	if err := errors.Join(tx.Register().AddFamily(care.Family{ID: "f1"}), tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1"})); err != nil {
		return err
	}
	raw, err := json.Marshal(schedule.DefaultPlan(first, "Europe/Lisbon"))
	if err != nil {
		return err
	}
	if _, err := tx.Chart().PutPlan("w1", "c1", raw); err != nil {
		return err
	}
	for i := range nights * 4 {
		kind := []care.EntryKind{care.Insertion, care.Removal, care.Care, care.EveningSight}[i%4]
		body := []string{`{"at":"21:30","eyes":"both"}`, `{"at":"06:45","eyes":"both"}`, `{"hand_wash":true,"rub":true,"rinse":"solution","closed_at":"07:00"}`, `{"rating":4}`}[i%4]
		night := first.AddDays(i / 4)
		e := care.Entry{ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%012d", i)), Wearer: "w1", Device: "d1", DSeq: uint64(i + 1), Author: "p1", Kind: kind,
			Night: night, Wall: night.String() + "T22:00:00", Zone: "Europe/Lisbon", HLC: fmt.Sprintf("%013d-0000", i), V: 1, Body: json.RawMessage(body)}
		if _, err := tx.Log().Append("f1", &e); err != nil {
			return err
		}
	}
	return nil
}
