package scene

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/storetest"
)

// Household is an invented family whose every id, name and text begins with
// its own mark of 8 letters, so that what is left of it can be searched for.
type Household struct {
	Mark   string
	Family string // of somebody else too; empty: its own
}

// ID is the id of something of the household.
func (h Household) ID(kind string) string {
	if kind == "family" && h.Family != "" {
		return h.Family
	}
	return h.Mark + "-" + kind
}

// EntryID is the id of its entry n.
func (h Household) EntryID(n int) care.EntryID {
	return care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%s%04d", h.Mark, n))
}

// Entry is [Entry] of the household.
func (h Household) Entry(n int, over func(*care.Entry)) *care.Entry {
	return Entry(n, func(e *care.Entry) {
		e.ID, e.Wearer = h.EntryID(n), care.WearerID(h.ID("wearer"))
		e.Device, e.Author = care.DeviceID(h.ID("device")), care.PersonID(h.ID("parent"))
		e.HLC = fmt.Sprintf("1774734000%03d-0000", n)
		if over != nil {
			over(e)
		}
	})
}

// Settle puts something of the household into every bucket that can hold
// something of a family.
func (h Household) Settle(t *testing.T, db *store.DB) {
	t.Helper()
	err := db.Update(func(tx *store.Tx) error {
		return errors.Join(h.settlePeople(tx), h.settleChart(tx), h.settleLog(tx), h.settleDuty(tx))
	})
	if err != nil {
		t.Fatal(err)
	}
	_, err = dispatch.Reminders{DB: db}.Commit([]remind.Step{{Wearer: care.WearerID(h.ID("wearer")), At: Now, Next: Now.Add(time.Hour), Fired: []schedule.Firing{{Key: "insertion", Date: civil.MustDate("2026-03-28")}}}})
	if err != nil {
		t.Fatal(err)
	}
}

