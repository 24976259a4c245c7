package intake_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/scene"
)

// A store that cannot read who somebody is has said nothing about their
// entries: a refusal is for good. So each is stored or kept aside, and severe pain
// rings at once; the same request is taken in whole by a file that can be read.
func TestAStoreFaultRefusesNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, record, device string }{
		{"the wearer cannot be read", `{"id":"w1",`, "d1"},
		{"the author cannot be read", `{"id":"p1",`, "d1"},
		{"the device of an entry handed in cannot be read", `{"id":"d2",`, "d2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join(t.TempDir(), "n.db")
			withStore(t, file, family)
			raw, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			broken := bytes.ReplaceAll(raw, []byte(c.record), []byte("["+c.record[1:]))
			if bytes.Equal(broken, raw) {
				t.Fatalf("the file holds no record %s", c.record)
			}
			req := intake.Request{Entries: []json.RawMessage{
				entry(1, `"kind":"symptoms","body":{"right":{"pain":"severe"}}`, "d1"),
				entry(2, `"kind":"removal","body":{"at":"06:45","eyes":"both"}`, c.device),
			}}
			write(t, file, broken)
			withStore(t, file, func(db *store.DB) {
				reply, err := (&intake.Intake{DB: db}).Sync(phone, req)
				if err != nil || len(reply.Verdicts) != 2 {
					t.Fatalf("got %+v, %v; want two verdicts", reply.Verdicts, err)
				}
				for _, v := range reply.Verdicts {
					if v.Verdict != "accepted" && v.Code != "kept-aside" {
						t.Errorf("got %+v; want it stored or kept aside", v)
					}
				}
				_ = db.View(func(tx *store.Tx) error {
					n, _, _ := tx.Log().Head("f1")
					if kept := int(n) + len(tx.Log().AllHeld()); kept != 2 {
						t.Errorf("%d in the log, %d held; want both entries", n, len(tx.Log().AllHeld()))
					}
					if live, err := tx.Duty().LiveAlerts(); err != nil || len(live) != 1 || live[0].Family != "f1" {
						t.Errorf("alerts %+v, %v; want one of the family", live, err)
					}
					return nil
				})
			})
			write(t, file, raw)
			withStore(t, file, func(db *store.DB) {
				reply, err := (&intake.Intake{DB: db}).Sync(phone, req)
				if err != nil || len(reply.Verdicts) != 2 {
					t.Fatalf("%+v, %v; want two verdicts", reply.Verdicts, err)
				}
				for _, v := range reply.Verdicts {
					if want := map[string]string{"d1": "accepted", "d2": "refused"}[c.device]; v.Verdict != "accepted" && v.Verdict != want {
						t.Errorf("got %+v, want %s", v, want)
					}
				}
				if len(reply.Alerts) != 1 || reply.Alerts[0].Level != "emergency" {
					t.Errorf("alerts %+v; want the emergency", reply.Alerts)
				}
			})
		})
	}
}

var phone = register.Caller{Device: register.CallerDevice{ID: "d1"}, Person: register.CallerPerson{ID: "p1", Family: "f1", Name: "P", Role: care.Parent}}

// family is one wearer and one parent with two phones.
func family(db *store.DB) {
	err := db.Update(func(tx *store.Tx) error {
		err := tx.Register().AddFamily(care.Family{ID: "f1"})
		if err == nil {
			err = tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Name: "W", Code: "W-1"})
		}
		if err == nil {
			err = tx.Register().AddPerson(care.Person{ID: "p1", Family: "f1", Name: "P", Role: care.Parent})
		}
		for _, d := range []care.DeviceID{"d1", "d2"} {
			if err == nil {
				err = tx.Register().AddDevice(care.Device{ID: d, Family: "f1", Person: "p1"})
			}
		}
		return err
	})
	if err != nil {
		panic(err)
	}
}

