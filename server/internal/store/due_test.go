package store_test

import (
	"errors"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// A log that changed while it was looked at is looked at again at once; one that did
// not comes when its next instant is due, and not before.
func TestALogThatChangedMeanwhileIsLookedAtAgain(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	next := now.Add(time.Hour)
	for name, c := range map[string]struct {
		read time.Time // when the log was looked at
		want bool      // due at once
	}{
		"changed after": {now.Add(-time.Minute), true}, "changed before": {now.Add(time.Minute), false},
	} {
		err := db.Update(func(tx *store.Tx) error {
			if err := errors.Join(tx.Duty().SetDue("w1", next), tx.Duty().MarkChanged("w1")); err != nil {
				return err
			}
			if err := tx.Duty().AdvanceDue("w1", c.read, next); err != nil {
				return err
			}
			due := func(at time.Time) bool { return slices.Contains(tx.Duty().DueBy(at, 9), care.WearerID("w1")) }
			if due(now) != c.want || !due(next) {
				t.Errorf("%s: due now %t, want %t; due at its instant %t", name, due(now), c.want, due(next))
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
