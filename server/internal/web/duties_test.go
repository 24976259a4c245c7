package web_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// A duty is swapped when both have said so: asking changes nothing, only whoever
// was asked can confirm, and then both dates change, on the list and for alerts.
func TestADutyIsSwappedWhenBothConfirm(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	today := civil.DateOf(simNow)
	on, back := today.AddDays(2), today.AddDays(3)
	s.update(func(tx *store.Tx) error {
		r := escalate.Rota{Zone: "UTC"}
		for day := range 7 {
			who := map[bool]escalate.Slot{true: {Person: "c1", Deputy: "k1"}, false: {Person: "k1", Deputy: "c1"}}[day == int(on.Weekday())]
			who.Weekday = day
			r.Slots = append(r.Slots, who)
		}
		return tx.Register().SetSetting("rota", r)
	})
	onDuty := func(day civil.Date) (who string) {
		_ = s.srv.DB.View(func(tx *store.Tx) error {
			var r escalate.Rota
			err := tx.Register().Setting("rota", &r)
			p, _ := escalate.OnDuty(r, civil.At(day, civil.MustClock("12:00"), simNow.Location()))
			who = string(p)
			return err
		})
		return who
	}
	ask := func(with, on, back string) string {
		return `{"with":"` + with + `","on":"` + on + `","back":"` + back + `"}`
	}
	s.says("POST", "/api/clinic/swaps", "clinician", ask("c1", on.String(), back.String()), 422, `"field":"with"`)
	s.says("POST", "/api/clinic/swaps", "clinician", ask("a1", on.String(), back.String()), 422, `"field":"with"`)
	s.says("POST", "/api/clinic/swaps", "clinician", ask("k1", today.AddDays(40).String(), back.String()), 422, "you have no duty")
	sure := func(body string) string { return strings.TrimSuffix(body, "}") + `,"sure":true}` }
	// the desk cannot take a red flag: a clinician's duty goes to it only when asked about
	s.says("POST", "/api/clinic/swaps", "clinician", ask("k1", on.String(), back.String()), 409, "K is no clinician and cannot take a red flag")
	s.says("POST", "/api/clinic/swaps", "clinician", sure(ask("k1", on.String(), back.String())), 200, "")
	// whoever takes it is its deputy now, and nobody would be: both are told before
	s.says("POST", "/api/clinic/swaps", "clinician", ask("k1", on.String(), back.String()), 409, "Nobody would be the deputy in the duty of "+on.String())
	s.says("GET", "/api/clinic/duties", "desk", "", 200, `"alone":["`+on.String()+`","`+back.String()+`"]`)
	asked := decode[struct {
		Asks []struct{ ID, By, With string }
	}](t, s.says("GET", "/api/clinic/duties", "desk", "", 200, ""))
	if len(asked.Asks) != 1 || asked.Asks[0].By != "c1" || asked.Asks[0].With != "k1" {
		t.Fatalf("the desk is asked %+v", asked.Asks)
	}
	s.says("GET", "/api/clinic/today", "desk", "", 200, `"asked":true`)
	s.says("GET", "/api/clinic/today", "clinician", "", 200, `"asked":false`)
	if who := onDuty(on); who != "c1" {
		t.Errorf("asking alone puts %q on duty", who)
	}
	at := "/api/clinic/swaps/" + asked.Asks[0].ID
	s.says("POST", at+"/accept", "clinician", "", 403, "not-yours")
	s.says("POST", at+"/accept", "desk", "", 200, "")
	s.says("POST", at+"/accept", "desk", "", 404, "no-swap")
	for day, want := range map[civil.Date]string{on: "k1", back: "c1", on.AddDays(7): "c1"} {
		if who := onDuty(day); who != want {
			t.Errorf("%s: %q is on duty, want %q", day, who, want)
		}
	}
	list := s.says("GET", "/api/clinic/duties", "clinician", "", 200, `"asks":[]`)
	if !strings.Contains(list, `"start":"`+on.String()+`","from"`) {
		t.Errorf("the list lacks the duty of %s: %.300s", on, list)
	}

	// Whoever is away cannot take one; what was asked for can be withdrawn.
	s.update(func(tx *store.Tx) error {
		var r escalate.Rota
		if err := tx.Register().Setting("rota", &r); err != nil {
			return err
		}
		r.Off = []escalate.Absence{{Person: "k1", From: on.AddDays(7), To: on.AddDays(7)}}
		return tx.Register().SetSetting("rota", r)
	})
	s.says("POST", "/api/clinic/swaps", "clinician", ask("k1", on.AddDays(7).String(), back.AddDays(7).String()), 409, "away")
	s.says("POST", "/api/clinic/swaps", "clinician", sure(`{"with":"k1","on":"`+on.AddDays(14).String()+`"}`), 200, "")
	one := decode[struct{ Asks []struct{ ID string } }](t, s.says("GET", "/api/clinic/duties", "clinician", "", 200, ""))
	s.says("DELETE", "/api/clinic/swaps/"+one.Asks[0].ID, "clinician", "", 200, "")
	s.says("GET", "/api/clinic/today", "desk", "", 200, `"asked":false`)
}

