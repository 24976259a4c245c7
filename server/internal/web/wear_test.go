package web_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
)

// wearReply is what the console reads of the wear state, by the names of the
// contract.
type wearReply struct {
	Causes []string
	Wear   struct{ Right, Left struct{ State, Until string } }
	// Entries are the causes and both voices.
	Entries []struct {
		ID, Kind, ByName, Mac, Device string
		Body                          map[string]any
	}
	OldPhones int `json:"old_phones"`
	Diseases  []struct{ Eye, Outcome string }
}

const wearPath = "/api/clinic/wearers/w1/wear"

func (s *site) wear(token string) wearReply {
	s.t.Helper()
	return decode[wearReply](s.t, s.says("GET", wearPath, token, "", 200, ""))
}

// report hands in a symptom report of the family with pain that persists.
func (s *site) report(n int) (id string) {
	s.t.Helper()
	s.says("POST", "/api/sync", "family", batch(n, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"persists"}}`), 200, `"accepted"`)
	return fmt.Sprintf("01900000-0000-7000-8000-%012d", n)
}

func say(causes []string, entries string) string {
	raw, _ := json.Marshal(causes)
	return `{"causes":` + string(raw) + `,"entries":[` + entries + `]}`
}

// A report stops both eyes until a clinician, and nobody else, says again, with
// the causes that were shown; the family reads what the practice said.
func TestOnlyAClinicianSaysAgain(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.report(1)
	s.taken()
	w := s.wear("desk")
	if w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" || len(w.Causes) != 1 || w.Causes[0] != id {
		t.Fatalf("after the report: %+v", w)
	}
	resume := `{"kind":"resume","body":{"eyes":"both","answers":["` + id + `"],"from":"2026-03-30","basis":"examined"}}`
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "desk", say(w.Causes, resume), 403, "clinician-only")
	s.says("POST", path, "clinician", say(w.Causes, strings.Replace(resume, "2026-03-30", "2026-03-20", 1)), 422, "entries.0.body.from")
	s.says("POST", path, "clinician", say(w.Causes, strings.Replace(resume, id, "01900000-0000-7000-8000-00000000ffff", 1)), 422, "unknown-entry")
	for member, entry := range map[string]string{
		"about": `{"kind":"word","body":{"text":"x","about":"ID"}}`, "withdraws": `{"kind":"word","body":{"text":"x","withdraws":"ID"}}`,
		"moves": `{"kind":"visit","body":{"on":"2026-04-01","moves":"ID"}}`,
	} {
		entry = strings.Replace(entry, "ID", "01900000-0000-7000-8000-00000000ffff", 1)
		if told := s.says("POST", path, "clinician", say(w.Causes, entry), 422, "unknown-entry"); !strings.Contains(told, member) {
			t.Errorf("what is said of no entry is refused without its member %s: %s", member, told)
		}
	}
	s.says("POST", path, "clinician", say(w.Causes, `{"kind":"wear-start","body":{"opens":{}}}`), 422, "bad-kind")

	second := s.report(2)
	s.taken()
	raw := s.says("POST", path, "clinician", say(w.Causes, resume), 409, "causes-changed")
	if now := decode[struct{ Wear wearReply }](t, raw).Wear; len(now.Causes) != 2 {
		t.Errorf("the conflict shows %v, want both reports", now.Causes)
	}
	both := strings.Replace(resume, `"`+id+`"`, `"`+id+`","`+second+`"`, 1)
	s.says("POST", path, "clinician", say([]string{id, second}, both), 200, `"2026-03-30"`)
	w = s.wear("clinician")
	if w.Wear.Right.State != "stop" || w.Wear.Right.Until != "2026-03-30" {
		t.Errorf("until the date the stop holds and says until when: %+v", w.Wear)
	}
	reply := s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, `"kind":"resume"`)
	for _, want := range []string{`"by_name":"C"`, `"mac":"`, `"judged":{"table":`, `"right":"stop"`} {
		if !strings.Contains(reply, want) {
			t.Errorf("the family's reply lacks %s", want)
		}
	}
	if w = s.wear("desk"); w.OldPhones != 0 {
		t.Errorf("%d old phones after one said that it reads schema 3", w.OldPhones)
	}
}

