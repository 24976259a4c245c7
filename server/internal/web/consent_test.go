package web_test

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/figures"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// consentOf is a person's history as the practice reads it: version, withdrawn, for
// whom.
func (s *site) consentOf(person string) (out []string) {
	s.t.Helper()
	family := decode[struct {
		People []struct {
			ID    string
			Given []struct {
				Version   string
				At        time.Time
				Withdrawn bool
				Device    string
				For       []string
			}
		}
	}](s.t, s.says("GET", "/api/clinic/families/f1", "desk", "", 200, ""))
	for _, p := range family.People {
		for _, g := range p.Given {
			if p.ID == person {
				if !g.At.Equal(simNow) {
					s.t.Errorf("a line of %s is of %s", person, g.At)
				}
				out = append(out, fmt.Sprint(g.Version, g.Withdrawn, g.Device, g.For))
			}
		}
	}
	return out
}

// Consent is a history: who agreed to which version, for whom, when and on which
// device; a new version asks again, and until then nobody is locked out of anything,
// least of all of reporting a sore eye. After the General Data Protection Regulation,
// article 7(1), (3) and article 13(1), (2).
func TestConsentIsAHistory(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	token := s.joined("CODE")
	s.says("GET", "/api/consent", "", "", 200, `"version":"2"`)
	s.says("GET", "/api/family", token, "", 200, `"consent":{"version":"2","agreed":"2"`)

	// The practice says something else: everybody is asked again.
	s.confirmed("admin", "da")
	for field, body := range map[string]string{
		"controller": `"controller":"x\u202ey","contact":"","authority":"","own":{}`, "contact": `"controller":"","contact":"x\r\nBcc: y","authority":"","own":{}`,
		"authority": `"controller":"","contact":"","authority":"x\u200b","own":{}`, "own.en": `"controller":"","contact":"","authority":"","own":{"en":"one\ntwo\u2066"}`,
	} {
		s.says("PUT", "/api/clinic/privacy", "admin", "{"+body+`,"revision":0}`, 422, `"code":"bad-characters"`)
		s.says("PUT", "/api/clinic/privacy", "admin", "{"+body+`,"revision":0}`, 422, `"field":"`+field+`"`)
	}
	s.says("PUT", "/api/clinic/privacy", "admin", `{"controller":"Eye Practice, 1 High Street","contact":"data@clinic.example","authority":"The Commissioner","own":{"en":"Our own words."},"revision":0}`, 200, `"revision":1`)
	s.says("GET", "/api/consent", "", "", 200, `"version":"2.1","words":"2","controller":"Eye Practice, 1 High Street","contact":"data@clinic.example","authority":"The Commissioner","own":{"en":"Our own words."}`)
	s.says("GET", "/api/family", token, "", 200, `"consent":{"version":"2.1","agreed":"2"`)
	device := decode[struct{ Device string }](t, s.says("GET", "/api/family", token, "", 200, "")).Device
	sore := entryJSON(`{"id":"01900000-0000-7000-8000-0000000000a1","device":"` + device + `","kind":"symptoms","body":{"left":{"pain":"severe"}}}`)
	s.says("POST", "/api/sync", token, syncBody(sore), 200, `"accepted"`)
	s.says("POST", "/api/consent", token, `{"version":"2"}`, 422, "bad-consent")
	s.says("POST", "/api/consent", token, `{"version":"2.1"}`, 200, "")
	s.says("POST", "/api/consent", token, `{"version":"2.1"}`, 200, "") // said twice, on record once
	s.says("GET", "/api/family", token, "", 200, `"consent":{"version":"2.1","agreed":"2.1"`)
	s.says("DELETE", "/api/consent", token, "", 200, "")

	want := []string{"2falsePhone[W]", "2.1falsePhone[W]", "2.1truePhone[W]"}
	if d := cmp.Diff(want, s.consentOf("p1")); d != "" {
		t.Errorf("history (-want +got):\n%s", d)
	}
	for _, did := range []string{"joined", "agreed to consent", "withdrew consent"} {
		if !slices.ContainsFunc(s.lines(), func(l string) bool { return l == "p1 "+did }) {
			t.Errorf("the audit log has no line %q", did)
		}
	}
}

// lines are who did what, of the whole audit log.
func (s *site) lines() (out []string) {
	s.t.Helper()
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		all, _, err := tx.Audit().Lines(1, 1000)
		for _, l := range all {
			out = append(out, string(l.Who)+" "+l.Did)
		}
		return err
	})
	return out
}

