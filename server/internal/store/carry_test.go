package store_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/scene"
	"nightkeep/server/internal/store/storetest"
)

// report puts in a report of severe pain of a household, and its alert, taken by
// somebody where taker is not empty.
func report(t *testing.T, db *store.DB, h scene.Household, alert string, n int, taker care.PersonID) {
	t.Helper()
	err := db.Update(func(tx *store.Tx) error {
		e := h.Entry(n, func(e *care.Entry) { e.Kind, e.Body = care.Symptoms, json.RawMessage(`{"right":{"pain":"severe"}}`) })
		if _, err := tx.Log().Append(care.FamilyID(h.ID("family")), e); err != nil {
			return err
		}
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		a := escalate.Alert{ID: care.AlertID(alert), Wearer: e.Wearer, Family: care.FamilyID(h.ID("family")), Rule: "pain"}
		a, err = dispatch.Apply(tx, rules, a, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Entry: e.ID})
		if err == nil && taker != "" {
			_, err = dispatch.Apply(tx, rules, a, escalate.Event{Kind: escalate.Acknowledge, By: taker, Name: "S", Role: care.Clinician})
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// An alert that waits for somebody waits on after a restore: with the report that raised
// it, of a family the backup does not know with all that is the family's, and again for
// everybody where the backup does not know who took it.
func TestARestoreCarriesOpenAlertsOver(t *testing.T) {
	t.Parallel()
	path, backup := filepath.Join(t.TempDir(), "n.db"), filepath.Join(t.TempDir(), "backup.db")
	old, young := scene.Household{Mark: "quincely"}, scene.Household{Mark: "marrowby"}
	db := scene.OpenAt(t, path)
	scene.Practice(t, db)
	old.Settle(t, db)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	err := db.Update(func(tx *store.Tx) error {
		return storetest.Put(tx, care.Person{ID: "locum", Name: "L", Role: care.Clinician})
	})
	if err != nil {
		t.Fatal(err)
	}
	report(t, db, old, "of-nobody", 21, "")
	report(t, db, old, "of-staff", 22, "staff-1")
	report(t, db, old, "of-locum", 23, "locum")
	young.Settle(t, db)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	later := scene.Now.Add(time.Hour)
	if _, err := store.Restore(backup, path, later); err != nil {
		t.Fatal(err)
	}
	if faults, err := store.CheckFile(path); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
	db = scene.OpenAt(t, path)
	defer db.Close()
	_ = db.View(func(tx *store.Tx) error {
		want := map[care.AlertID]escalate.State{
			"quincely-alert": escalate.Open, "marrowby-alert": escalate.Open, "of-nobody": escalate.Open,
			"of-staff": escalate.Acknowledged, "of-locum": escalate.Open,
		}
		live, err := tx.Duty().LiveAlerts()
		if err != nil || len(live) != len(want) {
			t.Errorf("%d alerts are live, %v; want %d", len(live), err, len(want))
		}
		for _, a := range live {
			if a.State != want[a.ID] {
				t.Errorf("%s is %q, want %q", a.ID, a.State, want[a.ID])
			}
			if rings := a.NextStepAt.Equal(later); rings != (a.State == escalate.Open && a.ID != "quincely-alert") {
				t.Errorf("%s goes on at %s", a.ID, a.NextStepAt)
			}
			if e, err := tx.Log().Entry(a.Family, a.Entry); err != nil || e.ID != a.Entry {
				t.Errorf("the report of %s: %v", a.ID, err)
			}
		}
		p, err := tx.Register().Person("marrowby-parent")
		if err != nil || p.Phone != young.ID("phone") {
			t.Errorf("whom to phone: %+v, %v", p, err)
		}
		var lacks store.Lacks
		if err := tx.Register().Setting(store.LacksSetting, &lacks); err != nil || lacks.Alerts != 4 || lacks.Left != 0 || !lacks.At.Equal(later) {
			t.Errorf("noted: %+v, %v", lacks, err)
		}
		return nil
	})
}

// Whichever page of the file that is replaced is lost, each open alert that can be read
// waits on, and where one cannot, it is noted that nobody knows which were open.
func TestARestoreCarriesAlertsOutOfADamagedFile(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	sound, backup := filepath.Join(dir, "n.db"), filepath.Join(dir, "backup.db")
	h := scene.Household{Mark: "quincely"}
	db := scene.OpenAt(t, sound)
	scene.Practice(t, db)
	h.Settle(t, db)
	if err := db.Backup(backup); err != nil {
		t.Fatal(err)
	}
	ids := []string{"of-nobody", "of-staff"}
	report(t, db, h, ids[0], 21, "")
	report(t, db, h, ids[1], 22, "staff-1")
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(sound)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for at := 0; at+page <= len(raw); at += page {
		was := raw[at : at+page]
		if !slices.ContainsFunc(was, func(b byte) bool { return b != 0 }) {
			continue
		}
		path := filepath.Join(t.TempDir(), "n.db")
		if err := os.WriteFile(path, slices.Concat(raw[:at], make([]byte, page), raw[at+page:]), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := store.Restore(backup, path, scene.Now.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		live, lacks := waitIn(t, path)
		for _, id := range ids {
			// The alert itself, or the head that leads to the last commit.
			held := bytes.Contains(was, []byte(`"id":"`+id+`"`)) || at/page < 2
			if !slices.Contains(live, id) && !(held && lacks.Blind) {
				t.Errorf("page %d: %s does not wait on; live are %q, noted %+v", at/page, id, live, lacks)
			}
		}
	}
}

// waitIn returns which alerts wait in a restored file, and what is noted of the restore.
func waitIn(t *testing.T, path string) (live []string, lacks store.Lacks) {
	t.Helper()
	db := scene.OpenAt(t, path)
	defer db.Close()
	err := db.View(func(tx *store.Tx) error {
		all, err := tx.Duty().LiveAlerts()
		for _, a := range all {
			live = append(live, string(a.ID))
		}
		return errors.Join(err, tx.Register().Setting(store.LacksSetting, &lacks))
	})
	if err != nil {
		t.Fatal(err)
	}
	return live, lacks
}

// Every restore is noted and stands in the audit log, also where nothing was lost by it;
// where the file that stood there cannot be read, that is what is noted.
func TestEveryRestoreIsNoted(t *testing.T) {
	t.Parallel()
	path := scene.TwoFamilies(t)
	backup := filepath.Join(t.TempDir(), "backup.db")
	db := scene.OpenAt(t, path)
	if err := errors.Join(db.Backup(backup), db.Close()); err != nil {
		t.Fatal(err)
	}
	for _, where := range []string{path, filepath.Join(t.TempDir(), "new.db")} {
		if _, err := store.Restore(backup, where, scene.Now); err != nil {
			t.Fatal(err)
		}
		db := scene.OpenAt(t, where)
		_ = db.View(func(tx *store.Tx) error {
			var lacks store.Lacks
			if err := tx.Register().Setting(store.LacksSetting, &lacks); err != nil || lacks.At.IsZero() || lacks.Unknown || lacks.Alerts != 0 {
				t.Errorf("noted: %+v, %v", lacks, err)
			}
			var did []string
			err := tx.Audit().Each(func(a audit.Line) error { did = append(did, a.Did); return nil })
			if err != nil || !slices.Contains(did, "restored a backup") || strings.Contains(strings.Join(did, ","), "carried over") {
				t.Errorf("the audit log: %q, %v", did, err)
			}
			return nil
		})
		db.Close()
	}
}

// Where a file stood that is empty now, or gone, it is noted that nobody knows which
// alerts were open; in a new folder none were.
func TestARestoreWithoutTheFileThatStoodThere(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	sound, backup := filepath.Join(dir, "n.db"), filepath.Join(dir, "backup.db")
	db := scene.OpenAt(t, sound)
	scene.Practice(t, db)
	if err := errors.Join(db.Backup(backup), db.Close()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name        string
		empty, mark bool
	}{{"a new folder", false, false}, {"gone", false, true}, {"empty", true, true}, {"empty, without its mark", true, false}} {
		path := filepath.Join(t.TempDir(), "n.db")
		var err error
		if c.empty {
			err = os.WriteFile(path, nil, 0o600)
		}
		if c.mark {
			err = errors.Join(err, os.WriteFile(path+".mark", []byte("3\n"), 0o600))
		}
		if _, errRestore := store.Restore(backup, path, scene.Now.Add(time.Hour)); err != nil || errRestore != nil {
			t.Fatal(c.name, err, errRestore)
		}
		if _, lacks := waitIn(t, path); lacks.Blind != (c.empty || c.mark) || lacks.Unknown != lacks.Blind || lacks.At.IsZero() {
			t.Errorf("%s: noted %+v", c.name, lacks)
		}
	}
}