// The practice's words come from the practice only: no phone writes them, and
// none takes them back. After a restore a phone hands in what it holds, and it
// counts when the mac fits, whoever wrote it.
func TestThePracticesWordIsItsOwn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
	w := s.wear("desk")
	if w.Wear.Right.State != "stop" || w.Wear.Left.State != "none" {
		t.Fatalf("a cease of the right eye: %+v", w.Wear)
	}
	all := decode[struct{ Changes []json.RawMessage }](t, s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, ""))
	cease := string(all.Changes[len(all.Changes)-1])
	for name, entry := range map[string]string{
		"one of its own making": `{"id":"01900000-0000-7000-8000-000000000031","dseq":31,"wearer":"w1","device":"d1","author":"p1","kind":"word","v":3,"body":{"text":"All is well"}}`,
		"a forged resume":       `{"id":"01900000-0000-7000-8000-000000000032","dseq":32,"wearer":"w1","device":"d1","author":"c1","kind":"resume","v":3,"by_name":"C","mac":"AAAA","body":{"eyes":"both","answers":["` + w.Causes[0] + `"],"from":"2026-03-28","basis":"examined"}}`,
	} {
		if _, raw := s.call("POST", "/api/sync", "family", syncBody(entryJSON(entry))); !strings.Contains(raw, `"not-of-practice"`) {
			t.Errorf("%s: %s", name, raw)
		}
	}
	withdraw := `{"id":"01900000-0000-7000-8000-000000000033","dseq":33,"wearer":"w1","device":"d1","author":"p1","kind":"retraction","retracts":"` + w.Causes[0] + `","body":{}}`
	if _, raw := s.call("POST", "/api/sync", "family", syncBody(entryJSON(withdraw))); !strings.Contains(raw, `"not-yours"`) {
		t.Errorf("a family took back what the practice wrote: %s", raw)
	}

	// Another file of the same practice, from before the cease.
	other := newSite(t)
	var secret []byte
	if err := s.srv.DB.View(func(tx *store.Tx) error { return tx.Register().Setting("mac_key", &secret) }); err != nil || len(secret) != 32 {
		t.Fatalf("the key of the file: %d bytes, %v", len(secret), err)
	}
	if err := other.srv.DB.Update(func(tx *store.Tx) error { return tx.Register().SetSetting("mac_key", secret) }); err != nil {
		t.Fatal(err)
	}
	other.alsoKnows(t, true)
	changed := strings.Replace(cease, `"eyes":"right"`, `"eyes":"left"`, 1)
	if _, raw := other.call("POST", "/api/sync", "family", syncBody(changed)); !strings.Contains(raw, `"not-of-practice"`) {
		t.Errorf("a changed decision was taken: %s", raw)
	}
	key := func(v any) {
		t.Helper()
		if err := other.srv.DB.Update(func(tx *store.Tx) error { return tx.Register().SetSetting("mac_key", v) }); err != nil {
			t.Fatal(err)
		}
	}
	key("%") // no base64: a damaged key proves nothing, and refuses nothing for good
	if _, raw := other.call("POST", "/api/sync", "family", syncBody(cease)); !strings.Contains(raw, `"kept-aside"`) {
		t.Errorf("the decision, while the key cannot be read: %s", raw)
	}
	key(secret)
	if _, raw := other.call("POST", "/api/sync", "family", syncBody(cease)); !strings.Contains(raw, `"accepted"`) {
		t.Errorf("the decision was not taken back in: %s", raw)
	}
	if w := other.wear("desk"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "none" {
		t.Errorf("after it was handed in: %+v", w.Wear)
	}
}

