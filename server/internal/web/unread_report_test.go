package web_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// broken are reports of severe pain that cannot be taken as they are, each by what stands
// outside its body; and what may be made of the words "symptoms" without being that kind.
var broken = []struct{ name, over string }{
	{"an hlc that is none", `"hlc":"x"`},
	{"an hlc that is a number", `"hlc":7`},
	{"an offset of no zone", `"offset":99999`},
	{"an offset that is a text", `"offset":"one"`},
	{"a night that is none", `"night":"x"`},
	{"a night outside the calendar", `"night":"0001-01-01"`},
	{"a wall clock that is none", `"wall":"late"`},
	{"a zone that is none", `"zone":"¡"`},
	{"an id of another shape", `"id":"report-1"`},
	{"an id that is a number", `"id":7`},
	{"the nil id", `"id":"00000000-0000-0000-0000-000000000000"`},
	{"a counter of nothing", `"dseq":0`},
	{"a counter below nothing", `"dseq":-4`},
	{"a version of nothing", `"v":0`},
	{"a version that is a text", `"v":"new"`},
	{"a receipt that is none", `"first_recv":"x"`},
	{"an author of the staff", `"author":"c1"`},
	{"an author nobody knows", `"author":"nobody"`},
	{"another device", `"device":"d9"`},
	{"a device that is none", `"device":5`},
	{"a wearer nobody knows", `"wearer":"nobody"`},
	{"a wearer that is none", `"wearer":["w1"]`},
	{"the wearer of another family", `"wearer":"w2"`},
	{"another letter case", `"kind":"Symptoms"`},
	{"capitals", `"kind":"SYMPTOMS"`},
	{"blanks around the kind", `"kind":" symptoms "`},
	{"a kind in the singular", `"kind":"symptom"`},
	{"no kind, and what is said of an eye", `"kind":null`},
	{"a kind that is a number", `"kind":4`},
	{"a kind in a list", `"kind":["symptoms"],"body":{}`},
	{"what supersedes itself", `"supersedes":["01900000-0000-7000-8000-000000000001"]`},
	{"very much", `"note":"` + strings.Repeat("a", 40<<10) + `"`},
	{"very deep", `"note":` + strings.Repeat("[", 60) + strings.Repeat("]", 60)},
}

// severe is a report of severe pain with members changed.
func severe(over string) string {
	return entryJSON(`{"kind":"symptoms","body":{"right":{"pain":"severe"}},` + over + `}`)
}

// rung holds that the one child of the family is stopped in both eyes, that the practice
// is told so in words, and the phone too, under the id that it knows.
func (s *site) rung(raw string) {
	s.t.Helper()
	if a := s.live(); a.Level != "emergency" || a.Rule != "not-assessed" {
		s.t.Errorf("queue: %s %s, want an emergency that nobody could assess", a.Rule, a.Level)
	}
	s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "could not be read here: phone the family now")
	if w := s.wear("desk").Wear; w.Right.State != "stop" || w.Left.State != "stop" {
		s.t.Errorf("wear %+v, want both eyes stopped", w)
	}
	for _, want := range []string{`"report-unread"`, "the practice has been told to phone", "phone the practice yourself"} {
		if !strings.Contains(raw, want) {
			s.t.Errorf("the phone is not told %q: %.400s", want, raw)
		}
	}
}

// Whatever stands around what a family's device sends as a symptom report: it is kept as
// it came, both eyes are stopped, and a person is told. The phone gets a verdict under
// the id it sent, so that it does not send it for ever; sent again all the same it rings
// nobody twice.
func TestAReportOfABrokenEnvelopeRings(t *testing.T) {
	t.Parallel()
	for _, c := range broken {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			entry := severe(c.over)
			raw := s.says("POST", "/api/sync", "family", syncBody(entry), 422, `"verdict":"refused"`)
			s.rung(raw)
			id := strings.Trim(string(decode[map[string]rawText](t, entry)["id"]), `"`)
			if got := decode[struct{ Verdicts []struct{ ID string } }](t, raw).Verdicts; len(got) != 1 || got[0].ID != id {
				t.Errorf("verdicts %+v, want one of %s", got, id)
			}
			before := len(s.live().History)
			s.says("POST", "/api/sync", "family", syncBody(entry), 422, `"report-unread"`)
			if after := len(s.live().History); after != before {
				t.Errorf("the same sent again makes %d events of %d", after, before)
			}
			s.kept("f1", 1)
			// The clinician who has spoken to the family allows lenses again, and that stands
			// when the same comes once more.
			causes := s.wear("desk").Causes
			s.taken()
			s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/call", "clinician", `{"result":"reached"}`, 200, "")
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(causes, `{"kind":"resume","body":{"eyes":"both","answers":["`+causes[0]+`"],"from":"2026-03-28","basis":"by-telephone"}}`), 200, `"none"`)
			s.says("POST", "/api/sync", "family", syncBody(entry), 422, `"report-unread"`)
			if w := s.wear("desk").Wear; w.Right.State != "none" || w.Left.State != "none" {
				t.Errorf("wear %+v after lenses were allowed again", w)
			}
		})
	}
}

// rawText is a value as it was written.
type rawText string

func (r *rawText) UnmarshalJSON(b []byte) error { *r = rawText(b); return nil }

