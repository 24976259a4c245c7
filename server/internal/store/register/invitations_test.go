package register_test

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// staffed runs do on a new file in which two administrators and others of the staff are.
func staffed(t *testing.T, now *time.Time, do func(*store.DB)) {
	t.Helper()
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return *now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.Update(func(tx *store.Tx) (err error) {
		for _, id := range []care.PersonID{"a1", "a2", "new", "key", "browser", "both"} {
			err = errors.Join(err, tx.Register().AddPerson(care.Person{ID: id, Name: "S", Role: care.Administrator}))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	do(db)
}

// An invitation is withdrawn by whoever made it, while it can be used, and no other
// with it.
func TestAnInvitationIsWithdrawnByWhoMadeIt(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	staffed(t, &now, func(db *store.DB) {
		err := db.Update(func(tx *store.Tx) (err error) {
			for id, by := range map[string]care.PersonID{"mine": "a1", "theirs": "a2", "used": "a1", "over": "a1", "": "a1"} {
				ends := now.Add(time.Hour)
				if id == "over" {
					ends = now.Add(time.Minute)
				}
				err = errors.Join(err, tx.Access().Invite("CODE "+id, register.Invitation{ID: id, Person: "new", By: by, Created: now, Expires: ends}))
			}
			_, used := tx.Access().Redeem("CODE used")
			return errors.Join(err, used)
		})
		if err != nil {
			t.Fatal(err)
		}
		now = now.Add(2 * time.Minute)
		for id, want := range map[string]bool{"theirs": false, "used": false, "over": false, "": false, "none": false, "mine": true} {
			err := db.Update(func(tx *store.Tx) error { _, err := tx.Access().RevokeInvitation("a1", id); return err })
			if (err == nil) != want || err != nil && care.KindOf(err) != care.NotFound {
				t.Errorf("%q: %v, want it withdrawn: %t", id, err, want)
			}
		}
		for id, want := range map[string]bool{"mine": false, "theirs": true} {
			err := db.Update(func(tx *store.Tx) error { _, err := tx.Access().Redeem("CODE " + id); return err })
			if (err == nil) != want {
				t.Errorf("the code of %q afterwards: %v, want it to open: %t", id, err, want)
			}
		}
	})
}

// Who is new was never let in; who has a passkey, a device or both from before was.
func TestWhoOfTheStaffWasNeverLetIn(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	staffed(t, &now, func(db *store.DB) {
		err := db.Update(func(tx *store.Tx) (err error) {
			for _, p := range []care.PersonID{"new", "key", "browser", "both"} {
				err = errors.Join(err, tx.Access().AddStaffChange(register.StaffChange{ID: string(p), Kind: register.StaffAdded, Person: p, By: "a1", At: now, From: now.Add(24 * time.Hour)}))
			}
			for _, p := range []care.PersonID{"key", "both"} {
				err = errors.Join(err, tx.Access().PutPasskey(register.Passkey{ID: "of " + string(p), Person: p, Name: "K", Created: now, Credential: json.RawMessage(`{}`)}))
			}
			for _, p := range []care.PersonID{"browser", "both"} {
				err = errors.Join(err, tx.Register().AddDevice(care.Device{ID: care.DeviceID("of-" + p), Person: p, Created: now}))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		var never map[care.PersonID]bool
		if err := db.View(func(tx *store.Tx) (err error) { never, err = tx.Access().NotInYet(); return err }); err != nil {
			t.Fatal(err)
		}
		for p, want := range map[care.PersonID]bool{"new": true, "key": false, "browser": false, "both": false, "a1": false} {
			if never[p] != want {
				t.Errorf("%s was never let in: %t, want %t", p, never[p], want)
			}
		}
	})
}

// A browser is known again by its token, also when its session has run out, so that
// signing in there makes no second device; one that was taken out of use is not.
func TestABrowserIsKnownAgainByItsToken(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	staffed(t, &now, func(db *store.DB) {
		err := db.Update(func(tx *store.Tx) (err error) {
			for _, d := range []care.Device{{ID: "d1", Person: "a1", Created: now}, {ID: "gone", Person: "a1", Created: now, Revoked: true}} {
				err = errors.Join(err, tx.Register().AddDevice(d),
					tx.Access().AddCredential("token of "+string(d.ID), register.Credential{Device: d.ID, Created: now, Expires: now.Add(time.Hour)}))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		now = now.Add(2 * time.Hour)
		for token, want := range map[string]care.DeviceID{"token of d1": "d1", "token of gone": "", "another": ""} {
			_ = db.View(func(tx *store.Tx) error {
				d, err := tx.Access().DeviceOfToken(token)
				if (err == nil) != (want != "") || want != "" && d.ID != want || err != nil && care.KindOf(err) != care.NotFound {
					t.Errorf("%s: device %q, %v; want %q", token, d.ID, err, want)
				}
				return nil
			})
		}
	})
}