// To a phone that cannot show a decision an alert is not closed while its cause
// still holds: it would offer lenses.
func TestAnOldPhoneIsToldOfAnOpenCause(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.report(1)
	alert := decode[struct{ Alerts []struct{ ID string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].ID
	err := s.srv.DB.Update(func(tx *store.Tx) error { // as closed by an earlier version
		a, err := tx.Duty().Alert(care.AlertID(alert))
		if err != nil {
			return err
		}
		a.State, a.ClosedAt, a.ClosedName, a.Outcome = "closed", tx.Now.AddDate(0, 0, -20), "C", "treated"
		return tx.Duty().PutAlert(a)
	})
	if err != nil {
		t.Fatal(err)
	}
	s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, `"state":"acknowledged"`)
	s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, `"alerts":[]`)
	resume := `{"kind":"resume","body":{"eyes":"both","answers":["` + id + `"],"from":"2026-03-28","basis":"examined","new_case":true}}`
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say([]string{id}, resume), 200, `"none"`)
	s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[]}`, 200, `"alerts":[]`)
}

// Closing is a decision: while something stops a lens an alert is closed only
// with one, which is written to the family in the same transaction.
func TestClosingDecidesAboutWear(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.report(1)
	alert := "/api/clinic/alerts/" + decode[struct{ Alerts []struct{ ID string } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].ID
	causes := `"causes":["` + id + `"],"entries":[`
	const outcome = `{"outcome":"seen-treated","note":"seen at 22:00",`
	resume := `{"kind":"resume","body":{"eyes":"both","answers":["` + id + `"],"from":"2026-03-28","basis":"examined"}}`
	cease := `{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-03-31"}}`
	for body, word := range map[string]string{
		`{"outcome":"seen-treated","note":"seen at 22:00"}`:                                       "no-decision",
		outcome + `"decision":"none"}`:                                                            "no-decision",
		outcome + `"decision":"resume",` + causes + `]}`:                                          "no-resume",
		outcome + `"decision":"stays",` + causes + `]}`:                                           "no-cease",
		outcome + `"decision":"sent-on",` + causes + cease + `]}`:                                 "no-place",
		outcome + `"decision":"perhaps"}`:                                                         "bad-decision",
		`{"outcome":"not-reached","note":"no answer","decision":"stays",` + causes + cease + `]}`: "not-an-ending",
	} {
		s.says("POST", alert+"/close", "clinician", body, 422, word)
	}
	if w := s.wear("desk"); len(w.Causes) != 1 {
		t.Fatalf("a refused closing left something behind: %+v", w)
	}
	s.says("POST", alert+"/close", "clinician", outcome+`"decision":"resume","causes":[],"entries":[`+resume+`]}`, 409, `"causes":["`+id+`"]`)
	s.says("POST", alert+"/call", "desk", `{"result":"not-reached","text":"no answer"}`, 200, `"state":"open"`)
	s.says("POST", alert+"/close", "clinician", outcome+`"decision":"stays",`+causes+cease+`]}`, 200, `"decision":"stays"`)
	if w := s.wear("desk"); w.Wear.Right.State != "stop" || len(w.Causes) != 2 {
		t.Errorf("stays stopped: %+v", w)
	}
	s.says("POST", alert+"/reopen", "desk", `{"text":"phoned back"}`, 200, `"outcome":"seen-treated"`)
	s.taken()
	w := s.wear("clinician")
	both := strings.Replace(resume, `"`+id+`"`, `"`+strings.Join(w.Causes, `","`)+`"`, 1)
	s.says("POST", alert+"/close", "clinician", outcome+`"decision":"resume","causes":["`+strings.Join(w.Causes, `","`)+`"],"entries":[`+both+`]}`, 200, `"decision":"resume"`)
	if w = s.wear("desk"); w.Wear.Right.State != "none" {
		t.Errorf("after the resume: %+v", w)
	}
	// The closings are found for good, by wearer, date and outcome.
	s.says("GET", "/api/clinic/archive?wearer=w1&outcome=seen-treated&from=2026-03-28&to=2026-03-28", "desk", "", 200, `"decision":"stays"`)
	s.says("GET", "/api/clinic/archive?from=2026-03-29", "desk", "", 200, `"alerts":[]`)
	s.says("GET", "/api/clinic/archive?from=soon", "desk", "", 422, "bad-date")
	// So does the review, each with its outcome, what it decided and how long it
	// took: the scene's clock stands still, so no minute.
	review := decode[struct {
		Alerts []struct {
			Found    []string
			Closings []struct {
				Outcome, Decision, Note string
				Minutes                 *float64
			}
		}
	}](t, s.says("GET", "/api/clinic/wearers/w1/review?from=2026-03-01", "clinician", "", 200, ""))
	if len(review.Alerts) != 1 || len(review.Alerts[0].Closings) != 2 || len(review.Alerts[0].Found) == 0 {
		t.Fatalf("%+v", review.Alerts)
	}
	for i, decision := range []string{"stays", "resume"} {
		if k := review.Alerts[0].Closings[i]; k.Outcome != "seen-treated" || k.Decision != decision || k.Note != "seen at 22:00" || k.Minutes == nil || *k.Minutes != 0 {
			t.Errorf("closing %d: %+v", i, k)
		}
	}
}

// Today and the card of a live alert say of each eye what the phones say: which one, and
// from when a lens goes in again.
func TestTodayAndTheCardSayWhereEachEyeStands(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.report(1)
	s.taken()
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "clinician", say(s.wear("desk").Causes, `{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-04-04"}}`), 200, "")
	causes, _ := json.Marshal(s.wear("desk").Causes)
	resume := `{"kind":"resume","body":{"eyes":"right","answers":` + string(causes) + `,"from":"2026-03-31","basis":"examined","new_case":true,"check":true}}`
	s.says("POST", path, "clinician", say(s.wear("desk").Causes, resume), 200, "")
	type eyes struct {
		Wearer      string
		Right, Left struct {
			State, Until string
			Check        bool
		}
	}
	held := decode[struct{ Held []eyes }](t, s.says("GET", "/api/clinic/today", "desk", "", 200, "")).Held
	card := decode[struct{ Alerts []eyes }](t, s.says("GET", "/api/clinic/alerts", "desk", "", 200, "")).Alerts
	for where, got := range map[string][]eyes{"Today": held, "the card": card} {
		if len(got) != 1 || got[0].Right.State != "stop" || got[0].Right.Until != "2026-03-31" || !got[0].Right.Check || got[0].Left.Check || got[0].Left.State != "stop" || got[0].Left.Until != "" {
			t.Errorf("%s: %+v, want the right eye until 31 March, and then after a check, and the left with no date", where, got)
		}
	}
	stand := decode[struct {
		Glance struct {
			Stand []struct {
				Eye, Until string
				ReviewBy   string `json:"review_by"`
			}
		}
	}](t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")).Glance.Stand
	for _, e := range stand {
		if want := map[string]string{"right": "", "left": "2026-04-04"}[e.Eye]; e.ReviewBy != want {
			t.Errorf("the review says of the %s eye: until %q, review by %q, want %q", e.Eye, e.Until, e.ReviewBy, want)
		}
	}
}

// More than a hundred causes are released by several entries of one saying; one entry
// takes no more than a hundred.
func TestMoreThanAHundredCausesAreReleasedAtOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var causes []string
	for n := 1; n <= 101; n++ {
		*s.now = s.now.Add(2 * time.Minute) // no phone sends so much at once
		causes = append(causes, s.report(n))
	}
	s.taken()
	again := func(of []string) string {
		return `{"kind":"resume","body":{"eyes":"both","answers":["` + strings.Join(of, `","`) + `"],"from":"2026-03-28","basis":"examined"}}`
	}
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "clinician", say(causes, again(causes)), 422, "answers")
	s.says("POST", path, "clinician", say(causes, again(causes[:100])+","+again(causes[100:])), 200, "")
	if w := s.wear("desk"); w.Wear.Right.State != "none" {
		t.Errorf("all released: %+v", w.Wear)
	}
}

