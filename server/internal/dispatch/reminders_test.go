package dispatch_test

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// What a family sends asks for a look at the wearer, once, and beside the instant
// at which something is due; what comes after a tick has read the log asks for
// another look, and is not lost with what the tick decided.
func TestAChangeOfTheLogAsksForALook(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	db := scene.OpenAt(t, path)
	ledger := dispatch.Reminders{DB: db}
	due := func(at time.Time, want ...care.WearerID) {
		t.Helper()
		if got, err := ledger.Due(at, 9); err != nil || !slices.Equal(got, want) {
			t.Errorf("due at %s: %v, %v; want %v", at.Format(time.TimeOnly), got, err, want)
		}
	}
	decided := func(at, next time.Time) {
		t.Helper()
		if _, err := ledger.Commit([]remind.Step{{Wearer: "w1", At: at, Next: next}}); err != nil {
			t.Fatal(err)
		}
	}
	scene.Append(t, db, scene.Entry(1, nil))
	due(scene.Now) // without a plan nobody is looked at
	if err := db.Update(func(tx *store.Tx) error { return tx.Duty().SetDue("w1", scene.Now.Add(time.Hour)) }); err != nil {
		t.Fatal(err)
	}
	due(scene.Now)
	scene.Append(t, db, scene.Entry(2, nil))
	scene.Append(t, db, scene.Entry(3, nil))
	due(scene.Now.Add(-time.Minute)) // a tick that began before
	due(scene.Now, "w1")
	due(scene.Now.Add(time.Hour), "w1")

	decided(scene.Now.Add(-time.Second), scene.Now.Add(2*time.Hour)) // had read the log before it changed
	due(scene.Now, "w1")
	decided(scene.Now, scene.Now.Add(2*time.Hour))
	due(scene.Now)
	due(scene.Now.Add(time.Hour))
	due(scene.Now.Add(2*time.Hour), "w1")

	scene.Append(t, db, scene.Entry(4, nil))
	decided(scene.Now.Add(-time.Second), time.Time{}) // the plan has ended
	due(scene.Now.Add(time.Hour))
	db.Close()
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("the file: %v, %v", faults, err)
	}
}
