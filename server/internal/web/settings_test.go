package web_test

import (
	stdcmp "cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/practice"
)

// goodSettings is a practice that has set everything: on duty is C for whole
// days from 08:00, away on Easter Monday 2026 (6 April).
const goodSettings = `{
 "practice":{"name":"Harbour Lane","zone":"Europe/Lisbon","country":"PT","languages":["en"],"owner_mail":"owner@example.org","contacts":{
  "clinic":"Harbour Lane","phone":"+351 555 0100","zone":"Europe/Lisbon","closed":["2026-04-25"],
  "hours":[{"weekday":1,"from":"09:00","to":"17:00"}],"after_hours_phone":"","emergency_number":"112"}},
 "rota":{"zone":"Europe/Lisbon","slots":[
  {"weekday":0,"from":"08:00","to":"08:00","person":"c1","deputy":""},{"weekday":1,"from":"08:00","to":"08:00","person":"c1","deputy":""},
  {"weekday":2,"from":"08:00","to":"08:00","person":"c1","deputy":""},{"weekday":3,"from":"08:00","to":"08:00","person":"c1","deputy":""},
  {"weekday":4,"from":"08:00","to":"08:00","person":"c1","deputy":""},{"weekday":5,"from":"08:00","to":"08:00","person":"c1","deputy":""},
  {"weekday":6,"from":"08:00","to":"08:00","person":"c1","deputy":""}],
  "off":[{"person":"c1","from":"2026-04-06","to":"2026-04-06"}]},
 "policy":{"unshown_minutes":1,"deputy_minutes":3,"everyone_minutes":10,"repeat_minutes":15,"lapse_minutes":60,"still_open_minutes":1440},
 "rule_settings":{"missed_nights":5}}`

type gap struct {
	From  string `json:"from"`
	To    string `json:"to"`
	Hours bool   `json:"hours"`
}

type answered struct {
	Practice     json.RawMessage `json:"practice"`
	Rota         json.RawMessage `json:"rota"`
	Policy       json.RawMessage `json:"policy"`
	RuleSettings map[string]int  `json:"rule_settings"`
	Gaps         []gap           `json:"gaps"`
	NotSet       []struct {
		What string `json:"what"`
		Text string `json:"text"`
	} `json:"not_set"`
}

func (s *site) settings(method, token, body string, status int) (a answered) {
	s.t.Helper()
	if method == "PUT" { // as the page does: what was read is named again
		body = s.named(body)
		s.confirmed("sure", "da")
		token = "sure"
	}
	got, raw := s.call(method, "/api/clinic/settings", token, body)
	if got != status {
		s.t.Fatalf("%s: %d %s, want %d", method, got, raw, status)
	}
	if err := json.Unmarshal([]byte(raw), &a); err != nil {
		s.t.Fatal(err)
	}
	return a
}

// revision is that of the settings as stored.
func (s *site) revision() string {
	_, raw := s.call("GET", "/api/clinic/settings", "admin", "")
	return decode[struct{ Revision string }](s.t, raw).Revision
}

// named is a body of settings with the revision that is stored, as the page
// sends what it read.
func (s *site) named(body string) string {
	return strings.Replace(strings.Replace(body, "{", `{"revision":"`+s.revision()+`",`, 1), ",}", "}", 1)
}