// withStore opens the store, which keeps what it has read in memory, and closes
// it again.
func withStore(t *testing.T, file string, do func(*store.DB)) {
	t.Helper()
	now := time.Date(2026, 3, 29, 7, 0, 0, 0, time.UTC)
	db, err := store.Open(file, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	do(db)
}

func write(t *testing.T, file string, raw []byte) {
	t.Helper()
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}

func entry(dseq byte, what, device string) json.RawMessage {
	return json.RawMessage(`{"id":"01900000-0000-7000-8000-00000000000` + string('0'+dseq) + `","wearer":"w1","device":"` + device +
		`","dseq":` + string('0'+dseq) + `,"author":"p1","night":"2026-03-28","wall":"2026-03-29T06:50:00","zone":"Europe/Lisbon","offset":60,` +
		`"hlc":"177473400000` + string('0'+dseq) + `-0000","v":1,` + what + `}`)
}

// Nor does it refuse a report that could not be taken anyway, or anything beside that:
// it is kept as it came, and the practice is told. An ordinary entry that is refused
// stays refused, and rings nobody.
func TestAStoreFaultKeepsAnUnreadReport(t *testing.T) {
	t.Parallel()
	for _, record := range []string{`{"id":"w1",`, `{"id":"p1",`} {
		for what, c := range map[string]struct {
			entry string
			codes []string
			live  int
		}{
			"a report that says an unknown word": {`"kind":"symptoms","body":{"right":{"pain":"sideways"}}`, []string{"report-unread", "kept-aside"}, 1},
			"an entry that says an unknown word": {`"kind":"removal","body":{"at":"06:45","eyes":"three"}`, []string{"bad-field"}, 0},
		} {
			t.Run(what+" "+record, func(t *testing.T) {
				t.Parallel()
				file := filepath.Join(t.TempDir(), "n.db")
				withStore(t, file, family)
				raw, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				write(t, file, bytes.ReplaceAll(raw, []byte(record), []byte("["+record[1:])))
				withStore(t, file, func(db *store.DB) {
					reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Entries: []json.RawMessage{
						entry(1, c.entry, "d1"), entry(2, `"kind":"note","body":{"text":"beside it"}`, "d1"),
					}})
					if err != nil || len(reply.Verdicts) != 2 {
						t.Fatalf("got %+v, %v; want two verdicts", reply.Verdicts, err)
					}
					if v := reply.Verdicts[0]; !slices.Contains(c.codes, v.Code) {
						t.Errorf("got %+v; want one of %v", v, c.codes)
					}
					if v := reply.Verdicts[1]; v.Verdict != "accepted" && v.Code != "kept-aside" {
						t.Errorf("beside it: %+v; want it stored or kept aside", v)
					}
					_ = db.View(func(tx *store.Tx) error {
						if live, err := tx.Duty().LiveAlerts(); err != nil || len(live) != c.live {
							t.Errorf("alerts %+v, %v; want %d", live, err, c.live)
						}
						return nil
					})
				})
			})
		}
	}
}

// A refusal is an answer: its counter is noted, so that the device's place can move on,
// up to the last counter there is (2^53-1, care/ENTRIES.md), and none beyond.
func TestARefusedEntryCountsUpToTheLastCounter(t *testing.T) {
	t.Parallel()
	for counter, noted := range map[string]int{"7": 1, "9007199254740991": 1, "9007199254740992": 0, "0": 0} {
		file := filepath.Join(t.TempDir(), "n.db")
		withStore(t, file, family)
		withStore(t, file, func(db *store.DB) {
			raw := bytes.Replace(entry(1, `"kind":"removal","body":{"at":"06:45","eyes":"three"}`, "d1"), []byte(`"dseq":1,`), []byte(`"dseq":`+counter+`,`), 1)
			reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Entries: []json.RawMessage{raw}})
			if err != nil || len(reply.Verdicts) != 1 || reply.Verdicts[0].Verdict != "refused" {
				t.Errorf("counter %s: %+v, %v; want it refused", counter, reply.Verdicts, err)
			}
		})
		if got := scene.Found(t, file, "d1")["device_seqs"]; got != noted {
			t.Errorf("counter %s is noted %d times, want %d", counter, got, noted)
		}
	}
}

// The setting that names the practice's own device cannot be read: a report still is
// stored or kept aside and rings, also from a phone of which entries are missing.
func TestADamagedSettingStopsNoReport(t *testing.T) {
	t.Parallel()
	for _, body := range []string{`{"right":{"pain":"severe"}}`, `{"right":{"pain":"sideways"}}`} {
		file := filepath.Join(t.TempDir(), "n.db")
		withStore(t, file, family)
		withStore(t, file, func(db *store.DB) {
			if err := db.Update(func(tx *store.Tx) error { return tx.Register().SetSetting("practice_device", 7) }); err != nil {
				t.Fatal(err)
			}
			reply, err := (&intake.Intake{DB: db}).Sync(phone, intake.Request{Entries: []json.RawMessage{entry(3, `"kind":"symptoms","body":`+body, "d1")}})
			if err != nil || len(reply.Verdicts) != 1 {
				t.Fatalf("%s: %+v, %v; want a verdict", body, reply.Verdicts, err)
			}
			_ = db.View(func(tx *store.Tx) error {
				if live, err := tx.Duty().LiveAlerts(); err != nil || len(live) != 1 {
					t.Errorf("%s: alerts %+v, %v; want one", body, live, err)
				}
				return nil
			})
		})
	}
}