// kept holds how many entries of a family are kept as they came, and that a start leaves
// them where they are, a backup holds them and a check finds no fault.
func (s *site) kept(family care.FamilyID, want int) {
	s.t.Helper()
	if n, err := s.srv.Intake.ReadHeld(); n != 0 || err != nil {
		s.t.Errorf("a start takes in %d, %v; want none", n, err)
	}
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		n := 0
		for _, h := range tx.Log().AllHeld() {
			if h.Family == family {
				n++
			}
		}
		if n != want {
			s.t.Errorf("%d are kept of %s, want %d", n, family, want)
		}
		return nil
	})
	file := s.t.TempDir() + "/b.db"
	if err := s.srv.DB.Backup(file); err != nil {
		s.t.Error(err)
	}
	if faults, err := store.CheckFile(file); err != nil || len(faults) > 0 {
		s.t.Errorf("check: %v %v", faults, err)
	}
}

// A broken report stands in nobody's way and nothing stands in its way: beside good
// entries, beside broken ones, among more than a request may hold, in a request that is
// no JSON, and when its id is that of another entry.
func TestABrokenReportAmongOthersRings(t *testing.T) {
	t.Parallel()
	note := func(n int) string {
		return entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":"note","body":{"text":"n"}}`, 100+n, 100+n))
	}
	var many []string
	for n := range 60 {
		many = append(many, note(n))
	}
	for _, c := range []struct {
		name, body string
		status     int
	}{
		{"beside a good one", syncBody(note(1), severe(`"hlc":"x"`), note(2)), 200},
		{"beside a broken one", syncBody(entryJSON(`{"kind":"note","hlc":"x","body":{"text":"n"}}`), severe(`"hlc":"x"`)), 422},
		{"among too many", syncBody(append(many, severe(`"hlc":"x"`))...), 422},
		{"in a request that is cut off", syncBody(severe(`"dseq":1`))[:300], 422},
		{"in a request without a place in the log", strings.Replace(syncBody(severe(`"dseq":1`)), `"cursor":0`, `"cursor":"x"`, 1), 422},
		{"in a list within the list", syncBody("[" + severe(`"hlc":"x"`) + "]"), 422},
		{"as a text", syncBody(strconv.Quote(severe(`"hlc":"x"`))), 422},
		{"with letters by their numbers, before more than a request", strings.Replace(syncBody(severe(`"dseq":1`)), "symptoms", `symp\u0074oms`, 1) + " x", 422},
		{"a kind named twice", strings.Replace(syncBody(note(1)), `"kind":"note"`, `"kind":"symptoms","kind":"note"`, 1), 422},
		{"a kind under two names", strings.Replace(syncBody(note(1)), `"kind":"note"`, `"kind":"note","Kind":"symptoms"`, 1), 422},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.rung(s.says("POST", "/api/sync", "family", c.body, c.status, ""))
			s.kept("f1", 1)
		})
	}
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(note(1)), 200, `"accepted"`)
	s.rung(s.says("POST", "/api/sync", "family", syncBody(severe(`"id":"01900000-0000-7000-8000-000000000101"`)), 422, ""))
	if sent := s.queue(); len(sent) != 1 {
		t.Errorf("queue %+v", sent)
	}
}

// A report about nobody who can be known is of any child of the family, and of no other
// family's: each child is stopped and has an alert of its own, which leads to whoever
// decides about that child.
func TestAReportAboutNobodyIsAboutEveryChild(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.update(func(tx *store.Tx) error {
		return tx.Register().AddWearer(care.Wearer{ID: "w3", Family: "f1", Name: "U", Code: "W-3"})
	})
	s.says("POST", "/api/sync", "family", syncBody(severe(`"wearer":"w2"`)), 422, `"report-unread"`)
	of := map[string]int{}
	for _, a := range decode[struct{ Alerts []struct{ Wearer string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts {
		of[a.Wearer]++
	}
	if of["w1"] != 1 || of["w3"] != 1 || len(of) != 2 {
		t.Errorf("alerts by wearer %v, want one of w1 and one of w3", of)
	}
	s.kept("f1", 2)
}

// The first report of a minute that cannot be read is kept however much the device has
// sent, and others wait.
func TestABrokenReportBeyondTheShareIsKept(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	now := simNow
	s.tick(&now)
	of := func(n int) string {
		return strings.Replace(batch(n, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"severe"}}`), `"hlc":"1774734000000-0000"`, `"hlc":"x"`, 1)
	}
	for n := range 61 {
		s.after("family", of(1+n))
	}
	if status, _, wait := s.after("family", of(100)); status != 429 || wait < 1 {
		t.Errorf("beyond the share: %d, wait %d s; want 429", status, wait)
	}
	now = simNow.Add(61e9)
	s.after("family", batch(200, 50, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"severe"}}`))
	if status, n, _ := s.after("family", of(101)); status != 422 || n != 1 {
		t.Errorf("the first of the next minute: %d with %d verdicts, want it kept", status, n)
	}
}

// What could not be read may say anything: after a clinician has taken the alert,
// another such report rings again, whatever the one before was, and the card shows each
// as it came.
func TestAnotherUnreadReportRingsAfterADecision(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	report := func(n int, body string) {
		s.says("POST", "/api/sync", "family", syncBody(entryJSON(fmt.Sprintf(
			`{"id":"01900000-0000-7000-8000-0000000009%02d","dseq":%d,"kind":"symptoms","body":%s}`, n, 900+n, body))), 422, `"report-unread"`)
	}
	report(1, `["it hurts a little"]`)
	s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/acknowledge", "clinician", "", 200, `"acknowledged"`)
	report(2, `["she sees nothing any more"]`)
	if a := s.live(); a.State != "open" {
		t.Errorf("the alert is %s after another report that could not be read, want open", a.State)
	}
	report(3, `["and now both eyes"]`) // before anybody has decided: counted, and shown
	card := s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"raw"`)
	for _, said := range []string{"it hurts a little", "she sees nothing any more", "and now both eyes"} {
		if !strings.Contains(card, said) {
			t.Errorf("the card does not show %q", said)
		}
	}
}
