package web_test

import (
	"encoding/json"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A family chooses for its own wearers, a teen for nobody else; the choice
// comes back with the family, and the next tick looks at the wearer again.
func TestFamilyChoosesItsReminders(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	later := simNow.Add(5 * time.Hour)
	s.update(func(tx *store.Tx) error {
		if _, err := tx.Chart().PutPlan("w1", "c1", json.RawMessage(`{"zone":"Europe/Lisbon"}`)); err != nil {
			return err
		}
		if err := tx.Register().AddWearer(care.Wearer{ID: "w3", Family: "f1", Name: "S", Code: "W-3"}); err != nil {
			return err
		}
		return tx.Duty().SetDue("w1", later)
	})
	s.says("POST", "/api/reminders", "teen", `{"wearer":"w1","remind_first":"teen","parent_after_minutes":30,"lock_screen_words":"plain"}`, 200, "")
	s.says("POST", "/api/reminders", "teen", `{"wearer":"w3","lock_screen_words":"plain"}`, 422, "foreign-wearer")
	s.says("POST", "/api/reminders", "family", `{"wearer":"w3","lock_screen_words":"plain"}`, 200, "") // no plan yet
	s.says("POST", "/api/reminders", "family", `{"wearer":"w2","lock_screen_words":"plain"}`, 422, "foreign-wearer")
	s.says("POST", "/api/reminders", "family", `{"wearer":"w1","lock_screen_words":"loud"}`, 422, "lock_screen_words")
	type family struct {
		Wearers []struct {
			ID        string
			Reminders struct {
				First string `json:"remind_first"`
				After int    `json:"parent_after_minutes"`
				Words string `json:"lock_screen_words"`
			}
		}
	}
	got := decode[family](t, s.says("GET", "/api/family", "family", "", 200, "")).Wearers[0].Reminders
	if !s.audited("t1", "chose reminders", "w1") || s.audited("t1", "chose reminders", "w3") {
		t.Error("the audit log does not say who chose for whom")
	}
	if got.First != "teen" || got.After != 30 || got.Words != "plain" {
		t.Errorf("the family reads back %+v", got)
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		if due := tx.Duty().DueBy(simNow, 9); len(due) != 1 || due[0] != "w1" {
			t.Errorf("due now: %v; want w1 alone, which has a plan", due)
		}
		return nil
	})
}