// A family corrects nothing that the practice wrote, as it takes nothing of it back.
func TestAFamilyCorrectsNoWordOfThePractice(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}}`), 200, "")
	cease := s.wear("desk").Causes[0]
	for _, kind := range []string{`"kind":"cease","v":3,"body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}`, `"kind":"note","body":{"text":"no"}`} {
		s.call("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000041","dseq":41,"supersedes":["`+cease+`"],`+kind+`}`)))
		if w := s.wear("desk"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" {
			t.Errorf("%s: %+v", kind, w.Wear)
		}
	}
}

// Once the file was put back, the state is incomplete until every phone of the family
// that was there before has handed in: the console says so beside each decision.
func TestAStateIsIncompleteUntilEveryPhoneHasHandedIn(t *testing.T) {
	t.Parallel()
	for name, back := range map[string]func(tx *store.Tx) error{
		"put back from a backup": func(tx *store.Tx) error { return tx.Log().NewEpoch() },
		"put back by hand, which a phone of the family makes known": func(tx *store.Tx) error {
			epoch, err := tx.Log().EpochOf("f1")
			return errors.Join(err, tx.FoundOlder("f1", "p1", epoch, 9))
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			since := func() string {
				return decode[struct {
					Incomplete string `json:"incomplete_since"`
				}](t, s.says("GET", wearPath, "desk", "", 200, "")).Incomplete
			}
			if since() != "" {
				t.Error("incomplete though nothing was put back")
			}
			*s.now = s.now.Add(time.Hour)
			s.update(back)
			if since() == "" {
				t.Error("put back, no phone heard of since, and nothing is said")
			}
			*s.now = s.now.Add(time.Hour)
			s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, "")
			if at := since(); at != "" {
				t.Errorf("every phone has handed in, and the state is incomplete since %s", at)
			}
		})
	}
}

// A stop whose date of review has passed, and one that nobody has decided on, is asked
// about by one routine alert, each day again once it is closed; before the date nobody is
// asked, and after the end of wear only where that date was promised at a closing.
func TestAStopIsNotForgotten(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		body string
		days int // after 28 March
		want bool
	}{
		"before the date":       {`"reason":"examination","review_by":"2026-04-02"`, 4, false},
		"on the date":           {`"reason":"examination","review_by":"2026-04-02"`, 5, false},
		"the day after":         {`"reason":"examination","review_by":"2026-04-02"`, 6, true},
		"after the end of wear": {`"reason":"ended","review_by":"2026-04-02"`, 6, false},
		"after an end that closed an alert, whose date was promised": {`"reason":"ended","review_by":"2026-04-02","alert":"a"`, 6, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician", `{"sure":true,"causes":[],"entries":[{"kind":"cease","body":{"eyes":"both",`+c.body+`}}]}`, 200, "")
			ask := func(days int) {
				t.Helper()
				*s.now = simNow.AddDate(0, 0, days)
				s.update(func(tx *store.Tx) error {
					_, err := intake.RemindOfStops(tx, civil.DateOf(*s.now))
					return err
				})
			}
			live := func() (out []string) {
				for _, a := range s.queue() {
					if a.State != "closed" {
						out = append(out, a.Rule+" "+a.Level)
					}
				}
				return out
			}
			ask(c.days)
			ask(c.days)
			if got := live(); (len(got) == 1 && got[0] == "stop-review routine") != c.want || len(got) > 1 {
				t.Fatalf("asked by %q, want one routine alert: %t", got, c.want)
			}
			if !c.want {
				return
			}
			// nobody reported it: the card says by when the practice was to look
			s.says("GET", "/api/clinic/alerts", "clinician", "", 200, `"review_due":"2026-04-02"`)
			reply := func() string {
				return s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, `"alerts"`)
			}
			if strings.Contains(reply(), string(s.live().ID)) { // the family reported nothing
				t.Error("the family reads that nobody has seen what the practice asks itself")
			}
			if strings.Contains(c.body, "ended") { // until the date that was promised next
				s.act(s.live(), "close", `{"outcome":"spoken-to","note":"seen","decision":"stays","causes":["`+s.wear("desk").Causes[0]+`"],"entries":[{"kind":"cease","body":{"eyes":"both","reason":"ended","review_by":"2026-05-20","alert":"a"}}]}`)
				if ask(c.days + 1); len(live()) != 0 {
					t.Errorf("asked again before the new date: %q", live())
				}
				return
			}
			s.act(s.live(), "close", `{"outcome":"spoken-to","note":"later","decision":"stays","causes":["`+s.wear("desk").Causes[0]+`"],"entries":[{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-04-03"}}]}`)
			if ask(c.days + 1); len(live()) != 1 {
				t.Errorf("closed with a date that has passed the day after: %q", live())
			}
		})
	}
}

// Wear that is ended at a closing on the morning after a night in lenses ends with the next
// night: the family is not called for the night that the practice allowed.
func TestAnEndInTheMorningBlamesNoNight(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "insertion", `{"at":"21:45","eyes":"both"}`), 200, `"accepted"`)
	*s.now = time.Date(2026, 3, 29, 6, 37, 0, 0, time.UTC)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", `{"sure":true,"causes":[],"entries":[{"kind":"cease","body":{"eyes":"both","reason":"ended","review_by":"2026-04-08"}}]}`, 200, "")
	if w := s.wear("desk"); w.Wear.Right.State != "stop" {
		t.Errorf("the end stops at once: %+v", w.Wear)
	}
	*s.now = time.Date(2026, 3, 30, 9, 0, 0, 0, time.UTC)
	if raw := s.says("GET", "/api/clinic/today", "clinician", "", 200, ""); strings.Contains(raw, "nights logged with lenses since") {
		t.Error("Today asks about a night in lenses that was begun before the end")
	}
}

