package store_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

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

// household is an invented family whose every id, name and text begins with
// its own mark of 8 letters, so that what is left of it can be searched for.
type household struct {
	mark   string
	family string // of somebody else too; empty: its own
}

func (h household) id(kind string) string {
	if kind == "family" && h.family != "" {
		return h.family
	}
	return h.mark + "-" + kind
}

func (h household) entryID(n int) care.EntryID {
	return care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%s%04d", h.mark, n))
}

func (h household) entry(n int, over func(*care.Entry)) *care.Entry {
	return entry(n, func(e *care.Entry) {
		e.ID, e.Wearer = h.entryID(n), care.WearerID(h.id("wearer"))
		e.Device, e.Author = care.DeviceID(h.id("device")), care.PersonID(h.id("parent"))
		e.HLC = fmt.Sprintf("1774734000%03d-0000", n)
		if over != nil {
			over(e)
		}
	})
}

// settle puts something of the household into every bucket that can hold
// something of a family.
func (h household) settle(t *testing.T, db *store.DB) {
	t.Helper()
	family, wearer := care.FamilyID(h.id("family")), care.WearerID(h.id("wearer"))
	parent, device := care.PersonID(h.id("parent")), care.DeviceID(h.id("device"))
	note, err := json.Marshal(map[string]string{"text": h.id("secret note")})
	if err != nil {
		t.Fatal(err)
	}
	first := h.entry(1, func(e *care.Entry) { e.Kind, e.Body = care.Note, note })
	second := h.entry(2, func(e *care.Entry) { e.Supersedes = []care.EntryID{first.ID}; e.Kind, e.Body = care.Note, note })
	taken := h.entry(1, func(e *care.Entry) { e.Kind, e.Body = care.Note, json.RawMessage(`{"text":"`+h.id("conflict")+`"}`) })
	later := h.entry(5, func(e *care.Entry) { e.V = 9 }) // leaves a gap
	visit := map[string]string{"id": h.id("visit"), "date": "2026-03-01", "advice": h.id("advice")}
	err = db.Update(func(tx *store.Tx) error {
		stored := func(_ log.Stored, err error) error { return err }
		planned := func(_ register.PlanRecord, err error) error { return err }
		raised := func(_ escalate.Alert, err error) error { return err }
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		alert := escalate.Alert{ID: care.AlertID(h.id("alert")), Wearer: wearer, Family: family, Rule: "pain"}
		for _, err := range []error{
			storetest.Put(tx, care.Family{ID: family, Name: h.id("family name"), Zone: "Europe/Lisbon", Created: tx.Now}),
			storetest.Put(tx, care.Wearer{ID: wearer, Family: family, Code: h.id("code"), Name: h.id("child name"), Birth: "2015-05-05"}),
			storetest.Put(tx, care.Person{ID: parent, Family: family, Name: h.id("parent name"), Role: care.Parent, Phone: h.id("phone")}),
			storetest.Put(tx, care.Device{ID: device, Family: family, Person: parent, Name: h.id("phone name"), Created: tx.Now, LastSeen: tx.Now}),
			tx.Access().AddCredential(h.id("token"), register.Credential{Device: device, Created: tx.Now}),
			tx.Access().Invite(h.id("code"), register.Invitation{Person: parent, By: "staff-1", Created: tx.Now, Expires: tx.Now.Add(time.Hour)}),
			tx.Access().PutSubscription(device, register.Subscription{Endpoint: "https://push.example/" + h.id("endpoint"), P256dh: "k", Auth: "a"}),
			planned(tx.Chart().PutPlan(wearer, "staff-1", json.RawMessage(`{"remark":"`+h.id("remark")+`"}`))),
			tx.Chart().PutVisit(wearer, h.id("visit"), visit),
			stored(tx.Log().Append(family, first)), stored(tx.Log().Append(family, second)), stored(tx.Log().Append(family, taken)),
			tx.Log().AppendFromPractice(family, h.entry(7, func(e *care.Entry) {
				e.Kind, e.V, e.Author, e.ByName = care.Cease, 3, "staff-1", "Dr A"
				e.Body = json.RawMessage(`{"eyes":"both","reason":"report","review_by":"2026-04-04","text":"` + h.id("cease") + `"}`)
			})),
			tx.Log().KeepHeld(family, later, []byte(`{"id":"`+string(later.ID)+`","wearer":"`+string(wearer)+`","v":9,"body":{"text":"`+h.id("held")+`"}}`)),
			raised(dispatch.Apply(tx, rules, alert, escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Entry: first.ID})),
			tx.Chart().PutFollowUp(wearer, register.FollowUp{Reason: "silent", By: "staff-1", At: tx.Now, Outcome: "phoned", Note: h.id("follow-up")}),
			tx.Access().SetCalendar(h.id("calendar"), register.Calendar{Family: family, By: parent, Created: tx.Now}),
			tx.Chart().PutCalendarEvent(family, register.CalendarEvent{Wearer: wearer, UID: "1", Changed: tx.Now, Date: civil.MustDate("2026-04-01")}),
			tx.Chart().PutCalendarEvent("", register.CalendarEvent{Wearer: wearer, UID: "1", Changed: tx.Now, Date: civil.MustDate("2026-04-01"), Code: h.id("code")}),
			tx.Duty().SetDue(wearer, tx.Now.Add(time.Hour)),
			tx.Audit().Append(parent, "joined", string(device)),
			tx.Audit().Append("staff-1", "stored visit", string(wearer)+" "+h.id("visit")),
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
	_, err = dispatch.Reminders{DB: db}.Commit([]remind.Step{{Wearer: wearer, At: t0, Next: t0.Add(time.Hour), Fired: []schedule.Firing{{Key: "insertion", Date: civil.MustDate("2026-03-28")}}}})
	if err != nil {
		t.Fatal(err)
	}
}

// practice puts what belongs to no family into the store: one member of staff
// on duty the whole week.
func practice(t *testing.T, db *store.DB) {
	t.Helper()
	slots := []escalate.Slot{}
	for day := range 7 {
		slots = append(slots, escalate.Slot{Weekday: day, Person: "staff-1", Deputy: "staff-1"})
	}
	err := db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().PutPractice(care.Practice{Name: "P", Zone: "Europe/Lisbon"}),
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

// A message for one member of the staff goes to the browsers that person uses
// and to no other: not a colleague's, not a family's, not one taken out of use.
func TestStaffDevices(t *testing.T) {
	t.Parallel()
	db := openAt(t, filepath.Join(t.TempDir(), "n.db"))
	defer db.Close()
	err := db.Update(func(tx *store.Tx) error {
		errs := []error{
			storetest.Put(tx, care.Person{ID: "ann", Role: care.Desk}), storetest.Put(tx, care.Person{ID: "ann2", Role: care.Desk}),
			storetest.Put(tx, care.Family{ID: "f1"}), storetest.Put(tx, care.Person{ID: "mum", Family: "f1", Role: care.Parent}),
		}
		for _, d := range []care.Device{
			{ID: "desk", Person: "ann"}, {ID: "lost", Person: "ann"}, {ID: "room", Person: "ann2"}, {ID: "phone", Person: "mum", Family: "f1"},
		} {
			errs = append(errs, storetest.Put(tx, d))
		}
		errs = append(errs, storetest.Put(tx, care.Device{ID: "lost", Person: "ann", Revoked: true}))
		return errors.Join(errs...)
	})
	if err != nil {
		t.Fatal(err)
	}
	_ = db.View(func(tx *store.Tx) error {
		got, err := tx.Register().StaffDevices("ann")
		if err != nil || len(got) != 1 || got[0].ID != "desk" {
			t.Errorf("devices %+v, %v; want the desk alone", got, err)
		}
		return nil
	})
}