// Two administrators read the same settings and both save: the second is told,
// and what the first saved stands. The same holds for two versions of a plan.
func TestNobodyOverwritesUnseen(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	read := s.revision()
	with := func(body string) string {
		return strings.TrimSuffix(strings.TrimSpace(body), "}") + `,"revision":"` + read + `"}`
	}
	s.says("PUT", "/api/clinic/settings", "admin", with(goodSettings), 409, "recheck-needed")
	s.confirmed("sure", "da")
	s.says("PUT", "/api/clinic/settings", "sure", with(goodSettings), 200, "")
	other := strings.ReplaceAll(goodSettings, `"name":"Harbour Lane"`, `"name":"Other"`)
	s.says("PUT", "/api/clinic/settings", "sure", with(other), 409, "settings-changed")
	s.says("GET", "/api/clinic/settings", "admin", "", 200, `"name":"Harbour Lane"`)
	read = s.revision()
	s.says("PUT", "/api/clinic/settings", "sure", with(other), 200, `"name":"Other"`)
	if read == s.revision() {
		t.Error("a save left the revision as it was")
	}

	at := "/api/clinic/wearers/w1/plan"
	usual := decode[struct{ Usual map[string]any }](t, s.says("GET", at, "clinician", "", 200, "")).Usual
	plan := func(base int, why string) string {
		usual["first_night"], usual["base"], usual["why"] = "2026-03-01", base, why
		raw, err := json.Marshal(usual)
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	s.says("POST", at, "clinician", plan(0, "start"), 200, `"version":1`)
	s.says("POST", at, "clinician", plan(0, "start too"), 409, "plan-changed")
	s.says("POST", at, "clinician", plan(1, "first"), 200, `"version":2`)
	s.says("POST", at, "clinician", plan(1, "second"), 409, "plan-changed")
	raw := s.says("GET", at, "clinician", "", 200, `"why":"first"`)
	if strings.Contains(raw, "start too") || strings.Contains(raw, "second") || strings.Contains(raw, `"base"`) {
		t.Errorf("a refused plan was stored, or its base was: %s", raw)
	}

	at = "/api/clinic/wearers/w1/visits"
	visit := func(rev int, at string) string {
		return `{"id":"v","date":"2026-04-02","time":"` + at + `","kind":"recall","state":"booked","rev":` + strconv.Itoa(rev) + `,"sure":true,"why":"ill"}`
	}
	s.says("POST", at, "desk", visit(0, "10:00"), 200, `"rev":1`)
	s.says("POST", at, "clinician", visit(1, "11:00"), 200, `"rev":2`)
	s.says("POST", at, "desk", visit(1, "12:00"), 409, "C saved this visit since you began: it is booked on 2026-04-02 11:00 now")
	s.says("POST", at, "desk", visit(0, "12:00"), 409, "visit-changed")
	s.says("GET", at, "desk", "", 200, `"time":"11:00"`)
	s.says("POST", at, "desk", visit(2, "12:00"), 200, `"rev":3`)
}

func (a answered) missing() string {
	var words []string
	for _, m := range a.NotSet {
		words = append(words, m.What)
	}
	return strings.Join(words, " ")
}

// By hand: C is on duty around the clock, but the slot that starts on Monday 6
// April at 08:00 is off as a whole, to Tuesday 08:00. The clinic is open on
// Monday from 09:00 to 17:00. Lisbon keeps summer time, UTC+1, from 29 March.
func TestSettingsAnswerWithGaps(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	want := []gap{
		{"2026-04-06T08:00:00+01:00", "2026-04-06T09:00:00+01:00", false},
		{"2026-04-06T09:00:00+01:00", "2026-04-06T17:00:00+01:00", true},
		{"2026-04-06T17:00:00+01:00", "2026-04-07T08:00:00+01:00", false},
	}
	saved := s.settings("PUT", "admin", goodSettings, 200)
	if d := cmp.Diff(want, saved.Gaps); d != "" {
		t.Errorf("gaps (-want +got):\n%s", d)
	}
	// 8 of the 24 hours are the clinic's; C has no device that takes alerts, and
	// the server of the tests has no mail.
	if got := saved.missing(); got != "afterhours place gap night notifications staffphone passkey backup readback mail drill approved administrator" {
		t.Errorf("not set: %s", got)
	}
	if within := saved.NotSet[2].Text; !strings.Contains(within, " 8 h ") || !strings.Contains(saved.NotSet[3].Text, " 16 h ") {
		t.Errorf("want 8 h within hours and 16 h outside: %v", saved.NotSet)
	}
	if d := cmp.Diff(saved, s.settings("GET", "desk", "", 200)); d != "" {
		t.Errorf("read again it differs:\n%s", d)
	}
	// The minutes sent are the usual ones, so they did not change.
	if !s.audited("a1", "changed settings", "practice rota rule_settings") {
		t.Error("who changed what is not in the audit log")
	}
	// Who reads the rules reads the practice's limit.
	if _, rules := s.call("GET", "/api/clinic/rules", "desk", ""); !strings.Contains(rules, "On at least 5 (set by the practice; usually 4,") {
		t.Error("the rules do not say the limit that was set")
	}
	// A deputy who is there closes the gap; only the rota changed.
	covered := s.settings("PUT", "admin", strings.ReplaceAll(goodSettings, `"deputy":""`, `"deputy":"k1"`), 200)
	if len(covered.Gaps) != 0 || !s.audited("a1", "changed settings", "rota") {
		t.Errorf("with a deputy: %v", covered.Gaps)
	}
}

// placed lets the practice have said where it is; an empty country is Portugal.
func (s *site) placed(country string) {
	s.t.Helper()
	s.update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		p.Zone, p.Country, p.Languages = stdcmp.Or(p.Zone, "Europe/Lisbon"), stdcmp.Or(country, "PT"), []string{"en"}
		return errors.Join(err, tx.Register().PutPractice(p))
	})
}

