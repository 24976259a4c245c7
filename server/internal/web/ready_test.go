package web_test

import (
	"io"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/watch"
)

// drills is what the daily check reads.
type drills struct {
	Drills []struct{ ID, By, State, Desk, Family string }
	Why    string
	Phones int
}

func (s *site) drills() drills {
	s.t.Helper()
	return decode[drills](s.t, s.says("GET", "/api/clinic/drills", "desk", "", 200, ""))
}

// ringing is the alerts the console shows, in its order.
type ringing struct {
	Alerts []struct {
		ID, State, Level, Title string
		Drill                   bool
		Wearer_name, Desk_name  string
	}
}

func (s *site) ringing() ringing {
	s.t.Helper()
	return decode[ringing](s.t, s.says("GET", "/api/clinic/alerts", "desk", "", 200, ""))
}

// elsewhere is everything that lists, counts or hands out children, as it answers.
func (s *site) elsewhere() map[string]string {
	s.t.Helper()
	s.confirmed("sure-clinician", "dc")
	s.confirmed("sure-admin", "da")
	out := map[string]string{}
	for _, path := range []string{
		"/api/clinic/today", "/api/clinic/wearers", "/api/clinic/wearers?q=drill", "/api/clinic/recalls", "/api/clinic/practice?from=2026-03-01&to=2026-03-28",
		"/api/clinic/archive", "/api/clinic/waiting", "/api/clinic/export.csv", "/api/clinic/recalls.csv", "/api/clinic/old-phones",
		"/api/clinic/wearers/w1/review", "/api/clinic/wearers/w1/fhir",
	} {
		_, out[path] = s.call("GET", path, "sure-clinician", "")
	}
	_, out["retention"] = s.call("GET", "/api/clinic/retention", "sure-admin", "")
	req := httptest.NewRequest("GET", "/metrics", nil)
	req.Header.Set("Authorization", "Bearer a-long-enough-token")
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != 200 {
		s.t.Fatal(res.StatusCode, err)
	}
	for line := range strings.Lines(string(raw)) {
		if strings.HasPrefix(line, "nightkeep_alerts") {
			out["metrics"] += line
		}
	}
	return out
}

// A drill rings like a red flag: the desk's tap ends nothing, a clinician's does,
// and the result is kept. What it leaves is nowhere among children: every list,
// figure, review and export answers byte for byte as before, while it runs and
// after. A second drill is one of its own.
func TestADrillIsAnsweredAndNeverMixedWithChildren(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.srv.MetricsToken = "a-long-enough-token"
	before := s.elsewhere()
	unmixed := func(when string) {
		t.Helper()
		for path, was := range before {
			if is := s.elsewhere()[path]; is != was {
				t.Errorf("%s a drill, %s answers\n%s\nand before\n%s", when, path, is, was)
			}
		}
	}
	s.says("POST", "/api/clinic/drills", "desk", "", 200, `"running"`)
	s.says("POST", "/api/clinic/drills", "admin", "", 409, "drill-runs")
	q := s.ringing().Alerts
	if len(q) != 1 || !q[0].Drill || q[0].Level != "urgent" || q[0].State != "open" || !strings.Contains(q[0].Wearer_name, "nobody is ill") {
		t.Fatalf("the queue shows %+v", q)
	}
	unmixed("during")
	at := "/api/clinic/alerts/" + q[0].ID
	s.says("POST", at+"/close", "clinician", `{"outcome":"spoken-to","note":"x","causes":[],"entries":[]}`, 409, "drill")
	s.says("POST", at+"/acknowledge", "desk", "", 200, `"state":"open"`)
	s.says("POST", at+"/acknowledge", "clinician", "", 200, `"state":"closed"`)
	s.says("POST", at+"/reopen", "clinician", `{"text":"again"}`, 409, "drill")
	d := s.drills().Drills
	if len(d) != 1 || d[0].State != "answered" || d[0].By != "K" || d[0].Desk != "K" || d[0].Family != "none" {
		t.Fatalf("kept %+v", d)
	}
	if q := s.ringing().Alerts; len(q) != 0 {
		t.Errorf("the queue still shows %+v", q)
	}
	s.says("GET", "/api/clinic/settings", "admin", "", 200, "rang nowhere") // nobody of this practice has a device or a mailbox
	unmixed("after")
	for _, path := range []string{"/api/clinic/wearers/drill/review", "/api/clinic/wearers/drill/fhir", "/api/clinic/wearers/drill/plan", "/api/clinic/families/drill/export"} {
		s.says("GET", path, "sure-clinician", "", 409, "drill")
	}
	s.says("POST", "/api/clinic/families/drill/wearers", "desk", `{"name":"A Child","code":"W-9"}`, 409, "drill")

	s.says("POST", "/api/clinic/drills", "admin", "", 200, `"running"`)
	if d := s.drills().Drills; len(d) != 2 || d[0].State != "running" || d[0].By != "A" || d[1].State != "answered" {
		t.Errorf("the second drill: %+v", d)
	}
	s.says("POST", "/api/clinic/alerts/"+s.ringing().Alerts[0].ID+"/acknowledge", "clinician", "", 200, `"state":"closed"`)
	_ = s.srv.DB.View(func(tx *store.Tx) error { // its report held a lens back; a drill that is over holds none
		if w := intake.WearNow(tx, care.DrillWearer); w.Worst() >= care.Rest || !tx.Log().HasWear(care.DrillWearer) {
			t.Errorf("after two drills the phone for drills says %v, want no stop", w.Worst())
		}
		return nil
	})
}