// Lenses in under a stop: the first is told, and later nights join it and page
// nobody, so that honesty never costs.
func TestLensesInUnderAStop(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
	queue := func() (rules []string, times int) {
		list := decode[struct {
			Alerts []struct {
				Rule, Level, Eye string
				History          []struct{ Times int }
			}
		}](t, s.says("GET", "/api/clinic/alerts", "desk", "", 200, ""))
		for _, a := range list.Alerts {
			rules = append(rules, a.Rule+" "+a.Level+" "+a.Eye)
			for _, h := range a.History {
				times += h.Times
			}
		}
		return rules, times
	}
	in := func(n int, eyes string) {
		s.says("POST", "/api/sync", "family", batch(n, 1, "w1", "d1", "p1", "insertion", `{"at":"23:30","eyes":"`+eyes+`"}`), 200, `"accepted"`)
	}
	in(1, "left") // the eye that nobody stopped
	if rules, _ := queue(); len(rules) != 0 {
		t.Fatalf("a lens in the free eye made %v", rules)
	}
	in(2, "both")
	if rules, _ := queue(); len(rules) != 1 || rules[0] != "worn-stopped urgent right" {
		t.Fatalf("the queue is %v, want one urgent alert of the right eye", rules)
	}
	if told := s.toldSteps(); !slices.Equal(told, []string{"Right eye: Lenses out now."}) { // the left may go on
		t.Errorf("the card says that the family was told %q, want the right eye alone", told)
	}
	in(3, "right")
	if rules, times := queue(); len(rules) != 1 || times == 0 {
		t.Errorf("the next made %v, counted %d times; want the same alert, counted", rules, times)
	}
	if w := s.wear("desk"); len(w.Causes) != 3 {
		t.Errorf("the causes are %v, want the cease and both insertions", w.Causes)
	}
}

// heardOf are the alerts of the queue: rule, level and eye, and how often what they say was
// said again.
func (s *site) heardOf() (rules []string, times int) {
	s.t.Helper()
	for _, a := range s.queue() {
		rules = append(rules, a.Rule+" "+a.Level+" "+a.Eye)
		for _, h := range a.History {
			times += h.Times
		}
	}
	return rules, times
}

// A lens that goes in after wear has ended is one under a stop: urgent, and one alert.
func TestLensesInAfterTheEnd(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.says("POST", "/api/clinic/wearers/w1/end", "clinician", `{"stopped":"2026-03-28","reason":"other","base":1}`, 200, "")
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "insertion", `{"at":"23:30","eyes":"both"}`), 200, `"accepted"`)
	if rules, _ := s.heardOf(); len(rules) != 1 || rules[0] != "worn-stopped urgent both" {
		t.Fatalf("the queue is %v, want one urgent alert of both eyes", rules)
	}
	s.says("POST", "/api/sync", "family", batch(2, 1, "w1", "d1", "p1", "insertion", `{"at":"23:35","eyes":"right"}`), 200, `"accepted"`)
	if rules, times := s.heardOf(); len(rules) != 1 || times != 1 {
		t.Errorf("the next made %v, counted %d times; want the same alert, counted once", rules, times)
	}
}

// A lens in an eye for which the plan has none is heard: nothing stops that eye, so it is
// routine (ours), later ones join, and the eye of the plan says nothing.
func TestALensInAnEyeOutsideThePlan(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.put(t, func(tx *store.Tx) error {
		plan := careplan.DefaultPlan(civil.MustDate("2025-12-01"), "Europe/Lisbon")
		plan.Eyes = "left"
		raw, err := json.Marshal(review.PlanFacts{Plan: plan})
		if err != nil {
			return err
		}
		_, err = tx.Chart().PutPlan("w1", "c1", raw)
		return err
	})
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "insertion", `{"at":"23:30","eyes":"left"}`), 200, `"accepted"`)
	if rules, _ := s.heardOf(); len(rules) != 0 {
		t.Fatalf("the eye of the plan made %v", rules)
	}
	for n := 2; n <= 3; n++ {
		s.says("POST", "/api/sync", "family", batch(n, 1, "w1", "d1", "p1", "insertion", `{"at":"23:30","eyes":"both"}`), 200, `"accepted"`)
		if rules, times := s.heardOf(); len(rules) != 1 || rules[0] != "worn-unplanned routine right" || times != n-2 {
			t.Errorf("the queue is %v, counted %d times; want one routine alert of the right eye", rules, times)
		}
	}
	if w := s.wear("desk"); w.Wear.Right.State != "none" {
		t.Errorf("wear %+v: a lens outside the plan stops nothing", w.Wear)
	}
}