// Whoever takes their consent back is not processed any further: what they log is
// refused and stays on their phone, their nights leave the practice's table. A report
// of a sore eye is taken all the same, the practice is told, and all of it can be
// taken up again.
func TestWithdrawalStopsProcessingAndNoReport(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	token := s.joined("CODE")
	device := decode[struct{ Device string }](t, s.says("GET", "/api/family", token, "", 200, "")).Device
	entry := func(n int) string {
		return entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000000b%d","device":%q,"dseq":%d}`, n, device, n))
	}
	s.confirmed("clinician", "dc")
	s.says("POST", "/api/sync", token, syncBody(entry(1)), 200, `"accepted"`)
	s.says("GET", "/api/clinic/export.csv", "clinician", "", 200, "W-1")

	s.says("DELETE", "/api/consent", token, "", 200, "")
	s.says("POST", "/api/sync", token, syncBody(entry(2)), 422, "consent-withdrawn")
	s.says("POST", "/api/sync", token, syncBody(entry(1), entry(2)), 200, `"duplicate"`) // what was stored before is stored
	sore := entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000000b3","device":%q,"dseq":3,"kind":"symptoms","body":{"left":{"pain":"severe"},"note":"it began at school"}}`, device))
	s.says("POST", "/api/sync", token, syncBody(sore), 200, `"accepted"`)
	list := decode[struct{ Alerts []struct{ ID string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"consent_withdrawn":true`))
	s.says("GET", "/api/clinic/wearers/w1/wear", "clinician", "", 200, `"consent_withdrawn":true`)
	// The day's page says it beside who needs a call, with the last call of the alert's card.
	s.says("POST", "/api/clinic/alerts/"+list.Alerts[0].ID+"/call", "clinician", `{"result":"not-reached","text":""}`, 200, "")
	s.says("GET", "/api/clinic/today", "clinician", "", 200, `"consent_withdrawn":true,"called":{"at":`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"consent_withdrawn":true`)
	s.says("GET", "/api/clinic/me", "desk", "", 200, `"kind":"withdrawn","family":"f1"`)
	if _, me := s.call("GET", "/api/clinic/me", "admin", ""); strings.Contains(me, `"f1"`) {
		t.Error("an administrator is told of a family")
	}
	if _, csv := s.call("GET", "/api/clinic/export.csv", "clinician", ""); strings.Contains(csv, "W-1") {
		t.Error("the practice's table of nights still counts whoever withdrew")
	}
	s.says("POST", "/api/consent", token, `{"version":"2"}`, 200, "")
	s.says("POST", "/api/sync", token, syncBody(entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000000b4","device":%q,"dseq":4}`, device))), 200, `"accepted"`)
	s.says("GET", "/api/clinic/export.csv", "clinician", "", 200, "W-1")
}

// The practice's figures do not count the nights of who took their consent back.
func TestFiguresLeaveOutWhoWithdrew(t *testing.T) {
	t.Parallel()
	s := planned(t)
	token := s.joined("CODE")
	s.update(func(tx *store.Tx) error {
		plan, err := tx.Chart().Plan("w1")
		for n := range 5 { // of another family; a count is shown from five on
			w := care.Wearer{ID: care.WearerID(fmt.Sprint("more-", n)), Family: "f2", Name: "M", Code: fmt.Sprint("M-", n)}
			err = errors.Join(err, tx.Register().AddWearer(w))
			if err == nil {
				_, err = tx.Chart().PutPlan(w.ID, "c1", plan.Plan)
			}
		}
		return err
	})
	counted := func() int {
		const path = "/api/clinic/practice?from=2026-01-01&to=2026-03-27"
		return decode[figures.PracticeFigures](t, s.says("GET", path, "desk", "", 200, "")).Wearers.N
	}
	if got := counted(); got != 6 {
		t.Fatalf("%d wearers are counted before, want 6", got)
	}
	s.says("DELETE", "/api/consent", token, "", 200, "")
	if got := counted(); got != 5 {
		t.Errorf("%d wearers are counted, want 5", got)
	}
}

// Parental authority is a statement on record by a named member of staff.
func TestAuthorityIsAStatementOnRecord(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/families/f1/people/p1/authority"
	s.says("GET", "/api/clinic/families/f1", "desk", "", 200, `"authority":{"basis":""`)
	s.says("PUT", at, "desk", `{"basis":"because"}`, 422, "parent, guardian, adult, consented")
	s.says("PUT", "/api/clinic/families/f2/people/p1/authority", "desk", `{"basis":"parent"}`, 404, "no-such-person")
	s.says("PUT", at, "desk", `{"basis":"guardian"}`, 200, `"authority":{"basis":"guardian","by":"K","at":"`+simNow.UTC().Format(time.RFC3339))
	if !slices.Contains(s.lines(), "k1 stated authority as guardian") {
		t.Error("the audit log does not say who stated it")
	}
}

// A device more is told to the family's other devices, in their app, and to the
// practice.
func TestANewDeviceIsTold(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`, 200, "")
	token := s.joined("CODE")
	s.says("GET", "/api/family", "family", "", 200, `"news":[{"kind":"device","person":"p1","device":"Phone"`)
	s.says("GET", "/api/family", token, "", 200, `"news":[]`) // itself is no news
	s.says("GET", "/api/clinic/me", "clinician", "", 200, `"kind":"device","family":"f1","name":"F","person":"P","device":"Phone"`)
	var told []care.DeviceID
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		rows, err := tx.Duty().Ready(tx.Now)
		for _, r := range rows {
			if r.Kind == "device" {
				told = append(told, r.Device)
			}
		}
		return err
	})
	if d := cmp.Diff([]care.DeviceID{"d1"}, told); d != "" {
		t.Errorf("devices a message goes to (-want +got):\n%s", d)
	}
}

// A family takes a copy of its own record from the app: what it wrote, what it agreed
// to and what the practice found, but neither a teen's words to the clinicians alone
// nor what the staff wrote for each other; and it sees who of the practice opened it.
func TestAFamilyTakesItsOwnCopy(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	const private, staff = "zqprivatewords", "zqstaffnote"
	s.update(func(tx *store.Tx) error {
		w := register.PrivateWords{ID: "01900000-0000-7000-8000-0000000000c1", By: "t1", At: tx.Now, Text: private}
		return errors.Join(tx.Chart().PutPrivate("w1", w),
			tx.Chart().PutVisit("w1", "v1", course.Visit{ID: "v1", Date: civil.MustDate("2026-03-01"), Kind: "recall", State: "kept", Note: staff, Advice: "zqadvice"}))
	})
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"note","body":{"text":"zqownwords"}}`)), 200, "accepted")
	s.says("GET", "/api/clinic/wearers/w1/visits", "desk", "", 200, "")
	s.says("GET", "/api/clinic/wearers/w1/visits", "desk", "", 200, "")

	status, raw := s.call("GET", "/api/family/copy", "family", "")
	if status != 200 {
		t.Fatalf("%d %s", status, firstLine(raw))
	}
	z, err := zip.NewReader(strings.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(&all, r); err != nil {
			t.Fatal(err)
		}
		r.Close()
	}
	for text, want := range map[string]bool{"zqownwords": true, "zqadvice": true, private: false, staff: false} {
		if strings.Contains(all.String(), text) != want {
			t.Errorf("%s is in the copy: %v, want %v", text, !want, want)
		}
	}
	if !slices.Contains(s.lines(), "p1 took a copy") {
		t.Error("the audit log does not say who took a copy")
	}
	s.says("GET", "/api/family/readers", "family", "", 200, `"name":"K","role":"desk","did":"read","times":2`)
	for range 4 {
		s.says("GET", "/api/family/copy", "family", "", 200, "")
	}
	s.says("GET", "/api/family/copy", "family", "", 429, "too-")
}

// Breaches of personal data are kept in a register that only grows (General Data
// Protection Regulation, article 33(5)).
func TestTheRegisterOfBreachesOnlyGrows(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	facts := func(what string) string {
		return `{"found":"2026-03-02 10:00","what":"` + what + `","whose":"about 10 wearers","effects":"none known","measures":"phone wiped","told":"authority on 2026-03-03"}`
	}
	s.says("POST", "/api/clinic/breaches", "desk", facts(""), 422, `"field":"what"`)
	id := decode[struct{ Breaches []struct{ ID string } }](t, s.says("POST", "/api/clinic/breaches", "desk", facts("a phone was lost"), 200, `"by":"K"`)).Breaches[0].ID
	s.says("POST", "/api/clinic/breaches", "clinician", facts("a mail went astray"), 200, "")
	s.says("POST", "/api/clinic/breaches/nobody/lines", "admin", `{"text":"found again"}`, 404, "no-such-breach")
	s.says("POST", "/api/clinic/breaches/"+id+"/lines", "admin", `{"text":"found again"}`, 200, "")
	got := s.says("GET", "/api/clinic/breaches", "admin", "", 200, "")
	if at, then := strings.Index(got, "astray"), strings.Index(got, "was lost"); at < 0 || then < at || !strings.Contains(got, `"text":"found again","by":"A"`) {
		t.Errorf("want both, the newest first, and the line: %s", got)
	}
}
