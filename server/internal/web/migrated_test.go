package web_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// before makes a file of layout 5, by the program of that time, whose wearer has
// alerts as given: each is the one of the fixture with other words.
func before(t *testing.T, alerts ...map[string]any) string {
	t.Helper()
	packed, err := os.ReadFile(filepath.FromSlash("../../../testdata/store/layout-5.db.gz"))
	if err != nil {
		t.Fatal(err)
	}
	zip, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(zip)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "n.db")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	err = b.Update(func(tx *bbolt.Tx) error {
		var was map[string]any
		_ = tx.Bucket([]byte("alerts")).ForEach(func(_, v []byte) error {
			if bytes.Contains(v, []byte("quincely-wearer")) {
				return json.Unmarshal(v, &was)
			}
			return nil
		})
		first := was["id"].(string)
		for _, changed := range alerts {
			now := map[string]any{}
			for k, v := range was {
				now[k] = v
			}
			for k, v := range changed {
				now[k] = v
			}
			id := now["id"].(string)
			raw, err := json.Marshal(now)
			if err == nil {
				err = tx.Bucket([]byte("alerts")).Put([]byte(id), raw)
			}
			if err == nil {
				err = tx.Bucket([]byte("wearer_alerts")).Put([]byte("quincely-wearer\x00"+id), []byte{})
			}
			if err == nil && id == first && now["state"] == "closed" {
				err = tx.Bucket([]byte("live_alerts")).Delete([]byte(id))
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// A practice with open and closed alerts of before is upgraded, and an old phone is
// beside it. What nobody had said "again" of holds, and to the old phone that alert
// is not closed, so that it offers no lens; the rest is listed once, and a clinician,
// not the desk, confirms it.
func TestAPracticeFromBeforeAndAnOldPhone(t *testing.T) {
	t.Parallel()
	ago := func(days int) time.Time { return simNow.AddDate(0, 0, -days) }
	for _, c := range []struct {
		name, state, outcome string
		days                 int
		holds, listed        bool
		phone                string // how the old phone sees the alert
	}{
		{"open", "open", "", 0, true, false, "open"},
		{"closed as not reached", "closed", "not-reached", 20, true, false, "acknowledged"},
		{"closed as sent on", "closed", "referred", 20, true, false, "acknowledged"},
		{"closed as treated", "closed", "seen-treated", 20, true, false, "acknowledged"},
		{"closed as an infiltrate", "closed", "infiltrate", 20, true, false, "acknowledged"},
		{"closed as an infection", "closed", "infection", 59, true, false, "acknowledged"},
		{"closed as other", "closed", "other", 20, true, false, "acknowledged"},
		{"closed as nothing found", "closed", "seen-nothing-found", 20, false, true, ""},
		{"closed as not reached long ago", "closed", "not-reached", 90, false, true, ""},
		{"closed as reported by mistake", "closed", "in-error", 20, false, false, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			first := map[string]any{"state": c.state}
			if c.state == "closed" {
				first["closed_at"], first["closed_by"], first["closed_name"], first["outcome"] = ago(c.days), "staff-1", "Dr A", c.outcome
				first["next_step_at"] = time.Time{}
			}
			path := before(t, first)
			db, err := store.Open(path, func() time.Time { return simNow })
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { db.Close() })
			s := &site{t: t, srv: testServer(db)}
			s.serve()
			s.update(func(tx *store.Tx) error {
				for _, err := range []error{
					tx.Access().AddCredential("old", register.Credential{Device: "quincely-device", Created: tx.Now}),
					tx.Register().AddPerson(care.Person{ID: "doc", Name: "Dr B", Role: care.Clinician}),
					tx.Register().AddDevice(care.Device{ID: "doc-device", Person: "doc", Created: tx.Now}),
					tx.Access().AddCredential("doc", register.Credential{Device: "doc-device", Created: tx.Now}),
				} {
					if err != nil {
						return err
					}
				}
				return nil
			})
			w := decode[wearReply](t, s.says("GET", "/api/clinic/wearers/quincely-wearer/wear", "doc", "", 200, ""))
			if holds := w.Wear.Right.State == "stop" && w.Wear.Left.State == "stop"; holds != c.holds {
				t.Errorf("the eyes are %+v, want a stop: %v", w.Wear, c.holds)
			}
			if w.OldPhones == 0 {
				t.Error("the console does not say that a phone cannot show a decision")
			}
			seen := decode[struct{ Alerts []struct{ State string } }](t, s.says("POST", "/api/sync", "old", `{"epoch":"","cursor":0,"entries":[]}`, 200, ""))
			if c.phone != "" && (len(seen.Alerts) == 0 || seen.Alerts[0].State != c.phone) {
				t.Errorf("the old phone is told %+v, want %s", seen.Alerts, c.phone)
			}
			listed := func() bool {
				return strings.Contains(string(s.says("GET", "/api/clinic/today", "doc", "", 200, "")), "for a clinician to confirm here")
			}
			if listed() != c.listed {
				t.Errorf("listed to be confirmed: %v, want %v", !c.listed, c.listed)
			}
			if !c.listed {
				return
			}
			s.says("POST", "/api/clinic/follow-ups", "doc", `{"wearer":"quincely-wearer","rule":"wear-before","outcome":"not-needed","note":"Seen in May","until":"2026-04-04"}`, 200, "")
			if listed() {
				t.Error("what a clinician has confirmed is listed again")
			}
		})
	}
}
