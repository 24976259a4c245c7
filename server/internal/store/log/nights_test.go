package log_test

import (
	"encoding/json"
	"path/filepath"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// TestSupplyNights reads only nights with a supply, also when they were logged
// in the same transaction.
func TestSupplyNights(t *testing.T) {
	t.Parallel()
	db := scene.OpenAt(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	entry := func(n int, kind care.EntryKind, night, body string) *care.Entry {
		id := "01900000-0000-7000-8000-00000000000" + string(rune('0'+n))
		return &care.Entry{ID: care.EntryID(id), Wearer: "w1", Device: "d1", DSeq: uint64(n), Author: "p1", Kind: kind, Night: civil.MustDate(night),
			Wall: night + "T22:00:00", Zone: "UTC", HLC: "1774734000000-000" + string(rune('0'+n)), V: 1, Body: json.RawMessage(body)}
	}
	err := db.Update(func(tx *store.Tx) error {
		for _, e := range []*care.Entry{
			entry(1, care.Supply, "2026-03-01", `{"item":"lens","action":"started","on":"2026-03-01"}`),
			entry(2, care.Note, "2026-03-02", `{"text":"supply/ is a word here, \"key\":\"supply/ too"}`),
			entry(3, care.Supply, "2026-03-05", `{"item":"case","action":"started","on":"2026-03-05"}`),
			entry(4, care.Supply, "2026-03-09", `{"item":"case","action":"started","on":"2026-03-09"}`),
		} {
			if _, err := tx.Log().Append("f1", e); err != nil {
				return err
			}
		}
		nights, err := tx.Log().SupplyNights("w1", civil.MustDate("2026-03-01"), civil.MustDate("2026-03-05"))
		if err != nil {
			return err
		}
		if len(nights) != 2 || nights[0].Date != civil.MustDate("2026-03-01") || nights[1].Date != civil.MustDate("2026-03-05") {
			t.Errorf("got %d nights %v, want those of 1 and 5 March", len(nights), nights)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