// A release that asks for a new case, or a new lens of its eye: a lens that goes in before
// anybody has logged one is heard by the clinic too, as the phone says to take it out. Nothing
// stops the eye, so it is routine (ours); later ones join; the other eye says nothing.
func TestALensAgainstWhatItsReleaseAsksFor(t *testing.T) {
	t.Parallel()
	for asks, supply := range map[string]string{
		"new_case": `{"item":"case","action":"started","on":"2026-03-28"}`,
		"new_lens": `{"item":"lens","action":"started","on":"2026-03-28","eye":"right"}`,
	} {
		t.Run(asks, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
			causes := s.wear("clinician").Causes
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician",
				say(causes, `{"kind":"resume","body":{"eyes":"right","answers":["`+causes[0]+`"],"from":"2026-03-28","basis":"examined","`+asks+`":true}}`), 200, `"none"`)
			*s.now = time.Date(2026, 3, 28, 23, 59, 0, 0, time.UTC)
			log := func(n int, kind, body string) { // after the release
				e := fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":%q,"wall":"2026-03-28T23:59:00","body":%s}`, n, n, kind, body)
				s.says("POST", "/api/sync", "family", syncBody(entryJSON(e)), 200, `"accepted"`)
			}
			log(1, "insertion", `{"at":"23:30","eyes":"left"}`)
			s.says("POST", "/api/sync", "family", batch(6, 1, "w1", "d1", "p1", "insertion", `{"at":"21:35","eyes":"both"}`), 200, `"accepted"`) // written before the release
			if rules, _ := s.heardOf(); len(rules) != 0 {
				t.Fatalf("the eye that nobody stopped, and a lens of before the release, made %v", rules)
			}
			for n := 2; n <= 3; n++ {
				log(n, "insertion", `{"at":"23:30","eyes":"both"}`)
				if rules, times := s.heardOf(); len(rules) != 1 || rules[0] != "worn-unmet routine right" || times != n-2 {
					t.Errorf("the queue is %v, counted %d times; want one routine alert of the right eye", rules, times)
				}
			}
			log(4, "supply", supply)
			log(5, "insertion", `{"at":"23:31","eyes":"both"}`)
			if rules, times := s.heardOf(); len(rules) != 1 || times != 1 {
				t.Errorf("with what was asked for in use: %v, counted %d times; want nothing more", rules, times)
			}
		})
	}
}

// The phone's clock is three minutes slow, less than its clock is doubted for, and all of
// it comes after the release by the server's: the lens before the new case is heard of, and
// the case counts as new, also once the phone reads it back.
func TestAReleaseAsksByTheServersClock(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"right","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
	causes := s.wear("clinician").Causes
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician",
		say(causes, `{"kind":"resume","body":{"eyes":"right","answers":["`+causes[0]+`"],"from":"2026-03-28","basis":"examined","new_case":true}}`), 200, `"none"`)
	*s.now = simNow.Add(time.Minute)
	log := func(n int, kind, body string) {
		e := entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":%q,"wall":"2026-03-28T21:58:00","body":%s}`, n, n, kind, body))
		s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"now":"2026-03-28T21:58:00Z","entries":[`+e+`]}`, 200, `"skew_ms":-180000`)
	}
	log(1, "insertion", `{"at":"21:58","eyes":"right"}`)
	if rules, _ := s.heardOf(); !slices.Equal(rules, []string{"worn-unmet routine right"}) {
		t.Errorf("a lens in the old case is heard of by %v", rules)
	}
	log(2, "supply", `{"item":"case","action":"started","on":"2026-03-28"}`)
	log(3, "insertion", `{"at":"21:59","eyes":"right"}`)
	if rules, times := s.heardOf(); len(rules) != 1 || times != 0 {
		t.Errorf("with the new case in use: %v, counted %d times; want nothing more", rules, times)
	}
}

// Such a lens opens no emergency again that was decided about: it is an alert of its own.
func TestALensAgainstItsReleaseOpensNoEmergencyAgain(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "symptoms", "2026-03-20", `{"right":{"pain":"severe"},"now":"pain"}`)
	a := s.live()
	if a.Level != "emergency" {
		t.Fatalf("severe pain is %s, want an emergency", a.Level)
	}
	s.released(a, `,"new_case":true`)
	*s.now = time.Date(2026, 3, 28, 23, 59, 0, 0, time.UTC)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"wall":"2026-03-28T23:59:00"}`)), 200, `"accepted"`)
	if b := s.live(); b.ID == a.ID || b.Level != "routine" || b.Rule != "worn-unmet" {
		t.Errorf("%s %s, the same: %t; want a routine alert of its own", b.Rule, b.Level, b.ID == a.ID)
	}
}

// A lens that is in by the last word leads the log on the card, also one that went in
// before the finding was written and under no stop; it goes once it is logged out.
// The times are the test's own.
func TestTheCardSaysThatALensIsIn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	logged := func() (out []string) {
		list := decode[struct {
			Alerts []struct {
				Episode struct{ Logged []struct{ Text string } }
			}
		}](t, s.says("GET", "/api/clinic/alerts", "desk", "", 200, ""))
		if len(list.Alerts) != 1 {
			t.Fatalf("%d alerts, want one", len(list.Alerts))
		}
		for _, l := range list.Alerts[0].Episode.Logged {
			out = append(out, l.Text)
		}
		return out
	}
	log := func(n int, kind, body string) {
		s.says("POST", "/api/sync", "family", batch(n, 1, "w1", "d1", "p1", kind, body), 200, `"accepted"`)
	}
	log(1, "insertion", `{"at":"21:02","eyes":"both"}`)
	log(2, "symptoms", `{"table":1,"lens":"in","left":{"pain":"persists"},"other":"usual"}`)
	for _, c := range []struct {
		n          int
		kind, body string
		want       []string
	}{
		{0, "", "", []string{"Lenses in since 21:02 and not logged out"}},
		{3, "removal", `{"at":"21:20","eyes":"left"}`, []string{"Lenses in since 21:02 and not logged out, right eye"}},
		{4, "removal", `{"at":"21:25","eyes":"right"}`, nil},
		{5, "insertion", `{"at":"21:40","eyes":"right"}`, []string{"Lenses in since 21:40 and not logged out, right eye"}},
	} {
		if c.n > 0 {
			log(c.n, c.kind, c.body)
		}
		if got := logged(); !slices.Equal(got, c.want) {
			t.Errorf("after %s %s the card says %q, want %q", c.kind, c.body, got, c.want)
		}
	}
}