// While a child's red flag waits there is no drill; a report that comes during one
// stands above it.
func TestAChildComesBeforeADrill(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	report := syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-0000000000aa","kind":"symptoms","v":2,"body":{"right":{"redness":"mild"},"other":"usual"}}`))
	s.says("POST", "/api/clinic/drills", "desk", "", 200, "")
	s.says("POST", "/api/sync", "family", report, 200, "accepted")
	q := s.ringing().Alerts
	if len(q) != 2 || q[0].Drill || !q[1].Drill {
		t.Fatalf("the queue: %+v", q)
	}
	s.says("POST", "/api/clinic/alerts/"+q[1].ID+"/acknowledge", "clinician", "", 200, `"state":"closed"`)
	s.says("POST", "/api/clinic/drills", "desk", "", 409, "alert-waits")
	if why := s.drills().Why; !strings.Contains(why, "real alert waits") {
		t.Errorf("why not: %q", why)
	}
}

// ready puts everything in place that a first invitation asks for.
func (s *site) ready() {
	s.t.Helper()
	s.srv.TestMail = func(string, string) error { return nil }
	s.srv.Facts = func() watch.Facts {
		return watch.Facts{Backup: &watch.Backup{Newest: simNow.Add(-time.Hour), Every: 24 * time.Hour}}
	}
	s.settings("PUT", "admin", readySettings, 200)
	s.update(func(tx *store.Tx) error {
		if err := tx.Register().SetSetting("trial_mail", map[string]any{"arrived": simNow}); err != nil {
			return err
		}
		return tx.Register().SetReadBack(simNow)
	})
	s.says("POST", "/api/clinic/families/f2/invitations", "desk", `{"person":"p2"}`, 409, "No drill was answered yet")
	s.says("POST", "/api/clinic/drills", "desk", "", 200, "")
	s.says("POST", "/api/clinic/alerts/"+s.ringing().Alerts[0].ID+"/acknowledge", "clinician", "", 200, `"closed"`)
}

var readySettings = strings.NewReplacer(`"after_hours_phone":""`, `"after_hours_phone":"+351 555 0111","emergency_place":{"name":"Eye casualty","address":"","hours":""}`,
	`,"off":[{"person":"c1","from":"2026-04-06","to":"2026-04-06"}]`, `,"off":[]`, `
  "off":[{"person":"c1","from":"2026-04-06","to":"2026-04-06"}]`, `
  "off":[]`).Replace(goodSettings)