// settlePeople puts in the family, who belongs to it and what lets them in.
func (h Household) settlePeople(tx *store.Tx) error {
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	parent, device := care.PersonID(h.ID("parent")), care.DeviceID(h.ID("device"))
	return errors.Join(
		storetest.Put(tx, care.Family{ID: family, Name: h.ID("family name"), Zone: "Europe/Lisbon", Created: tx.Now}),
		storetest.Put(tx, care.Wearer{ID: wearer, Family: family, Code: h.ID("code"), Name: h.ID("child name"), Birth: "2015-05-05"}),
		storetest.Put(tx, care.Person{ID: parent, Family: family, Name: h.ID("parent name"), Role: care.Parent, Phone: h.ID("phone")}),
		storetest.Put(tx, care.Device{ID: device, Family: family, Person: parent, Name: h.ID("phone name"), Created: tx.Now, LastSeen: tx.Now}),
		tx.Access().AddCredential(h.ID("token"), register.Credential{Device: device, Created: tx.Now}),
		tx.Access().Invite(h.ID("code"), register.Invitation{Person: parent, By: "staff-1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
		tx.Access().PutSubscription(device, register.Subscription{Endpoint: "https://push.example/" + h.ID("endpoint"), P256dh: "k", Auth: "a"}),
		tx.Access().SetCalendar(h.ID("calendar"), register.Calendar{Family: family, By: parent, Created: tx.Now}),
	)
}

// settleChart puts in what the practice wrote.
func (h Household) settleChart(tx *store.Tx) error {
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	visit := map[string]string{"id": h.ID("visit"), "date": "2026-03-01", "advice": h.ID("advice")}
	planned := func(_ register.PlanRecord, err error) error { return err }
	return errors.Join(
		planned(tx.Chart().PutPlan(wearer, "staff-1", json.RawMessage(`{"remark":"`+h.ID("remark")+`"}`))),
		tx.Chart().PutVisit(wearer, h.ID("visit"), visit),
		tx.Chart().Shelve(register.Lenses, wearer, h.ID("lens"), visit),
		tx.Chart().Shelve(register.Endings, wearer, h.ID("ending"), visit),
		tx.Chart().Shelve(register.Events, wearer, h.ID("event"), visit),
		tx.Chart().Shelve(register.Candidates, wearer, h.ID("candidate"), visit),
		tx.Chart().Attach(wearer, h.ID("attachment"), map[string]any{"id": h.ID("attachment"), "size": 3}, []byte("abc")),
		tx.Chart().MarkRead(wearer, care.EntryID(h.ID("read")), "staff-1"),
		tx.Chart().PutPrivate(wearer, register.PrivateWords{ID: care.EntryID(h.ID("private")), By: "staff-1", At: tx.Now, Text: h.ID("private words")}),
		tx.Chart().PutFollowUp(wearer, register.FollowUp{Reason: "silent", By: "staff-1", At: tx.Now, Outcome: "phoned", Note: h.ID("follow-up")}),
		tx.Chart().PutCalendarEvent(family, register.CalendarEvent{Wearer: wearer, UID: "1", Changed: tx.Now, Date: civil.MustDate("2026-04-01")}),
		tx.Chart().PutCalendarEvent("", register.CalendarEvent{Wearer: wearer, UID: "1", Changed: tx.Now, Date: civil.MustDate("2026-04-01"), Code: h.ID("code")}),
	)
}

// settleLog puts in entries: one corrected, one that conflicts, one of the
// practice, one held behind a gap.
func (h Household) settleLog(tx *store.Tx) error {
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	note, err := json.Marshal(map[string]string{"text": h.ID("secret note")})
	if err != nil {
		return err
	}
	first := h.Entry(1, func(e *care.Entry) { e.Kind, e.Body = care.Note, note })
	second := h.Entry(2, func(e *care.Entry) { e.Supersedes = []care.EntryID{first.ID}; e.Kind, e.Body = care.Note, note })
	taken := h.Entry(1, func(e *care.Entry) { e.Kind, e.Body = care.Note, json.RawMessage(`{"text":"`+h.ID("conflict")+`"}`) })
	later := h.Entry(5, func(e *care.Entry) { e.V = 9 }) // leaves a gap
	stored := func(_ log.Stored, err error) error { return err }
	return errors.Join(
		stored(tx.Log().Append(family, first)), stored(tx.Log().Append(family, second)), stored(tx.Log().Append(family, taken)),
		tx.Log().AppendFromPractice(family, h.Entry(7, func(e *care.Entry) {
			e.Kind, e.V, e.Author, e.ByName = care.Cease, 3, "staff-1", "Dr A"
			e.Body = json.RawMessage(`{"eyes":"both","reason":"report","review_by":"2026-04-04","text":"` + h.ID("cease") + `"}`)
		})),
		tx.Log().PutClaim(wearer, care.Claim{ID: care.EntryID(h.ID("claim")), Kind: care.Resume, By: "Dr A", Text: h.ID("claimed"), At: tx.Now}),
		tx.Log().KeepHeld(family, later, []byte(`{"id":"`+string(later.ID)+`","wearer":"`+string(wearer)+`","v":9,"body":{"text":"`+h.ID("held")+`"}}`)),
	)
}

// settleDuty puts in an alert with its messages, what is due, and lines of the
// audit log.
func (h Household) settleDuty(tx *store.Tx) error {
	family, wearer := care.FamilyID(h.ID("family")), care.WearerID(h.ID("wearer"))
	parent, device := care.PersonID(h.ID("parent")), care.DeviceID(h.ID("device"))
	rules, err := dispatch.Rules(tx)
	if err != nil {
		return err
	}
	alert := escalate.Alert{ID: care.AlertID(h.ID("alert")), Wearer: wearer, Family: family, Rule: "pain"}
	_, err = dispatch.Apply(tx, rules, alert, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Entry: h.EntryID(1)})
	return errors.Join(err,
		tx.Duty().SetDue(wearer, tx.Now.Add(time.Hour)),
		tx.Duty().PutWaiting(family, "all tag", json.RawMessage(`{"at":"2026-03-28T21:00:00Z"}`)),
		tx.Audit().Append(parent, "joined", string(device)),
		tx.Audit().Append("staff-1", "stored visit", string(wearer)+" "+h.ID("visit")),
	)
}

// Practice puts what belongs to no family into the store: one member of staff
// on duty the whole week.
func Practice(t *testing.T, db *store.DB) {
	t.Helper()
	slots := []escalate.Slot{}
	for day := range 7 {
		slots = append(slots, escalate.Slot{Weekday: day, Person: "staff-1", Deputy: "staff-1"})
	}
	err := db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().PutPractice(care.Practice{Name: "P", Zone: "Europe/Lisbon", Country: "PT", Languages: []string{"en"}}),
			storetest.Put(tx, care.Person{ID: "staff-1", Name: "S", Role: care.Clinician, Mail: "s@clinic.example"}),
			storetest.Put(tx, care.Device{ID: "desk-1", Person: "staff-1", Created: tx.Now}),
			tx.Access().PutSubscription("desk-1", register.Subscription{Endpoint: "https://push.example/desk", P256dh: "k", Auth: "a"}),
			tx.Register().SetSetting("rota", escalate.Rota{Zone: "Europe/Lisbon", Slots: slots}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// NotOfFamilies are the buckets that hold nothing of a family: settings of the
// practice, credentials of its staff, and what is left after an erasure.
var NotOfFamilies = []string{"meta", "digests", "passkeys", "staff_devices", "tombstones", "leaving", "leaving_pairs"}

// Found returns, for each bucket of a file in which any does, how many of its
// pairs hold the mark. It reads the file with bbolt alone.
func Found(t *testing.T, path, mark string) map[string]int {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	out := map[string]int{}
	err = b.View(func(tx *bbolt.Tx) error {
		return tx.ForEach(func(name []byte, bucket *bbolt.Bucket) error {
			return bucket.ForEach(func(k, v []byte) error {
				if bytes.Contains(k, []byte(mark)) || bytes.Contains(v, []byte(mark)) {
					out[string(name)]++
				}
				return nil
			})
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TwoFamilies makes a file with two families, and closes it.
func TwoFamilies(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "n.db")
	db := OpenAt(t, path)
	Practice(t, db)
	Household{Mark: "quincely"}.Settle(t, db)
	Household{Mark: "marrowby"}.Settle(t, db)
	for _, h := range []string{"quincely", "marrowby"} {
		err := db.Update(func(tx *store.Tx) error {
			return errors.Join(
				tx.Access().PutConsent(register.Consent{Person: care.PersonID(h + "-parent"), Device: care.DeviceID(h + "-device"), Version: "1", At: tx.Now}),
				tx.Access().AddFamilyNews(register.FamilyNews{Family: care.FamilyID(h + "-family"), Kind: register.NewDevice, Person: care.PersonID(h + "-parent"), Device: care.DeviceID(h + "-device"), At: tx.Now}),
			)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// Counts checks how many pairs buckets hold whose keys are hashes.
func Counts(t *testing.T, path string, want map[string]int) {
	t.Helper()
	b, err := bbolt.Open(path, 0o400, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	_ = b.View(func(tx *bbolt.Tx) error {
		for name, n := range want {
			got := 0
			if b := tx.Bucket([]byte(name)); b != nil { // it comes with its first pair
				got = b.Stats().KeyN
			}
			if got != n {
				t.Errorf("%s holds %d pairs, want %d", name, got, n)
			}
		}
		return nil
	})
}
