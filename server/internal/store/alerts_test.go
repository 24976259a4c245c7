package store_test

import (
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// A practice that has made no rota must not lose an emergency: everybody who
// can answer is told at once, and the owner by mail.
func TestWithoutARotaEverybodyIsTold(t *testing.T) {
	t.Parallel()
	db := open(t)
	err := db.Update(func(tx *store.Tx) error {
		for _, p := range []care.Person{
			{ID: "c1", Role: care.Clinician}, {ID: "k1", Role: care.Desk}, {ID: "a1", Role: care.Administrator}, {ID: "c2", Role: care.Clinician, Gone: true},
		} {
			if err := tx.AddPerson(p); err != nil {
				return err
			}
		}
		rules, err := tx.EscalationRules()
		if err != nil {
			return err
		}
		_, err = tx.ApplyAlert(rules, escalate.Alert{ID: "x", Wearer: "w1", Family: "f1", Rule: "pus"}, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	rows, err := store.Outbox{DB: db}.Lease(t0, 100, 1)
	if err != nil {
		t.Fatal(err)
	}
	told := map[care.PersonID]bool{}
	for _, r := range rows {
		if r.Channel == escalate.Push {
			told[r.Target] = true
		}
	}
	if len(told) != 2 || !told["c1"] || !told["k1"] {
		t.Errorf("told %v, want the clinician and the desk", told)
	}
}