// Slots of different weeks do not overlap; of the same weeks they do.
func TestASlotOfEverySecondWeekLeavesRoomForAnother(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.placed("")
	s.confirmed("admin", "da")
	slot := func(weekday int, from, to string, since string) escalate.Slot {
		x := escalate.Slot{Weekday: weekday, From: civil.MustClock(from), To: civil.MustClock(to), Person: "c1"}
		if since != "" {
			x.Since = civil.MustDate(since)
		}
		return x
	}
	for _, c := range []struct {
		name  string
		slots []escalate.Slot
		fault string
	}{
		{"this week and the next", []escalate.Slot{slot(3, "08:00", "20:00", "2026-03-02"), slot(3, "08:00", "20:00", "2026-03-09")}, ""},
		{"the same week, named by two dates", []escalate.Slot{slot(3, "08:00", "20:00", "2026-03-02"), slot(3, "08:00", "20:00", "2026-03-16")}, "rota.slots.1"},
		{"every week beside every second", []escalate.Slot{slot(3, "08:00", "20:00", ""), slot(3, "19:00", "21:00", "2026-03-09")}, "rota.slots.1"},
		{"over the midnight into the other week", []escalate.Slot{slot(0, "20:00", "08:00", "2026-03-02"), slot(1, "07:00", "09:00", "2026-03-09")}, "rota.slots.1"},
		{"over the midnight, in weeks that do not follow", []escalate.Slot{slot(0, "20:00", "08:00", "2026-03-02"), slot(1, "07:00", "09:00", "2026-03-02")}, ""},
	} {
		now := decode[map[string]any](t, s.says("GET", "/api/clinic/settings", "admin", "", 200, ""))
		put := map[string]any{}
		for _, k := range []string{"practice", "policy", "rule_settings", "revision"} {
			put[k] = now[k]
		}
		put["rota"] = escalate.Rota{Zone: "Europe/Lisbon", Slots: c.slots}
		body, err := json.Marshal(put)
		if err != nil {
			t.Fatal(err)
		}
		status, raw := s.call("PUT", "/api/clinic/settings", "admin", string(body))
		if said := status == 422 && strings.Contains(raw, c.fault+": "+c.slots[1].From.String()) && strings.Contains(raw, "overlaps"); said != (c.fault != "") || c.fault == "" && strings.Contains(raw, "rota.") {
			t.Errorf("%s: %d, %.300s", c.name, status, raw)
		}
	}
}

// What the daily test alert says of whoever is on duty: no device, one that owes it
// since more than half a day (as escalate.Unheard has it), and one that showed it.
func TestTodaySaysWhetherTheTestAlertWasShown(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		r := escalate.Rota{Zone: "UTC"}
		for day := range 7 {
			r.Slots = append(r.Slots, escalate.Slot{Weekday: day, Person: "c1"})
		}
		return tx.Register().SetSetting("rota", r)
	})
	s.says("GET", "/api/clinic/today", "desk", "", 200, `"tested":{"devices":0,"shown":null,"silent":false}`)
	s.update(func(tx *store.Tx) error {
		return errors.Join(tx.Access().PutSubscription("dc", register.Subscription{Endpoint: "https://push.example/x", P256dh: "a", Auth: "b"}),
			tx.Register().ChangeDevice("dc", func(d *care.Device) { d.Owes = tx.Now.Add(-13 * time.Hour) }))
	})
	s.says("GET", "/api/clinic/today", "desk", "", 200, `"tested":{"devices":1,"shown":null,"silent":true}`)
	s.says("POST", "/api/receipts", "clinician", `{"tag":"canary-2026-03-28","event":"shown"}`, 200, "")
	s.says("GET", "/api/clinic/today", "desk", "", 200, `"tested":{"devices":1,"shown":"`+simNow.Format(time.RFC3339)+`","silent":false}`)
}

// A duty that no clinician holds, as first or as deputy, is asked about when the rota
// is saved, once: it stands there, and the next save is about something else.
func TestADutyNoClinicianHoldsIsAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	const sunday = `{"weekday":0,"from":"08:00","to":"08:00","person":"c1"`
	desk := strings.Replace(goodSettings, sunday, strings.Replace(sunday, "c1", "k1", 1), 1)
	if desk == goodSettings {
		t.Fatal("the settings have no duty on Sunday")
	}
	s.says("PUT", "/api/clinic/settings", "admin", s.named(desk), 409, "No clinician is on duty on Sunday, 08:00 to 08:00: a red flag")
	s.says("PUT", "/api/clinic/settings", "admin", strings.Replace(s.named(desk), "{", `{"sure":true,`, 1), 200, "")
	s.says("PUT", "/api/clinic/settings", "admin", s.named(strings.Replace(desk, `"missed_nights":5`, `"missed_nights":4`, 1)), 200, "")
}

// Two colleagues have no mail address in common, letter case aside: an alert for one
// would reach the other.
func TestAColleaguesMailIsTaken(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.confirmed("admin", "da")
	s.says("POST", "/api/clinic/staff", "admin", `{"name":"One","role":"desk","mail":"front@practice.example","phone":""}`, 200, "")
	s.says("POST", "/api/clinic/staff", "admin", `{"name":"Two","role":"desk","mail":"Front@Practice.example","phone":""}`, 422, "One has this mail address")
	s.says("PUT", "/api/clinic/staff/k1", "admin", `{"name":"K","role":"desk","mail":"FRONT@practice.example","phone":""}`, 422, `"field":"mail"`)
}