// Zone, country and languages are asked first: until they are set no family can
// be added, and they can be saved while everything else is missing. Hours and
// rota then have the zone, and everybody's console and the families' phones have
// what was set.
func TestWhereThePracticeIsComesFirst(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const family = `{"name":"N","zone":"Europe/Lisbon","wearer":{"name":"Bo","code":"W-77","birth":""},"people":[{"name":"P","role":"parent","phone":"912 345 678"}]}`
	s.says("POST", "/api/clinic/families", "desk", family, 409, "place-first")
	place := func(zone, country, languages string) string {
		return s.named(`{"zone":"` + zone + `","country":"` + country + `","languages":` + languages + `}`)
	}
	s.says("PUT", "/api/clinic/place", "admin", place("Europe/Lisbon", "PT", `["en"]`), 409, "recheck-needed")
	s.confirmed("sure", "da")
	for _, wrong := range []struct{ zone, country, languages, says string }{
		{"", "PT", `["en"]`, "practice.zone"}, {"Europe/Lisbon", "", `["en"]`, "practice.country"}, {"Europe/Lisbon", "PT", `[]`, "practice.languages"},
	} {
		s.says("PUT", "/api/clinic/place", "sure", place(wrong.zone, wrong.country, wrong.languages), 422, wrong.says)
		s.says("POST", "/api/clinic/families", "desk", family, 409, "place-first")
	}
	s.says("PUT", "/api/clinic/place", "sure", `{"zone":"Europe/Lisbon","country":"PT","languages":["en"],"revision":"old"}`, 409, "settings-changed")
	s.says("PUT", "/api/clinic/place", "sure", place("Europe/Lisbon", "PT", `["es","en"]`), 200, `"rota":{"zone":"Europe/Lisbon"`)
	s.says("GET", "/api/clinic/me", "desk", "", 200, `"zone":"Europe/Lisbon","languages":["es","en"],"country":"PT"`)
	s.says("GET", "/api/family", "family", "", 200, `"zone":"Europe/Lisbon","hours"`)
	s.says("POST", "/api/clinic/families", "desk", family, 200, `"phone":"+351 912 345 678"`)
	if !s.audited("a1", "changed settings", "practice rota") {
		t.Error("who set it is not in the audit log")
	}
}

// The steps of setting up that the console shows are those that the command
// prints, in the order of the issue: what others depend on first. Each says why.
func TestSetupIsWalkedInOrder(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	got := decode[struct{ Setup []practice.Step }](t, s.says("GET", "/api/clinic/settings", "admin", "", 200, "")).Setup
	want := []string{"Zone", "Name and telephone", "Hours", "Staff", "Rota", "Devices", "Mail", "A backup, read back", "A second administrator", "A drill", "Alert rules", "The machine"}
	for i, step := range got {
		if i >= len(want) || !strings.HasPrefix(step.Name, want[i]) || step.Why == "" {
			t.Errorf("step %d is %q because of %q, want %q", i+1, step.Name, step.Why, want)
		}
		if step.Page == "today" { // a page that an administrator has not
			t.Errorf("the step %q leads to a page for clinicians", step.Name)
		}
	}
	if len(got) != len(want) || len(got[0].Open) != 3 {
		t.Errorf("%d steps, open in the first: %q", len(got), got[0].Open)
	}
}