// Issue "safety case", item 6: a new family cannot be invited until numbers, hours,
// out-of-hours advice, emergency place, a rota without gaps or a stated "nobody at
// night", mail, a test alert that was answered and a backup that was read back are
// in place. With all of them it can; with any one of them missing it is refused,
// by the words that the settings show too. A family that has a device is never
// refused, nor is the drill's.
func TestNoNewFamilyIsInvitedUntilSomebodyWatches(t *testing.T) {
	t.Parallel()
	setting := func(old, now string) func(*site) {
		return func(s *site) {
			s.t.Helper()
			changed := strings.ReplaceAll(readySettings, old, now)
			if changed == readySettings {
				s.t.Fatalf("%s is not in the settings", old)
			}
			s.settings("PUT", "admin", changed, 200)
		}
	}
	empty := func(name string) func(*site) {
		return func(s *site) {
			s.update(func(tx *store.Tx) error { return tx.Register().SetSetting(name, map[string]any{}) })
		}
	}
	noNumber := func(change func(*care.Practice)) func(*site) { // what the form itself refuses
		return func(s *site) {
			s.update(func(tx *store.Tx) error {
				p, err := tx.Register().Practice()
				if err != nil {
					return err
				}
				change(&p)
				return tx.Register().SetSetting("practice", p)
			})
		}
	}
	night := `{"weekday":0,"from":"08:00","to":"08:00","person":"c1","deputy":""},`
	for _, tc := range []struct {
		name  string
		spoil func(*site)
		word  string // of the refusal; empty: invited
	}{
		{"all is in place", func(*site) {}, ""},
		{"no telephone", noNumber(func(p *care.Practice) { p.Contacts.Phone = "" }), "No telephone number of the practice"},
		{"no emergency number", noNumber(func(p *care.Practice) { p.Contacts.Emergency = "" }), "No emergency number"},
		{"no telephone after hours", setting(`"+351 555 0111"`, `""`), "No telephone for after hours"},
		{"no emergency department", setting(`"Eye casualty"`, `""`), "No emergency eye department"},
		{"no hours", setting(`{"weekday":1,"from":"09:00","to":"17:00"}`, ``), "No hours"},
		{"no rota", empty("rota"), "No rota"},
		{"a gap on Sunday, which is outside hours", setting(night, ``), "say under Settings that nobody watches at night"},
		{"the same gap, and it is said that nobody watches at night", func(s *site) {
			setting(night, "")(s)
			noNumber(func(p *care.Practice) { p.Unwatched = true })(s)
		}, ""},
		{"mail never arrived", empty("trial_mail"), "No test mail has arrived"},
		{"no mail server", func(s *site) { s.srv.TestMail = nil }, "No mail server"},
		{"no backup read back", empty("read_back"), "No backup was read back"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.update(func(tx *store.Tx) error {
				return tx.Register().AddPerson(care.Person{ID: "p2", Family: "f2", Name: "Q", Role: care.Parent})
			})
			s.ready()
			tc.spoil(s)
			const first = "/api/clinic/families/f2/invitations"
			if tc.word == "" {
				s.says("POST", first, "desk", `{"person":"p2"}`, 200, "code")
				return
			}
			s.says("POST", first, "desk", `{"person":"p2"}`, 409, tc.word)
			list := s.settings("GET", "desk", "", 200).NotSet
			said := ""
			for _, m := range list {
				said += m.Text + "\n"
			}
			if !strings.Contains(said, tc.word) {
				t.Errorf("the settings do not say %q: %s", tc.word, said)
			}
			s.says("POST", "/api/clinic/families/f1/invitations", "desk", `{"person":"p1"}`, 200, "code")
			s.says("POST", "/api/clinic/drills/phone", "desk", "", 200, "code")
		})
	}
}