// The family's devices that take messages are told, once for all that was said,
// with no word of it.
func TestTheFamilyIsTold(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	// the practice sees whether a message reaches anybody
	s.says("GET", wearPath, "desk", "", 200, `"reachable":0`)
	s.says("GET", "/api/clinic/families/f1", "desk", "", 200, `"messages":false`)
	s.says("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`, 200, "")
	s.says("GET", wearPath, "desk", "", 200, `"reachable":1`)
	s.says("GET", "/api/clinic/families/f1", "desk", "", 200, `"messages":true`)
	word := `{"kind":"word","body":{"text":"How is it now?","answer_wanted":true}}`
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, word+`,{"kind":"visit","body":{"on":"2026-04-01","at":"15:30"}}`), 200, `"visit"`)
	rows, err := dispatch.Outbox{DB: s.srv.DB}.Lease(simNow, 10, time.Minute)
	if err != nil || len(rows) != 1 || rows[0].Kind != escalate.KindWord || rows[0].Device != "d1" {
		t.Fatalf("the outbox holds %+v, %v; want one message for the family's device", rows, err)
	}
	if err := (dispatch.Outbox{DB: s.srv.DB}).Done(rows[0], simNow, "handed over"); err != nil {
		t.Errorf("handed over: %v", err)
	}
}

// What stops a lens is pushed to the family's other devices at once, so that nobody puts
// one in before they have opened the app: not to the one that wrote it, and not again for
// what comes while the eye is stopped already.
func TestTheFamilysOtherPhonesHearOfAStop(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	for _, who := range []string{"family", "teen"} {
		s.says("POST", "/api/push/subscription", who, `{"endpoint":"https://push.example/`+who+`","p256dh":"a","auth":"b"}`, 200, "")
	}
	stops := func() (told []care.DeviceID) {
		t.Helper()
		out := dispatch.Outbox{DB: s.srv.DB}
		rows, err := out.Lease(simNow, 100, time.Minute)
		for _, r := range rows {
			if r.Kind == escalate.KindStop {
				told = append(told, r.Device)
			}
			err = errors.Join(err, out.Done(r, simNow, "handed over"))
		}
		if err != nil {
			t.Fatal(err)
		}
		return told
	}
	s.says("POST", "/api/sync", "family", syncBody(severe(`"dseq":1`)), 200, `"accepted"`)
	if got := stops(); len(got) != 1 || got[0] != "dt" {
		t.Errorf("a stop was told to %v, want the other device alone", got)
	}
	s.says("POST", "/api/sync", "family", syncBody(severe(`"id":"01900000-0000-7000-8000-000000000002","dseq":2`)), 200, `"accepted"`)
	if got := stops(); len(got) != 0 {
		t.Errorf("a second report about the stopped eye was told to %v", got)
	}
}

// What the practice itself has stopped is no check that somebody left.
func TestAWordOfThePracticeIsNoLeftCheck(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-04-02"}}`), 200, `"cease"`)
	s.update(func(tx *store.Tx) error {
		tx.Now = simNow.Add(24 * time.Hour)
		if rings, err := intake.RemindOfLeft(tx); rings || err != nil {
			t.Errorf("a day later: %v, %v", rings, err)
		}
		return nil
	})
}

