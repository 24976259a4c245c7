package intake_test

import (
	"path/filepath"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// What a newer app sent is read after the server was updated: here an entry
// this program can read stands where an older one would have kept it. Its alert
// is raised then; what still cannot be read stays.
func TestHeldEntriesAreReadAfterAnUpdate(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	const head = `"wearer":"w1","device":"d1","author":"p1","night":"2026-03-28","wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000"`
	raw := []string{
		`{"id":"01900000-0000-7000-8000-000000000001","dseq":1,"v":1,"kind":"symptoms","body":{"right":{"pain":"severe"}},` + head + `}`,
		`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"v":9,"kind":"dream","body":{},` + head + `}`,
	}
	err = db.Update(func(tx *store.Tx) error {
		if err := tx.Register().AddFamily(care.Family{ID: "f1"}); err != nil {
			return err
		}
		if err := tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "W", Code: "W-1"}); err != nil {
			return err
		}
		for i, r := range raw {
			e := care.Entry{ID: care.EntryID("01900000-0000-7000-8000-00000000000" + string(rune('1'+i))), Device: "d1", DSeq: uint64(i + 1)}
			if err := tx.Log().KeepHeld("f1", &e, []byte(r)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	in := &intake.Intake{DB: db}
	for _, want := range []int{1, 0} { // the second start finds nothing more
		if got, err := in.ReadHeld(); err != nil || got != want {
			t.Fatalf("took %d, %v; want %d", got, err, want)
		}
	}
	_ = db.View(func(tx *store.Tx) error {
		alerts, err := tx.Duty().WearerAlerts("w1")
		if err != nil || len(alerts) != 1 || alerts[0].Level != "emergency" {
			t.Errorf("alerts %+v, %v; want one emergency", alerts, err)
		}
		if n, _, _ := tx.Log().Head("f1"); n != 1 || len(tx.Log().AllHeld()) != 1 {
			t.Errorf("%d in the log, %d held; want 1 and 1", n, len(tx.Log().AllHeld()))
		}
		return nil
	})
}