// A table of rules that no clinician has approved is told in the list; whoever is
// no clinician cannot approve it; an approval names who and when, and a newer table
// needs its own. It holds nobody's invitation back: rules act in any case.
func TestATableOfRulesIsApprovedByName(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("GET", "/api/clinic/settings", "desk", "", 200, "No clinician has approved table")
	s.says("POST", "/api/clinic/rules/approve", "desk", "", 403, "not-allowed")
	s.confirmed("clinician", "dc")
	s.says("POST", "/api/clinic/rules/approve", "clinician", "", 200, `"by":"C"`)
	if raw := s.says("GET", "/api/clinic/settings", "desk", "", 200, ""); strings.Contains(raw, "No clinician has approved") {
		t.Error("it is still asked for")
	}
	s.says("GET", "/api/clinic/rules", "admin", "", 200, `"by":"C"`)
	s.update(func(tx *store.Tx) error {
		return tx.Register().SetSetting("rules_approved", map[string]any{"version": 1, "by": "C", "at": simNow})
	})
	s.says("GET", "/api/clinic/settings", "desk", "", 200, "No clinician has approved table")
}

// What may harm an eye is put off for 28 days at most, anything else for 180; simNow
// is 28 March 2026.
func TestADangerIsNotPutOffForLong(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	put := func(rule, until string, status int, word string) {
		t.Helper()
		s.says("POST", "/api/clinic/follow-ups", "desk", `{"wearer":"w1","rule":"`+rule+`","outcome":"snoozed","note":"x","until":"`+until+`"}`, status, word)
	}
	put("water-contact", "2026-04-25", 200, "")
	put("water-contact", "2026-04-26", 422, "within 28 days")
	put("supply-overdue", "2026-09-24", 200, "")
	put("supply-overdue", "2026-09-25", 422, "within 180 days")
}

// Somebody is on duty and could not act on an alert: no device that rings, no
// passkey, signed out without one, or the desk with no clinician behind it. Each is
// told by name, or by how long, and goes when it is mended. On Tuesdays K of the
// desk is on duty alone, for 24 of 168 hours of a week: 96 h in four weeks.
func TestWhoOnTheRotaCannotActIsFound(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	tuesday := func(person, deputy string) {
		s.t.Helper()
		s.settings("PUT", "admin", strings.Replace(strings.Replace(readySettings, "{", `{"sure":true,`, 1), `"weekday":2,"from":"08:00","to":"08:00","person":"c1","deputy":""`,
			`"weekday":2,"from":"08:00","to":"08:00","person":"`+person+`","deputy":"`+deputy+`"`, 1), 200)
	}
	says := func(word, text string) {
		t.Helper()
		for _, m := range s.settings("GET", "desk", "", 200).NotSet {
			if m.What == word {
				if text == "" || !strings.Contains(m.Text, text) {
					t.Errorf("%s: %s; want %q", word, m.Text, text)
				}
				return
			}
		}
		if text != "" {
			t.Errorf("%s is not found", word)
		}
	}
	tuesday("k1", "")
	says("desk", "alone is on duty for 96 h")
	says("notifications", "C, K")
	says("passkey", "C, K")
	says("signedout", "")
	says("staffphone", "without a telephone number: C, K")
	s.update(func(tx *store.Tx) error {
		return tx.Register().ChangePerson("c1", func(p *care.Person) { p.Phone = "+44 20 7946 0123" })
	})
	says("staffphone", "number: K.")
	tuesday("k1", "c1")
	says("desk", "")
	s.update(func(tx *store.Tx) error { return tx.Access().DeleteCredential("clinician") })
	says("signedout", "passkey: C.")
	says("passkey", "K.")
	s.update(func(tx *store.Tx) error {
		if err := tx.Access().PutPasskey(register.Passkey{ID: "x", Person: "c1", Name: "x", Created: tx.Now}); err != nil {
			return err
		}
		return tx.Access().PutSubscription("dc", register.Subscription{Endpoint: "https://push.example/x", P256dh: "a", Auth: "b"})
	})
	says("signedout", "")
	says("notifications", "alerts: K.")
}
