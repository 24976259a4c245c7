package register_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Without a second person a link opens and a role is given when a day has gone by,
// of which everybody was told, and not a second before.
func TestAStaffChangeHoldsAfterADay(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	now := start
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	do := func(f func(*store.Tx) error) error { return db.Update(f) }
	from := start.Add(24 * time.Hour)
	err = do(func(tx *store.Tx) error {
		for _, p := range []care.Person{{ID: "a1", Name: "A", Role: care.Administrator}, {ID: "k1", Name: "K", Role: care.Desk}, {ID: "c9", Name: "N", Role: care.Clinician}} {
			if err := tx.Register().AddPerson(p); err != nil {
				return err
			}
		}
		if err := tx.Access().Invite("LINK", register.Invitation{ID: "i", Person: "c9", By: "a1", Created: tx.Now, From: from, Expires: from.Add(time.Hour)}); err != nil {
			return err
		}
		if err := tx.Access().AddStaffChange(register.StaffChange{ID: "x", Kind: register.StaffAdded, Person: "c9", By: "a1", At: tx.Now, From: from, Invitation: "i"}); err != nil {
			return err
		}
		return tx.Access().AddStaffChange(register.StaffChange{ID: "y", Kind: register.StaffRole, Person: "k1", Role: care.Clinician, By: "a1", At: tx.Now, From: from})
	})
	if err != nil {
		t.Fatal(err)
	}
	role := func() (r care.Role) {
		if err := do(func(tx *store.Tx) error { _, err := tx.Access().ApplyStaffChanges(); return err }); err != nil {
			t.Fatal(err)
		}
		_ = db.View(func(tx *store.Tx) error {
			p, err := tx.Register().Person("k1")
			r = p.Role
			return err
		})
		return r
	}
	redeem := func() error {
		return do(func(tx *store.Tx) error { _, err := tx.Access().Redeem("LINK"); return err })
	}
	now = from.Add(-time.Second)
	if err := redeem(); care.KindOf(err) != care.Conflict {
		t.Errorf("a second before its time the link gives %v", err)
	}
	if got := role(); got != care.Desk {
		t.Errorf("a second before its time the role is %s", got)
	}
	now = from
	if err := redeem(); err != nil {
		t.Errorf("when its time has come the link gives %v", err)
	}
	if got := role(); got != care.Clinician {
		t.Errorf("when its time has come the role is %s", got)
	}
	// Given once: what is decided later stands.
	if err := do(func(tx *store.Tx) error {
		return tx.Register().ChangePerson("k1", func(p *care.Person) { p.Role = care.Desk })
	}); err != nil {
		t.Fatal(err)
	}
	if got := role(); got != care.Desk {
		t.Errorf("the role came back as %s", got)
	}
}

// A role that waits is taken back for the person who was given another one, and for
// nobody else; what else waits for that person stays.
func TestARoleThatWaitsIsTakenBackForOnePerson(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var left []register.StaffChange
	err = db.Update(func(tx *store.Tx) error {
		for _, c := range []register.StaffChange{
			{ID: "1", Person: "k1", Kind: register.StaffRole, Role: care.Clinician, From: now.Add(24 * time.Hour)},
			{ID: "2", Person: "k2", Kind: register.StaffRole, Role: care.Clinician, From: now.Add(24 * time.Hour)},
			{ID: "3", Person: "k1", Kind: register.StaffMail, At: now, From: now.Add(24 * time.Hour)},
		} {
			if err := tx.Access().AddStaffChange(c); err != nil {
				return err
			}
		}
		if err := tx.Access().KeepRole("k1"); err != nil {
			return err
		}
		left, err = tx.Register().StaffChanges()
		return err
	})
	if err != nil || len(left) != 2 || left[0].ID != "2" || left[1].ID != "3" {
		t.Errorf("left are %+v, %v; want the role of the other person, and the mail address", left, err)
	}
}