// A practice that has set nothing is told all of it, the gravest first.
func TestSettingsSayWhatIsNotSet(t *testing.T) {
	t.Parallel()
	got := newSite(t).settings("GET", "admin", "", 200)
	if got.missing() != "emergency phone afterhours place zone country languages rota notifications hours backup readback mail drill approved administrator name" || len(got.Gaps) != 1 {
		t.Errorf("not set: %s, %d gaps", got.missing(), len(got.Gaps))
	}
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		return tx.Register().ChangePerson("c1", func(p *care.Person) { p.Gone = true })
	})
	if left := s.settings("GET", "admin", "", 200).missing(); !strings.Contains(left, " clinician ") {
		t.Errorf("without a clinician: %s", left)
	}
	second := func(with func(tx *store.Tx) error) string {
		s.update(with)
		return s.settings("GET", "admin", "", 200).missing()
	}
	if left := second(func(tx *store.Tx) error {
		return tx.Register().AddPerson(care.Person{ID: "a2", Name: "Second", Role: care.Administrator})
	}); !strings.Contains(left, "administrator") {
		t.Errorf("a second administrator who has never signed in: %s", left)
	}
	if left := second(func(tx *store.Tx) error {
		return tx.Access().PutPasskey(register.Passkey{ID: "k2", Person: "a2", Credential: json.RawMessage(`{}`)})
	}); strings.Contains(left, "administrator") {
		t.Errorf("a second administrator with a passkey: %s", left)
	}
	if policy := string(got.Policy); !strings.Contains(policy, `"lapse_minutes":60`) {
		t.Errorf("policy %s, want the usual one", policy)
	}
}

// Every fault is named by its field, and nothing of the request is stored, not
// even the parts that are right.
func TestBadSettingsStoreNothing(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, old, now string
		fields         string // those named, in order
	}{
		{"no name", `"name":"Harbour Lane"`, `"name":"  "`, "practice.name"},
		{"a name that turns around", `"name":"Harbour Lane"`, `"name":"Harbour\u202e Lane"`, "practice.name"},
		{"a name with what nobody sees", `"name":"Harbour Lane"`, `"name":"x\u200b"`, "practice.name"},
		{"a name of lines, as of a mail", `"name":"Harbour Lane"`, `"name":"x\r\nBcc: y\r\n\r\nhello"`, "practice.name"},
		{"a place that rings", `"emergency_number":"112"`, `"emergency_number":"112","emergency_place":{"name":"x\u202ey","address":"x\n\u0007y","hours":"\u200b"}`,
			"practice.contacts.emergency_place.name practice.contacts.emergency_place.address practice.contacts.emergency_place.hours"},
		{"unknown zone", `"name":"Harbour Lane","zone":"Europe/Lisbon"`, `"name":"Harbour Lane","zone":"Europe/Atlantis"`, "practice.zone"},
		{"no country", `"country":"PT",`, "", "practice.country"},
		{"a country in words", `"country":"PT"`, `"country":"Portugal"`, "practice.country"},
		{"no languages", `"languages":["en"]`, `"languages":[]`, "practice.languages"},
		{"a language nobody wrote", `"languages":["en"]`, `"languages":["en","fr"]`, "practice.languages"},
		{"a language twice", `"languages":["en"]`, `"languages":["en","en"]`, "practice.languages"},
		{"the machine's zone", `"rota":{"zone":"Europe/Lisbon"`, `"rota":{"zone":"Local"`, "rota.zone"},
		{"no phone", `"+351 555 0100"`, `""`, "practice.contacts.phone"},
		{"no emergency number", `"emergency_number":"112"`, `"emergency_number":""`, "practice.contacts.emergency_number"},
		{"emergency number in words", `"emergency_number":"112"`, `"emergency_number":"ask us"`, "practice.contacts.emergency_number"},
		{"mail with a name", `"owner@example.org"`, `"Owner <owner@example.org>"`, "practice.owner_mail"},
		{"hours that end before they start", `"to":"17:00"`, `"to":"08:00"`, "practice.contacts.hours.0"},
		{"hours on an eighth day", `{"weekday":1,"from":"09:00"`, `{"weekday":7,"from":"09:00"`, "practice.contacts.hours.0"},
		{"hours that overlap", `"to":"17:00"}`, `"to":"17:00"},{"weekday":1,"from":"16:00","to":"18:00"}`, "practice.contacts.hours.1"},
		{"slot on an eighth day", `{"weekday":0,"from":"08:00"`, `{"weekday":7,"from":"08:00"`, "rota.slots.0"},
		{"one's own deputy", `"weekday":6,"from":"08:00","to":"08:00","person":"c1","deputy":""`, `"weekday":6,"from":"08:00","to":"08:00","person":"c1","deputy":"c1"`, "rota.slots.6"},
		{"a parent on the rota", `"weekday":2,"from":"08:00","to":"08:00","person":"c1"`, `"weekday":2,"from":"08:00","to":"08:00","person":"p1"`, "rota.slots.2.person"},
		{"who cannot answer alerts", `"weekday":2,"from":"08:00","to":"08:00","person":"c1"`, `"weekday":2,"from":"08:00","to":"08:00","person":"a1"`, "rota.slots.2.person"},
		{"absence backwards", `"to":"2026-04-06"`, `"to":"2026-04-05"`, "rota.off.0"},
		{"lapse before everyone is told", `"lapse_minutes":60`, `"lapse_minutes":10`, "policy.lapse_minutes"},
		{"limit out of bounds", `"missed_nights":5`, `"missed_nights":14`, "rule_settings.missed_nights"}, // bounds 2 to 7
		{"limit nobody knows", `"missed_nights":5`, `"redness":1`, "rule_settings.redness"},
		{"everything missing", goodSettings, `{}`, "practice.name practice.zone practice.country practice.languages practice.contacts.clinic practice.contacts.phone practice.contacts.emergency_number practice.contacts.zone rota.zone policy.unshown_minutes"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			before := s.settings("GET", "admin", "", 200)
			s.confirmed("sure", "da")
			body := strings.ReplaceAll(goodSettings, tc.old, tc.now)
			if body == goodSettings {
				t.Fatal("the case changes nothing")
			}
			status, raw := s.call("PUT", "/api/clinic/settings", "sure", s.named(body))
			var got struct {
				Error struct{ Code, Message, Field string }
			}
			if err := json.Unmarshal([]byte(raw), &got); err != nil || status != 422 || got.Error.Code != "bad-settings" {
				t.Fatalf("%d %s", status, raw)
			}
			var named []string
			for line := range strings.Lines(got.Error.Message) {
				field, _, _ := strings.Cut(line, ":")
				named = append(named, field)
			}
			if strings.Join(named, " ") != tc.fields || got.Error.Field != named[0] {
				t.Errorf("named %v, field %s; want %s", named, got.Error.Field, tc.fields)
			}
			if d := cmp.Diff(before, s.settings("GET", "admin", "", 200)); d != "" {
				t.Errorf("something was stored:\n%s", d)
			}
		})
	}
}

