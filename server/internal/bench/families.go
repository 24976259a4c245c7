package bench

import (
	"encoding/json"
	"fmt"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// batchSize is how many entries a device sends at once: two nights.
const batchSize = 10

// evening is the fixed instant at which the invented families live.
var evening = time.Date(2026, 3, 27, 22, 0, 0, 0, time.UTC)

func clock() time.Time { return evening }

// tonight is the night of evening.
var tonight = civil.MustDate("2026-03-27")

// names of family i; every family has one parent, one device and one wearer.
func familyID(i int) care.FamilyID { return care.FamilyID(fmt.Sprintf("f%019d", i)) }
func wearerID(i int) care.WearerID { return care.WearerID(fmt.Sprintf("w%019d", i)) }
func personID(i int) care.PersonID { return care.PersonID(fmt.Sprintf("p%019d", i)) }
func deviceID(i int) care.DeviceID { return care.DeviceID(fmt.Sprintf("d%019d", i)) }
func tokenOf(i int) string         { return fmt.Sprintf("token-%038d", i) }
func cookieOf(i int) string        { return "nightkeep_device=" + tokenOf(i) }

// enrol stores family i with its plan.
func enrol(tx *store.Tx, i int) error {
	plan, err := json.Marshal(review.PlanFacts{Plan: usualPlan()})
	if err != nil {
		return err
	}
	if _, err := tx.Chart().PutPlan(wearerID(i), "", plan); err != nil {
		return err
	}
	for _, err := range []error{
		tx.Register().AddFamily(care.Family{ID: familyID(i), Name: "Family", Zone: "Europe/Lisbon", Created: tx.Now}),
		tx.Register().AddWearer(care.Wearer{ID: wearerID(i), Family: familyID(i), Name: fmt.Sprintf("Wearer %d", i), Code: fmt.Sprintf("W-%06d", i), Birth: "2015-06-01"}),
		tx.Register().AddPerson(care.Person{ID: personID(i), Family: familyID(i), Name: "Parent", Role: care.Parent}),
		tx.Register().AddDevice(care.Device{ID: deviceID(i), Family: familyID(i), Person: personID(i), Name: "Phone", Created: tx.Now, LastSeen: tx.Now}),
		tx.Access().AddCredential(tokenOf(i), register.Credential{Device: deviceID(i), Created: tx.Now}),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

func usualPlan() schedule.Plan {
	return schedule.Plan{
		Version: 1, Zone: "Europe/Lisbon", FirstNight: tonight.AddDays(-1200), Eyes: "both", WearFrom: civil.MustClock("20:00"), WearTo: civil.MustClock("08:00"),
		MinHours: 7, CareSystem: schedule.Multipurpose, SoakMinutes: 360, DepositRemovalDays: 14, CaseMonths: 3, LensMonths: 12,
		InsertionAt: civil.MustClock("21:30"), RemovalAt: civil.MustClock("07:30"), EveningSightAt: civil.MustClock("20:30"),
		QuietFrom: civil.MustClock("23:00"), QuietTo: civil.MustClock("06:30"), RemindFirst: "parent", LockScreenWords: "neutral",
	}
}

// kinds are the entries of one night, none of which raises an alert.
var kinds = []struct {
	kind care.EntryKind
	hour int // after noon of the night's date
	body string
}{
	{care.EveningSight, 8, `{"rating":4,"hours_since_removal":12.5,"halos":"none","spectacles":false}`},
	{care.Insertion, 9, `{"at":"21:30","eyes":"both"}`},
	{care.Removal, 19, `{"at":"07:15","eyes":"both","slept_minutes":540}`},
	{care.Morning, 19, `{"moved":"freely","drops":true,"comfort":4,"redness":0}`},
	{care.Care, 20, `{"hand_wash":true,"rub":true,"rinse":"solution","case_emptied":true,"tap_water":false,"closed_at":"07:30"}`},
}

// entry returns entry n, counted from 0, of family i: kinds of them make a
// night, and night 0 is the date given.
func entry(i, n int, first civil.Date) care.Entry {
	k := kinds[n%len(kinds)]
	if k.kind == care.Morning && i%2 == 1 {
		k.body = `{"moved":"freely","drops":true,"comfort":3,"redness":0}` // not the best, so the rules are asked
	}
	night := first.AddDays(n / len(kinds))
	at := time.Date(night.Year, night.Month, night.Day, 12+k.hour, 15, n%60, 0, time.UTC)
	return care.Entry{
		ID:     care.EntryID(fmt.Sprintf("%08x-%04x-7000-8000-%012x", at.UnixMilli()>>16, at.UnixMilli()&0xffff, i<<20|n)),
		Wearer: wearerID(i), Device: deviceID(i), DSeq: uint64(n + 1), Author: personID(i), Kind: k.kind, Night: night,
		Wall: at.Format("2006-01-02T15:04:05"), Zone: "Europe/Lisbon", HLC: fmt.Sprintf("%013d-%04d", at.UnixMilli(), n%10000), V: 1, Body: json.RawMessage(k.body),
	}
}

// batchBody is the body of a sync request with entries n and the next ones.
func batchBody(i, n, count int, first civil.Date, epoch string, cursor uint64) []byte {
	req := struct {
		Epoch   string       `json:"epoch"`
		Cursor  uint64       `json:"cursor"`
		Entries []care.Entry `json:"entries"`
		Now     time.Time    `json:"now"`
	}{epoch, cursor, []care.Entry{}, evening}
	for j := range count {
		req.Entries = append(req.Entries, entry(i, n+j, first))
	}
	raw, err := json.Marshal(req)
	if err != nil {
		panic(err) // plain values always marshal
	}
	return raw
}

// populate stores families from one number up to another, each with so many
// entries, in large commits that are not flushed one by one.
func (r *run) populate(db *store.DB, from, to, entries int, first civil.Date) error {
	return r.fill(db, from, to, entries, func(i, n int) care.Entry { return entry(i, n, first) })
}

func (r *run) fill(db *store.DB, from, to, entries int, make func(i, n int) care.Entry) error {
	db.NoSync(true)
	defer db.NoSync(false)
	const chunk = 200
	for a := from; a < to; a += chunk {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		err := db.Update(func(tx *store.Tx) error {
			for i := a; i < min(a+chunk, to); i++ {
				if err := enrol(tx, i); err != nil {
					return err
				}
				for n := range entries {
					e := make(i, n)
					if _, err := tx.Log().Append(familyID(i), &e); err != nil {
						return err
					}
				}
				// Nothing is due, as after a tick that looked at them all.
				if err := tx.Duty().SetDue(wearerID(i), tx.Now.AddDate(1, 0, 0)); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// populateThin stores families with one entry a night, of all kinds in turn:
// the nights of a large practice in a fifth of the time.
func (r *run) populateThin(db *store.DB, from, to, nights int, first civil.Date) error {
	thin := func(i, n int) care.Entry {
		e := entry(i, n, first)
		e.Night = first.AddDays(n)
		return e
	}
	return r.fill(db, from, to, nights, thin)
}

// epochOf reads the log's epoch.
func epochOf(db *store.DB) (epoch string, err error) {
	err = db.View(func(tx *store.Tx) error { epoch, err = tx.Log().Epoch(); return err })
	return epoch, err
}
