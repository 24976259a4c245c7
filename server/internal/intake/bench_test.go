package intake_test

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// BenchmarkSync takes two nights of ten entries in, without waiting for the
// disk: the work of one push, apart from HTTP.
func BenchmarkSync(b *testing.B) {
	first := civil.MustDate("2026-01-01")
	now := time.Date(2026, 1, 3, 12, 0, 0, 0, time.UTC)
	db, err := store.Open(filepath.Join(b.TempDir(), "n.db"), func() time.Time { return now })
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { db.Close() })
	db.NoSync(true)
	const families = 500
	callers := make([]register.Caller, families)
	err = db.Update(func(tx *store.Tx) error {
		for i := range callers {
			f := fmt.Sprintf("f%019d", i)
			p := care.Person{ID: care.PersonID("p" + f), Family: care.FamilyID(f), Role: care.Parent}
			d := care.Device{ID: care.DeviceID("d" + f), Family: p.Family, Person: p.ID, LastSeen: now}
			callers[i] = register.Caller{
				Device: register.CallerDevice{ID: d.ID, LastSeen: now},
				Person: register.CallerPerson{ID: p.ID, Family: p.Family, Role: p.Role},
			}
			for _, err := range []error{
				tx.Register().AddFamily(care.Family{ID: p.Family}), tx.Register().AddPerson(p), tx.Register().AddDevice(d),
				tx.Register().AddWearer(care.Wearer{ID: care.WearerID("w" + f), Family: p.Family}),
			} {
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	in := &intake.Intake{DB: db}
	var epoch string
	_ = db.View(func(tx *store.Tx) error { epoch, err = tx.Log().Epoch(); return err })
	bodies := []struct{ kind, body string }{
		{"evening-sight", `{"rating":4,"hours_since_removal":12.5,"halos":"none","spectacles":false}`},
		{"insertion", `{"at":"21:30","eyes":"both"}`},
		{"removal", `{"at":"07:15","eyes":"both","slept_minutes":540}`},
		{"morning", `{"moved":"freely","drops":true,"comfort":4,"redness":0}`},
		{"care", `{"hand_wash":true,"rub":true,"rinse":"solution","case_emptied":true,"tap_water":false,"closed_at":"07:30"}`},
	}
	round := 0
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		c := callers[round%families]
		batch := round / families
		round++
		req := intake.Request{Epoch: epoch, Cursor: uint64(10 * batch), Now: now.Format(time.RFC3339)}
		for n := range 10 {
			at := first.AddDays(2*batch + n/5)
			raw, _ := json.Marshal(care.Entry{
				ID: care.EntryID(fmt.Sprintf("%08x-%04x-7000-8000-%012x", batch, n, round)), Wearer: care.WearerID("w" + string(c.Person.Family)),
				Device: c.Device.ID, DSeq: uint64(10*batch + n + 1), Author: c.Person.ID, Kind: care.EntryKind(bodies[n%5].kind), Night: at,
				Wall: at.String() + "T21:30:00", Zone: "Europe/Lisbon", HLC: fmt.Sprintf("%013d-%04d", round, n), V: 1, Body: json.RawMessage(bodies[n%5].body),
			})
			req.Entries = append(req.Entries, raw)
		}
		b.StartTimer()
		reply, err := in.Sync(c, req)
		if err != nil || reply.Verdicts[9].Verdict != "accepted" {
			b.Fatalf("%v %+v", err, reply.Verdicts)
		}
	}
}