// After a restore everybody of the practice is told what it took back, and where that
// stands, until an administrator says that it is seen to.
func TestWhatARestoreTookBackIsToldUntilSeenTo(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	told := func(want bool) {
		t.Helper()
		_, page := s.call("GET", "/api/clinic/audit", "admin", "")
		settings := s.settings("GET", "clinician", "", 200)
		if contains(settings.missing(), "restored") != want || strings.Contains(page, `"lacks":true`) != want {
			t.Errorf("not set: %s; audit log: %.100s; want it told: %t", settings.missing(), page, want)
		}
	}
	told(false)
	s.update(func(tx *store.Tx) error {
		return tx.Register().SetSetting(store.LacksSetting, store.Lacks{At: simNow, Did: map[string]int{"stored plan": 2, "alert acknowledge": 1}})
	})
	told(true)
	s.says("GET", "/api/clinic/settings", "clinician", "", 200, "is not in it: alert acknowledge (1), stored plan (2).")
	s.says("POST", "/api/clinic/restored", "clinician", "", 403, "")
	s.confirmed("admin", "da")
	s.says("POST", "/api/clinic/restored", "admin", "", 200, "")
	told(false)
	if !s.audited("a1", "saw to what a restore took back", simNow.UTC().Format(time.RFC3339)) {
		t.Error("who said so is not in the audit log")
	}
	for words, lacks := range map[string]store.Lacks{
		"were carried into it (alerts: 2): deal with them":             {At: simNow, Alerts: 2},
		"could not be carried into it (alerts: 3): phone the families": {At: simNow, Left: 3},
		"Which alerts were open in the data file before 28 March":      {At: simNow, Unknown: true, Blind: true},
	} {
		s.update(func(tx *store.Tx) error { return tx.Register().SetSetting(store.LacksSetting, lacks) })
		s.says("GET", "/api/clinic/settings", "clinician", "", 200, words)
		if _, health := s.call("GET", "/healthz", "", ""); strings.Contains(health, `"ok":false`) != (lacks.Left > 0 || lacks.Blind) {
			t.Errorf("%+v: health says %s", lacks, health)
		}
		s.says("GET", "/api/clinic/alerts", "clinician", "", 200, fmt.Sprintf(`"blind":%t`, lacks.Left > 0 || lacks.Blind))
	}
}