// A changed plan is pushed like a word of the practice; the first one is not: the
// family joins with it.
func TestAChangedPlanIsPushed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`, 200, "")
	raw, err := json.Marshal(careplan.DefaultPlan(civil.MustDate("2026-03-20"), "Europe/Lisbon"))
	if err != nil {
		t.Fatal(err)
	}
	for base, want := range []int{0, 1} {
		s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", strings.TrimSuffix(string(raw), "}")+fmt.Sprintf(`,"base":%d}`, base), 200, "")
		rows, err := dispatch.Outbox{DB: s.srv.DB}.Lease(simNow, 10, time.Minute)
		if err != nil || len(rows) != want || want > 0 && (rows[0].Kind != escalate.KindWord || rows[0].Device != "d1") {
			t.Errorf("after version %d the outbox holds %+v, %v; want %d", base+1, rows, err, want)
		}
	}
}

// A plan's "remark to the family" reaches the family's phones as a word of the
// practice, once: a plan saved again with the same remark says nothing anew, and one
// that is too long for a word is refused whole.
func TestARemarkOfAPlanReachesThePhones(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	doc := func(base int, remark string) string {
		raw, err := json.Marshal(careplan.DefaultPlan(civil.MustDate("2026-03-20"), "Europe/Lisbon"))
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(remark)
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimSuffix(string(raw), "}") + fmt.Sprintf(`,"base":%d,"remark":%s}`, base, text)
	}
	words := func() int {
		return strings.Count(s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, ""), "Ten hours, please")
	}
	have := len(decode[struct{ Plans []any }](t, s.says("GET", "/api/clinic/wearers/w1/plan", "clinician", "", 200, "")).Plans)
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", doc(have, "Ten hours, please"), 200, "")
	if n := words(); n != 1 {
		t.Fatalf("the family's phone has the remark %d times, want once", n)
	}
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", doc(have+1, "Ten hours, please"), 200, "")
	if n := words(); n != 1 {
		t.Errorf("saved again with the same remark: %d times", n)
	}
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", doc(have+2, strings.Repeat("ä", 1001)), 422, "remark")
	if n := len(decode[struct{ Plans []any }](t, s.says("GET", "/api/clinic/wearers/w1/plan", "clinician", "", 200, "")).Plans); n != have+2 {
		t.Errorf("%d plans after one was refused, want %d", n, have+2)
	}
}

// The practice ends the treatment: nobody is asked for the visits of the plan any
// more; one that was booked stays. In planned the one-month visit is overdue and
// the recall is due.
func TestEndedAsksForNoRecall(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.visit(t, course.Visit{ID: "v", Kind: "unscheduled", Date: civil.NightOf(simNow, time.UTC).AddDays(3), State: "booked"})
	states := func() (out []string) {
		r := decode[recallReply](t, s.says("GET", "/api/clinic/recalls", "desk", "", 200, ""))
		for _, x := range r.Recalls {
			out = append(out, x.State)
		}
		return out
	}
	if got := states(); len(got) < 3 {
		t.Fatalf("before: %v, want what is due, overdue and booked", got)
	}
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", `{"sure":true,"causes":[],"entries":[{"kind":"cease","body":{"eyes":"both","reason":"ended","review_by":"2026-09-28"}}]}`, 200, `"cease"`)
	if got := states(); len(got) != 1 || got[0] != "booked" {
		t.Errorf("after the end of the treatment: %v, want the booked visit alone", got)
	}
}

// In the quiet hours of the plan a word waits until they end; what stops wear does
// not. It is 22:00 in Lisbon, the quiet hours are 21:45 to 06:30, and the clocks go
// forward in the night, so they end at 05:30 UTC.
func TestQuietHoursHoldBackAWord(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var plan map[string]any
	if err := json.Unmarshal(s.usual(), &plan); err != nil {
		t.Fatal(err)
	}
	plan["quiet_from"], plan["zone"] = "21:45", "Europe/Lisbon"
	raw, _ := json.Marshal(plan)
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", string(raw), 200, "")
	s.says("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`, 200, "")
	waiting := func(at time.Time) int {
		rows, err := dispatch.Outbox{DB: s.srv.DB}.Lease(at, 10, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		return len(rows)
	}
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"word","body":{"text":"Please bring the case"}}`), 200, `"word"`)
	end := time.Date(2026, 3, 29, 5, 30, 0, 0, time.UTC)
	if early, late := waiting(end.Add(-time.Second)), waiting(end); early != 0 || late != 1 {
		t.Errorf("a word: %d messages before the quiet hours end, %d then; want 0 and 1", early, late)
	}
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"lens","review_by":"2026-04-02"}}`), 200, `"cease"`)
	if got := waiting(simNow); got != 1 {
		t.Errorf("a stop: %d messages at once, want 1", got)
	}
}

// The family's own quiet hours hold a word too: the plan's begin at 23:30 only, the
// family's at 21:45, and it is 22:00.
func TestAFamilysOwnQuietHoursHoldBackAWord(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var plan map[string]any
	if err := json.Unmarshal(s.usual(), &plan); err != nil {
		t.Fatal(err)
	}
	plan["quiet_from"], plan["quiet_to"], plan["zone"] = "23:30", "06:00", "Europe/Lisbon"
	raw, _ := json.Marshal(plan)
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", string(raw), 200, "")
	s.says("POST", "/api/reminders", "family", `{"wearer":"w1","own":{"quiet":{"from":"21:45","to":"06:30"}}}`, 200, "")
	s.says("POST", "/api/push/subscription", "family", `{"endpoint":"https://push.example/a","p256dh":"a","auth":"b"}`, 200, "")
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"word","body":{"text":"Please bring the case"}}`), 200, `"word"`)
	waiting := func(at time.Time) int {
		rows, err := dispatch.Outbox{DB: s.srv.DB}.Lease(at, 10, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		return len(rows)
	}
	end := time.Date(2026, 3, 29, 5, 30, 0, 0, time.UTC)
	if early, late := waiting(end.Add(-time.Second)), waiting(end); early != 0 || late != 1 {
		t.Errorf("a word: %d messages before the family's quiet hours end, %d then; want 0 and 1", early, late)
	}
}

// Where a word of the practice is: on no phone until one has said, by its cursor,
// that it holds the log so far; on that one then, and read by nobody.
func TestTheClinicSeesWhichPhoneHasAWord(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.says("POST", "/api/clinic/wearers/w1/say", "desk", say(nil, `{"kind":"word","body":{"text":"Please call us"}}`), 200, `"word"`)
	type view struct {
		Entries  []struct{ ID, Kind string }
		Receipts map[string]struct {
			Phones []string
			Of     int
			Read   []any
		}
	}
	holds := func() (phones, of int) {
		t.Helper()
		v := decode[view](t, s.says("GET", wearPath, "desk", "", 200, ""))
		for _, e := range v.Entries {
			if e.Kind == "word" {
				r := v.Receipts[e.ID]
				return len(r.Phones), r.Of
			}
		}
		t.Fatal("the word is not shown")
		return 0, 0
	}
	if n, of := holds(); n != 0 || of != 2 {
		t.Fatalf("on %d of %d phones before any has it, want 0 of 2", n, of)
	}
	got := decode[struct {
		Epoch, Checksum string
		Cursor          uint64
	}](t, s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, "Please call us"))
	if n, _ := holds(); n != 0 {
		t.Error("a reply that was given out counts as stored on the phone")
	}
	s.says("POST", "/api/sync", "family", fmt.Sprintf(`{"epoch":%q,"cursor":%d,"sum":%q,"entries":[],"schema":3}`, got.Epoch, got.Cursor, got.Checksum), 200, "")
	if n, of := holds(); n != 1 || of != 2 {
		t.Errorf("on %d of %d phones once one has stored it, want 1 of 2", n, of)
	}
}
