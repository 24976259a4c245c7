package app_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/store"
)

// In a rehearsal a red flag that waited in the backup, a day without an answer,
// and what is sent once a day reach nobody: no push service and no mail server
// hears of anything.
func TestNothingLeavesARehearsal(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.raise(t, "a-1")
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := d.DB.Backup(copied); err != nil {
		t.Fatal(err)
	}
	d.opt.DataDir, d.opt.Rehearsal = t.TempDir(), true
	command(t, "restore", "-rehearsal", "-from", copied, "-data", d.opt.DataDir)
	d.start(t)
	for range 48 {
		d.pass(time.Hour)
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
		if _, err := d.Reminder.Tick(t.Context(), d.time()); err != nil {
			t.Fatal(err)
		}
	}
	if got := d.shown(); len(got) > 0 || len(d.mails.keys) > 0 {
		t.Errorf("%v by push and %v by mail left a rehearsal", got, d.mails.keys)
	}
	err := d.DB.View(func(tx *store.Tx) error {
		x, err := tx.Duty().Alert("a-1")
		if err == nil && x.Step == 0 {
			t.Error("the ladder stood still: everything runs in a rehearsal")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
