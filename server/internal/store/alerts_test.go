package store_test

import (
	"path/filepath"
	"testing"
	"time"

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
			if err := tx.Register().AddPerson(p); err != nil {
				return err
			}
		}
		rules, err := tx.Duty().EscalationRules()
		if err != nil {
			return err
		}
		_, err = tx.Duty().ApplyAlert(rules, escalate.Alert{ID: "x", Wearer: "w1", Family: "f1", Rule: "pus"}, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency})
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

// After a day without mail each alert is mailed once to each person, the last
// message of each, and not every one of the ladder's.
func TestMailsOfADayAreOneForEachAlert(t *testing.T) {
	t.Parallel()
	db := opened(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	now := time.Now().Truncate(time.Millisecond)
	err := db.Update(func(tx *store.Tx) error {
		for step := range 96 {
			for _, alert := range []care.AlertID{"a1", "a2", "a3"} {
				for _, c := range []escalate.Channel{escalate.Mail, escalate.Push} {
					r := escalate.Row{Delivery: escalate.Delivery{Step: step, Channel: c, Target: "c1", Kind: escalate.KindAlert, Level: escalate.Urgent}, Alert: alert, Created: now, Due: now}
					if err := tx.Duty().PutRow(r); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	mails := map[care.AlertID]int{}
	pushes := 0
	for {
		rows, err := store.Outbox{DB: db}.Lease(now, 64, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) == 0 {
			break
		}
		for _, r := range rows {
			if r.Channel == escalate.Mail {
				mails[r.Alert] = r.Step
			} else {
				pushes++
			}
		}
	}
	if len(mails) != 3 || mails["a1"] != 95 || mails["a2"] != 95 || mails["a3"] != 95 || pushes != 3*96 {
		t.Errorf("mails by alert and step: %v, %d pushes; want the last of each of three, and all 288 pushes", mails, pushes)
	}
}
