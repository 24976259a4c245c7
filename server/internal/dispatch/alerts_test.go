package dispatch_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// A practice that has made no rota must not lose an emergency: everybody who
// can answer is told at once, and the owner by mail.
func TestWithoutARotaEverybodyIsTold(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	err := db.Update(func(tx *store.Tx) error {
		for _, p := range []care.Person{
			{ID: "c1", Role: care.Clinician}, {ID: "k1", Role: care.Desk}, {ID: "a1", Role: care.Administrator}, {ID: "c2", Role: care.Clinician, Gone: true},
		} {
			if err := tx.Register().AddPerson(p); err != nil {
				return err
			}
		}
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		_, err = dispatch.Apply(tx, rules, escalate.Alert{ID: "x", Wearer: "w1", Family: "f1", Rule: "pus"}, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	rows, err := dispatch.Outbox{DB: db}.Lease(scene.Now, 100, 1)
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

// After a day without mail each red flag is mailed once to each person, by the
// last message about it, and everything else as one summary, after the red flags:
// 4 mails instead of 294. Every push stays. The rows wait until different moments,
// as after tries that failed.
func TestMailsOfADayAreOneForEachAlertAndASummary(t *testing.T) {
	t.Parallel()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	now := time.Now().Truncate(time.Millisecond)
	row := func(alert care.AlertID, step int, c escalate.Channel, k escalate.Kind, l escalate.Level) escalate.Row {
		made := now.Add(time.Duration(step-96) * 15 * time.Minute)
		return escalate.Row{Delivery: escalate.Delivery{Step: step, Channel: c, Target: "c1", Kind: k, Level: l}, Alert: alert,
			Created: made, Due: now.Add(time.Duration(step%5) * time.Minute), Attempt: min(1, 95-step)}
	}
	err = db.Update(func(tx *store.Tx) error {
		for step := range 96 {
			for _, alert := range []care.AlertID{"a1", "a2", "a3"} {
				for _, c := range []escalate.Channel{escalate.Mail, escalate.Push} {
					if err := tx.Duty().PutRow(row(alert, step, c, escalate.KindAlert, escalate.Urgent)); err != nil {
						return err
					}
				}
			}
		}
		for i := range 6 {
			if err := tx.Duty().PutRow(row(care.AlertID(fmt.Sprint("rota-", i)), 0, escalate.Mail, escalate.KindRota, escalate.Note)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var mails []string
	pushes := 0
	for _, at := range []time.Time{now, now.Add(5 * time.Minute)} {
		rows, err := dispatch.Outbox{DB: db}.Lease(at, 1000, time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if r.Channel != escalate.Mail {
				pushes++
			} else if r.Kind == escalate.KindSummary {
				mails = append(mails, fmt.Sprintf("summary of %d", 1+r.StandsFor))
			} else {
				mails = append(mails, fmt.Sprintf("%s step %d for %d", r.Kind, r.Step, 1+r.StandsFor))
			}
		}
	}
	want := []string{"alert step 95 for 96", "alert step 95 for 96", "alert step 95 for 96", "summary of 6"}
	if !slices.Equal(mails, want) || pushes != 3*96 {
		t.Errorf("mails %q, %d pushes; want %q, and all 288 pushes", mails, pushes, want)
	}
}

// While mail works, two notices that fall due together are two mails.
func TestNoticesAreMailedByThemselvesWhileMailWorks(t *testing.T) {
	t.Parallel()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	now := time.Now().Truncate(time.Millisecond)
	err = db.Update(func(tx *store.Tx) error {
		for _, day := range []care.AlertID{"rota-1", "rota-2"} {
			r := escalate.Row{Delivery: escalate.Delivery{Channel: escalate.Mail, Target: "c1", Kind: escalate.KindRota, Level: escalate.Note}, Alert: day, Created: now, Due: now}
			if err := tx.Duty().PutRow(r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if rows, err := (dispatch.Outbox{DB: db}).Lease(now, 64, time.Minute); err != nil || len(rows) != 2 || rows[0].Kind != escalate.KindRota {
		t.Errorf("%+v, %v; want both notices", rows, err)
	}
}
