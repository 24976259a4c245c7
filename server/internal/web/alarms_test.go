package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// queued is an alert of the clinic's queue.
type queued struct {
	ID, Rule, Title, Level, State, Eye string
	DeskName                           string `json:"desk_name"`
	History                            []struct {
		What, Text string
		Times      int
	}
}

func (s *site) queue() []queued {
	s.t.Helper()
	return decode[struct{ Alerts []queued }](s.t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts
}

// taken lets the clinician take whatever is open: an emergency is released only by
// somebody who has it.
func (s *site) taken() {
	s.t.Helper()
	for _, a := range s.queue() {
		if a.State == "open" {
			s.act(a, "acknowledge", "")
		}
	}
}

// live returns the one alert somebody must deal with; more than one, or none
// where one is wanted, ends the test.
func (s *site) live() queued {
	s.t.Helper()
	var out []queued
	for _, a := range s.queue() {
		if a.State != "closed" {
			out = append(out, a)
		}
	}
	if len(out) != 1 {
		s.t.Fatalf("%d live alerts, want one for the wearer: %+v", len(out), out)
	}
	return out[0]
}

// logs hands in one entry of the family for a night.
func (s *site) logs(n int, kind, night, body string) {
	s.t.Helper()
	v := map[string]int{"check-open": 3}[kind]
	e := fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":%q,"night":%q,"wall":"%sT21:40:00","v":%d,"body":%s}`, n, n, kind, night, night, max(1, v), body)
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(e)), 200, `"accepted"`)
}

// toldSteps are the words that the first card of the queue says the family was told last.
func (s *site) toldSteps() []string {
	s.t.Helper()
	return decode[struct {
		Alerts []struct {
			Episode struct{ Told []struct{ Steps []string } }
		}
	}](s.t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].Episode.Told[0].Steps
}

// released closes an alert of which the family was reached: examined, and lenses again
// from the night of the test's clock on; more are further members of the release.
func (s *site) released(a queued, more string) {
	s.t.Helper()
	s.act(a, "acknowledge", "")
	s.act(a, "call", `{"result":"reached"}`)
	causes, err := json.Marshal(s.wear("clinician").Causes)
	if err != nil {
		s.t.Fatal(err)
	}
	s.act(a, "close", `{"outcome":"seen-nothing-found","note":"x","decision":"resume","causes":`+string(causes)+
		`,"entries":[{"kind":"resume","body":{"eyes":"both","answers":`+string(causes)+`,"from":"2026-03-28","basis":"examined"`+more+`}}]}`)
}

// act lets the clinician do something with an alert.
func (s *site) act(a queued, what, body string) {
	s.t.Helper()
	s.says("POST", "/api/clinic/alerts/"+a.ID+"/"+what, "clinician", body, 200, "")
}

// close closes an alert; what stops a lens stays stopped.
func (s *site) closeStopped(a queued) {
	s.t.Helper()
	causes, err := json.Marshal(s.wear("clinician").Causes)
	if err != nil {
		s.t.Fatal(err)
	}
	s.act(a, "call", `{"result":"reached"}`)
	s.act(a, "close", `{"outcome":"spoken-to","note":"by phone","decision":"stays","causes":`+string(causes)+
		`,"entries":[{"kind":"cease","body":{"eyes":"both","reason":"report","review_by":"2026-04-02"}}]}`)
}

// Where the log of a night leads the card, beside a milder report, the card has the
// time at which that was written, as typed here, not when the alert was opened.
func TestTheLogThatLeadsHasItsOwnTime(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"gone"}}`), 200, `"accepted"`)
	s.logs(2, "morning", "2026-03-27", `{"comfort":1,"redness":1}`)
	s.live()
	card := decode[struct {
		Alerts []struct {
			Title, Level string
			Opened       time.Time
			Episode      struct {
				Headline string
				At       time.Time
			}
		}
	}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
	if want := time.Date(2026, 3, 27, 21, 40, 0, 0, time.UTC); !card.Episode.At.Equal(want) || card.Episode.Headline != card.Title || card.Level != "emergency" {
		t.Errorf("%s %q of %v, headline %q; want the morning of %v", card.Level, card.Title, card.Episode.At, card.Episode.Headline, want)
	}
}

// outOrStay are both first words of a phone (told.lenses-out, told.lenses-stay-out of
// alerts/texts.json) where what it knew of the lens did not come with the entry.
const outOrStay = "Lenses out now. Or, where that phone knew that they were out: Leave the lenses out."

// The card of an alert that the log raised by itself says what the family was told, as
// the card of a report does: the words are those of alerts/texts.json that the phone
// heads the finding with.
func TestTheCardOfALogSaysWhatTheFamilyWasTold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ kind, body, want string }{
		{"morning", `{"comfort":1,"redness":1}`, outOrStay + " | Phone now. Be seen today."},
		{"morning", `{"comfort":4,"redness":1}`, outOrStay + " | Be seen within 24 hours."},
		{"morning", `{"moved":"stuck"}`, "Do not pull at the lens, or search the eye for it. | Be seen within 24 hours."},
		{"not-worn", `{"reason":"sore-eye","eyes":"right"}`, "Wear no lens tonight, in either eye. Do the eye check again before the next night. | Do the eye check now."},
	} {
		s := newSite(t)
		s.logs(1, c.kind, "2026-03-27", c.body)
		card := decode[struct {
			Alerts []struct {
				Episode struct{ Told []struct{ Steps []string } }
			}
		}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
		if len(card.Episode.Told) != 1 || strings.Join(card.Episode.Told[0].Steps[:2], " | ") != c.want {
			t.Errorf("%s %s: told %+v, want it to begin with %q", c.kind, c.body, card.Episode.Told, c.want)
		}
	}
}

// A check that finds less than the morning did does not end what the morning asked for:
// the card repeats the page, which goes on saying it (pwa/app/views/wear.js, ofLog).
func TestTheCardOfALogGoesOnBesideAMilderReport(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "morning", "2026-03-27", `{"comfort":1,"redness":1}`)
	s.logs(2, "symptoms", "2026-03-27", `{"left":{"injury":"no"},"now":"none","other":"unknown"}`)
	s.live()
	card := decode[struct {
		Alerts []struct {
			Episode struct{ Told []struct{ Steps []string } }
		}
	}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
	if told := card.Episode.Told; len(told) != 2 || strings.Join(told[0].Steps[:2], " | ") != outOrStay+" | Phone now. Be seen today." {
		t.Errorf("told %+v, want the order of the morning first, then what the check was told", told)
	}
}

// A morning that holds a lens back reaches the queue by itself, at its level: the
// levels are those of the rule table, a stuck lens that of a report of one. One
// on which all is well does not.
func TestTheMorningLogReachesTheQueue(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, kind, body, level string }{
		{"very sore", "morning", `{"comfort":0,"redness":0}`, "routine"},
		{"red", "morning", `{"comfort":4,"redness":1}`, "urgent"},
		{"red and sore", "morning", `{"comfort":1,"redness":1}`, "emergency"},
		{"stuck, will not move", "morning", `{"moved":"stuck"}`, "urgent"},
		{"not worn for a sore eye", "not-worn", `{"reason":"sore-eye","eyes":"right"}`, "routine"},
		{"a check that was begun", "check-open", `{"eyes":"both"}`, "routine"},
		{"a check that was left after an answer that is an emergency", "symptoms", `{"right":{"injury":"no","discharge":"pus"},"now":"none","other":"unknown","unfinished":true}`, "emergency"},
		{"a good morning", "morning", `{"comfort":4,"redness":0,"moved":"freely"}`, ""},
		{"not worn, tired", "not-worn", `{"reason":"tired","eyes":"both"}`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.logs(1, c.kind, "2026-03-27", c.body)
			if c.level == "" {
				if all := s.queue(); len(all) != 0 {
					t.Errorf("queue %+v, want none", all)
				}
				return
			}
			if a := s.live(); a.Level != c.level || a.Title == "" {
				t.Errorf("%s %q, want %s", a.Level, a.Title, c.level)
			}
		})
	}
}

// A phone that is behind sends the morning alone, without the check that a newer one
// begins: the clinic is rung at the level of the check (testdata/care/stuck.json).
func TestAStuckLensRingsAsItsCheckDoes(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/stuck.json")
	if err != nil {
		t.Fatal(err)
	}
	var vectors struct {
		Cases []struct {
			Morning json.RawMessage
			Level   string
		}
	}
	if err := json.Unmarshal(raw, &vectors); err != nil || len(vectors.Cases) == 0 {
		t.Fatal(err)
	}
	for _, c := range vectors.Cases {
		s := newSite(t)
		s.logs(1, "morning", "2026-03-27", string(c.Morning))
		if a := s.live(); a.Level != c.Level {
			t.Errorf("%s: %s %q, want %s", c.Morning, a.Level, a.Title, c.Level)
		}
	}
}

// The same red morning gives the same finding whether it comes at once or three
// days late: it is judged by its own night.
func TestALateMorningIsJudgedByItsOwnNight(t *testing.T) {
	t.Parallel()
	for _, night := range []string{"2026-03-28", "2026-03-25", "2026-02-20"} {
		s := newSite(t)
		s.logs(1, "morning", night, `{"redness":2,"comfort":4}`)
		if a := s.live(); a.Rule != "morning-red" || a.Level != "urgent" {
			t.Errorf("of %s: %s %s, want morning-red, urgent", night, a.Rule, a.Level)
		}
	}
}

// An eye that is red every morning alarms anew after each decision of the clinic,
// and an alert that somebody has taken starts a ladder again on a new night and
// when it is worse, but not for the same said again.
func TestARedEyeAlarmsAfterEachDecision(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	red := func(n, grade int) {
		s.logs(n, "morning", fmt.Sprintf("2026-03-%d", 20+n), fmt.Sprintf(`{"redness":%d,"comfort":4}`, grade))
	}
	for n := 1; n <= 3; n++ {
		red(n, 1)
		s.closeStopped(s.live()) // fails unless it alarmed
	}
	red(4, 1)
	s.act(s.live(), "acknowledge", "")
	red(4+1, 1)
	if a := s.live(); a.State != "open" {
		t.Errorf("taken, and red again the next morning: %s, want open", a.State)
	}
	s.act(s.live(), "acknowledge", "")
	s.logs(6, "morning", "2026-03-25", `{"redness":1,"comfort":4}`)
	if a := s.live(); a.State != "acknowledged" {
		t.Errorf("the same morning said again: %s, want acknowledged", a.State)
	}
	s.logs(7, "morning", "2026-03-25", `{"redness":3,"comfort":4}`)
	if a := s.live(); a.State != "open" {
		t.Errorf("a worse grade of the same morning: %s, want open", a.State)
	}
}

// One live alert takes every finding, of reports and of the log alike, at the
// level of the worst, which leads it.
func TestOneAlertTakesEveryFinding(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "morning", "2026-03-27", `{"redness":2,"comfort":0}`)
	first := s.live()
	if first.Level != "emergency" {
		t.Fatalf("red and sore: %s", first.Level)
	}
	s.logs(2, "symptoms", "2026-03-28", `{"right":{"pain":"gone","redness":"none"}}`)
	if a := s.live(); a.ID != first.ID || a.Level != "emergency" || a.Title != first.Title {
		t.Errorf("a milder report made %s %q, want it under %q", a.Level, a.Title, first.Title)
	}
	s.logs(3, "symptoms", "2026-03-28", `{"right":{"sight":"lost"}}`)
	if a := s.live(); a.ID != first.ID || a.Title == first.Title || a.Eye != "right" {
		t.Errorf("a report as grave and newer: %q, %s; want it to lead, with its eye", a.Title, a.Eye)
	}
}

// A lens that goes in under a stop is told to whoever has the alert and starts no
// ladder of its own.
func TestAnInsertionIsNotASign(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.report(1)
	s.act(s.live(), "acknowledge", "")
	s.logs(2, "insertion", "2026-03-28", `{"at":"23:30","eyes":"both"}`)
	a := s.live()
	if a.State != "acknowledged" {
		t.Errorf("the alert is %s, want acknowledged", a.State)
	}
	if last := a.History[len(a.History)-1]; last.What != "raised" {
		t.Errorf("the history ends with %s, want the insertion", last.What)
	}
}

// The desk stops no ladder of a red flag: what it says is shown, and the alert
// waits for a clinician. The family reads of nobody who has it.
func TestTheDeskHasPhoned(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.report(1)
	a := s.live()
	s.says("POST", "/api/clinic/alerts/"+a.ID+"/acknowledge", "desk", "", 200, `"desk_name":"K"`)
	if a = s.live(); a.State != "open" || a.DeskName != "K" {
		t.Errorf("after the desk: %s, %q", a.State, a.DeskName)
	}
	s.says("POST", "/api/clinic/alerts/"+a.ID+"/call", "desk", `{"result":"not-reached"}`, 200, `"tried":"`) // nor does the card pass over that nobody answered
	s.says("POST", "/api/sync", "family", `{"epoch":"","cursor":0,"entries":[],"schema":3}`, 200, `"state":"open"`)
	s.says("POST", "/api/clinic/alerts/"+a.ID+"/acknowledge", "clinician", "", 200, `"state":"acknowledged"`)
	s.says("POST", "/api/clinic/alerts/"+a.ID+"/hand-over", "clinician", `{"to":"a1"}`, 422, "bad-person")
}

// A report that the server cannot read, or that a newer app wrote, may say
// anything: both eyes are stopped and a person is told.
func TestAReportThatCannotBeReadIsAStop(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, over, verdict string }{
		{"an answer that is none", `"v":1,"body":{"right":{"pain":7}}`, "refused"},
		{"a body that is none", `"v":1,"body":"help"`, "refused"},
		{"of a newer app", `"v":4,"body":{"right":{"glow":"yes"}}`, "held"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"kind":"symptoms",`+c.over+`}`)), map[string]int{"held": 200, "refused": 422}[c.verdict], `"verdict":"`+c.verdict+`"`)
			if a := s.live(); a.Level != "emergency" || a.Rule != "not-assessed" || a.Eye != "" { // its heading says to phone now
				t.Errorf("queue: %s %s %s, want an emergency that nobody could assess, of no eye", a.Rule, a.Level, a.Eye)
			}
			s.taken()
			w := s.wear("desk")
			if w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" || len(w.Causes) != 1 {
				t.Fatalf("wear %+v, want both eyes stopped by it", w.Wear)
			}
			resume := `{"kind":"resume","body":{"eyes":"both","answers":["` + w.Causes[0] + `"],"from":"2026-03-28","basis":"by-telephone"}}`
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(w.Causes, resume), 422, "not-spoken") // nobody has spoken to them
			s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/call", "clinician", `{"result":"reached"}`, 200, "")
			s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(w.Causes, resume), 200, `"none"`)
		})
	}
}

// Water said in an eye check is heard in the nights after it, as water of the log is: a
// very sore morning within the watch is urgent (rule sign-after-water, CDC), its own
// check left undone. A later "no" lowers nothing: the card has both, with the day of the
// "yes".
func TestWaterSaidInACheckIsHeardInLaterNights(t *testing.T) {
	t.Parallel()
	const eye = `{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no","lid":"no","pupil":"no"}`
	s := newSite(t)
	s.logs(1, "symptoms", "2026-03-19", `{"right":`+eye+`,"left":`+eye+`,"ill":"no","now":"none","water":"yes"}`)
	if all := s.queue(); len(all) != 0 {
		t.Fatalf("a check that found nothing: %+v", all)
	}
	s.logs(2, "morning", "2026-03-27", `{"comfort":0}`)
	s.logs(3, "check-open", "2026-03-27", `{"eyes":"both"}`)
	if a := s.live(); a.Level != "urgent" {
		t.Errorf("%s %q, want urgent", a.Level, a.Title)
	}
	type sign struct {
		Sign, Answer, Since, Began string
		At                         time.Time
	}
	card := func() (seen sign, denied string) {
		v := decode[struct {
			Alerts []struct {
				Episode struct {
					Seen   []sign
					Denied []string
				}
			}
		}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].Episode
		for _, one := range v.Seen {
			if strings.HasPrefix(one.Sign, "water") {
				seen = one
			}
		}
		return seen, strings.Join(v.Denied, "; ")
	}
	if w, _ := card(); w.Answer != "yes" || w.At.Format("2 Jan") != "19 Mar" || w.Since != "" {
		t.Errorf("the card of the morning says of water %+v, want yes on 19 March", w)
	}
	s.logs(4, "symptoms", "2026-03-27", `{"right":{"injury":"knock","lens":"stuck"},"now":"none","water":"no","began_about":"yesterday"}`)
	if w, denied := card(); w.Answer != "yes" || w.At.Format("2 Jan") != "19 Mar" || w.Since != "no" || w.Began != "" || strings.Contains(denied, "water") {
		t.Errorf("after a check that says no: %+v, denied %q; want yes on 19 March, since then no", w, denied)
	}
}

// Who is sore in the morning after a red flag is seen the same day (Keay 2006: a delay
// of 49 to 72 h, odds of lost sight 4.5): what the clinic decided about the red flag
// says nothing of it. Without a red flag before it is routine.
func TestASoreMorningAfterARedFlagIsUrgent(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "symptoms", "2026-03-20", `{"right":{"redness":"mild"},"now":"none"}`)
	s.released(s.live(), "")
	if w := s.wear("clinician"); w.Wear.Right.State != "none" {
		t.Fatalf("released: %+v", w.Wear)
	}
	s.logs(2, "morning", "2026-03-27", `{"comfort":0,"redness":0,"moved":"freely"}`)
	if a := s.live(); a.Level != "urgent" || a.State != "open" {
		t.Errorf("%s %s %q, want urgent and open", a.Level, a.State, a.Title)
	}
	if w := s.wear("clinician"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" {
		t.Errorf("wear %+v, want both stopped", w.Wear)
	}

	s = newSite(t)
	s.logs(2, "morning", "2026-03-27", `{"comfort":0,"redness":0,"moved":"freely"}`)
	if a := s.live(); a.Level != "routine" {
		t.Errorf("without a red flag before: %s %q, want routine", a.Level, a.Title)
	}
}

// A check that a release asked for, or that ended a rest, proves nothing once it is taken
// back: it may have been of another child.
func TestACheckThatIsTakenBackReleasesNothing(t *testing.T) {
	t.Parallel()
	const eye = `{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no","lid":"no","pupil":"no"}`
	check := func(ends string) string {
		return `{"right":` + eye + `,"left":` + eye + `,"ill":"no","now":"none","water":"no","ends":["` + ends + `"]}`
	}
	back := func(s *site, n int) {
		s.says("POST", "/api/sync", "family", syncBody(entryJSON(fmt.Sprintf(
			`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":"retraction","retracts":"01900000-0000-7000-8000-%012d","night":"2026-03-28","wall":"2026-03-28T21:50:00","body":{}}`, n, n, n-1))), 200, `"accepted"`)
	}
	stand := func(s *site, want, why string) {
		t.Helper()
		if w := s.wear("clinician"); w.Wear.Right.State != want || w.Wear.Left.State != want {
			t.Errorf("%s: %s and %s, want %s", why, w.Wear.Right.State, w.Wear.Left.State, want)
		}
	}
	s := newSite(t)
	s.logs(1, "morning", "2026-03-26", `{"comfort":0}`)
	stand(s, "rest", "a sore morning")
	s.logs(2, "symptoms", "2026-03-28", check("01900000-0000-7000-8000-000000000001"))
	stand(s, "none", "after the check")
	back(s, 3)
	stand(s, "rest", "the check taken back")

	s = newSite(t)
	s.logs(1, "symptoms", "2026-03-27", `{"right":{"redness":"mild"},"now":"none"}`)
	a := s.live()
	s.act(a, "acknowledge", "")
	causes, err := json.Marshal(s.wear("clinician").Causes)
	if err != nil {
		t.Fatal(err)
	}
	s.act(a, "close", `{"outcome":"seen-nothing-found","note":"x","decision":"resume","causes":`+string(causes)+
		`,"entries":[{"kind":"resume","body":{"eyes":"both","answers":`+string(causes)+`,"from":"2026-03-28","basis":"examined","check":true}}]}`)
	stand(s, "rest", "released after a check")
	resume := decode[struct{ Wear care.Wear }](t, s.says("GET", "/api/clinic/wearers/w1/wear", "clinician", "", 200, "")).Wear.Right.Causes[0].Check
	s.logs(2, "symptoms", "2026-03-28", check(string(resume)))
	stand(s, "none", "after the check")
	back(s, 3)
	stand(s, "rest", "the check taken back")
}

// An alert that is open again is headed by what opened it, with its own time and eye:
// what the practice has decided about stands below.
func TestACardThatIsOpenAgainIsHeadedByWhatOpenedIt(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "symptoms", "2026-03-27", `{"left":{"lens":"stuck-came-off","redness":"mild"},"now":"none"}`)
	a := s.live()
	s.act(a, "acknowledge", "")
	s.closeStopped(a)
	s.logs(2, "symptoms", "2026-03-28", `{"right":{},"now":"none"}`)
	card := decode[struct {
		Alerts []struct {
			Title, State, Eye string
			Episode           struct {
				Headline string
				At       time.Time
				Seen     []struct{ Eye, Answer string }
			}
		}
	}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
	if card.State != "open" || card.Eye != "right" || !strings.Contains(card.Title, "could not be assessed") || card.Episode.At.Format("2 Jan") != "28 Mar" {
		t.Errorf("%s %q, %s eye, of %v; want the report of 28 March that could not be assessed", card.State, card.Title, card.Eye, card.Episode.At)
	}
	if len(card.Episode.Seen) == 0 || card.Episode.Seen[0].Eye != "left" {
		t.Errorf("seen %+v: what was decided about stands among the signs", card.Episode.Seen)
	}
}

// One that a report opened again which could not be read is headed by that, of no eye: what
// was decided about, and its eye, say nothing of it.
func TestACardThatAnUnreadReportOpenedAgain(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.logs(1, "symptoms", "2026-03-27", `{"left":{"lens":"stuck-came-off","redness":"mild"},"now":"none"}`)
	s.closeStopped(s.live())
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-000000000002","dseq":2,"kind":"symptoms","v":1,"body":"help"}`)), 422, `"verdict":"refused"`)
	if a := s.live(); a.Level != "emergency" || a.Eye != "" || !strings.HasPrefix(a.Title, "A symptom report could not be read here: phone the family now") {
		t.Errorf("%s %q %s; want an emergency headed by the report that could not be read, of no eye", a.Level, a.Title, a.Eye)
	}
}

// So is one that the log of the nights opened again: by a stuck lens, one that went in
// under the stop, an eye that was too sore to wear. A check that was done since is said so.
func TestACardThatTheLogOpenedAgainIsHeadedByTheLog(t *testing.T) {
	t.Parallel()
	const eye = `{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no","lid":"no","pupil":"no"}`
	for name, c := range map[string]struct{ kind, body, title string }{
		"a lens that will not move": {"morning", `{"moved":"stuck"}`, "Lens still bound, or not found"},
		"a lens in under the stop":  {"insertion", `{"at":"21:00","eyes":"right"}`, "A lens went in although"},
		"an eye too sore to wear":   {"not-worn", `{"reason":"sore-eye","eyes":"right"}`, "A sore eye, or an eye check that was begun, and no report"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.logs(1, "symptoms", "2026-03-27", `{"left":{"lens":"stuck-came-off","redness":"mild"},"now":"none"}`)
			a := s.live()
			s.act(a, "acknowledge", "")
			s.closeStopped(a)
			s.logs(2, c.kind, "2026-03-28", c.body)
			card := func() (out struct {
				Title, State, Level string
				Episode             struct{ At time.Time }
			}) {
				t.Helper()
				raw := s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")
				for _, out = range decode[struct {
					Alerts []struct {
						Title, State, Level string
						Episode             struct{ At time.Time }
					}
				}](t, raw).Alerts {
					if out.State != "closed" {
						break
					}
				}
				return out
			}
			if c.kind == "not-worn" && (card().Level != "routine" || len(s.queue()) != 2) {
				t.Errorf("a rest after a decided red flag is %+v of %d alerts, want a routine one of its own", card(), len(s.queue()))
			}
			if got := card(); got.State != "open" || !strings.HasPrefix(got.Title, c.title) || got.Episode.At.Format("2 Jan") != "28 Mar" {
				t.Errorf("%s %q of %v, want %q of 28 March", got.State, got.Title, got.Episode.At, c.title)
			}
			s.logs(3, "symptoms", "2026-03-28", `{"right":`+eye+`,"left":`+eye+`,"ill":"no","now":"none","water":"no"}`)
			switch got := card(); {
			case c.kind != "not-worn" && !strings.HasPrefix(got.Title, c.title):
				t.Errorf("after a later report: %q", got.Title)
			case c.kind == "not-worn" && strings.Contains(got.Title, "no report of it has come"):
				t.Errorf("a check was done since, and the card says %q", got.Title)
			}
		})
	}
}

// An alert that is open again shows what the family was told last about wear, by whatever
// door: here a release written outside any alert, after the closing that stopped wear. A
// word that was withdrawn is no longer told, and of before the alert only the decision is.
func TestTheCardSaysWhatThePracticeToldLast(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const path = "/api/clinic/wearers/w1/say"
	type told struct {
		ID, Kind string
		ByName   string `json:"by_name"`
		Body     struct{ Text, Eyes string }
	}
	said := func() (kinds []string, list []told) {
		t.Helper()
		card := decode[struct{ Alerts []struct{ Said []told } }](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
		for _, e := range card.Said {
			kinds = append(kinds, e.Kind+" "+e.Body.Text+e.Body.Eyes)
		}
		return kinds, card.Said
	}
	s.says("POST", path, "clinician", say(nil, `{"kind":"word","body":{"text":"Before it all."}}`), 200, "")
	*s.now = s.now.Add(time.Hour)
	id := s.report(1)
	if kinds, _ := said(); len(kinds) != 0 {
		t.Fatalf("before anything was decided: %q", kinds)
	}
	a := s.live()
	s.act(a, "acknowledge", "")
	s.closeStopped(a)
	*s.now = s.now.Add(time.Minute)
	resume := fmt.Sprintf(`{"kind":"resume","body":{"eyes":"both","answers":["%s"],"from":"2026-03-28","basis":"examined"}}`, strings.Join(s.wear("clinician").Causes, `","`))
	s.says("POST", path, "clinician", say(s.wear("clinician").Causes, resume), 200, "")
	s.report(2) // of another phone, late
	want := []string{"resume both", "cease both"}
	kinds, list := said()
	if !slices.Equal(kinds, want) || list[0].ByName == "" {
		t.Errorf("after %s: the card has %q, want %q, newest first, with a name", id, kinds, want)
	}
	s.says("POST", path, "clinician", say(nil, `{"kind":"word","body":{"text":"Come at nine."}}`), 200, "")
	if kinds, list = said(); !slices.Equal(kinds, append([]string{"word Come at nine."}, want...)) {
		t.Errorf("with a word: %q", kinds)
	}
	s.says("POST", path, "clinician", say(nil, `{"kind":"word","body":{"text":"That was for somebody else.","withdraws":"`+list[0].ID+`"}}`), 200, "")
	if kinds, _ = said(); !slices.Equal(kinds, want) {
		t.Errorf("with the word withdrawn: %q", kinds)
	}
}

// Decided about on the telephone and examined by nobody, a chemical of the same evening
// still waits: of a later check with open answers the card says what the phone says (the
// story is TestOpenAnswersAfterAnUnexaminedEmergencyPhoneNow), to phone now. Once the eye
// was examined it is to phone today, as for any check with open answers.
func TestTheCardSaysPhoneNowWhileAnEmergencyIsUnexamined(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	told := func() string { return strings.Join(s.toldSteps(), " ") }
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", `{"now":"chemical"}`), 200, `"accepted"`)
	a := s.live()
	s.act(a, "acknowledge", "")
	s.closeStopped(a)
	*s.now = s.now.Add(time.Minute)
	open := func(n int) {
		t.Helper()
		e := entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":"symptoms","wall":%q,"body":{"right":{"pain":"none"},"left":{"pain":"none"}}}`, n, n, s.now.UTC().Format("2006-01-02T15:04:05")))
		s.says("POST", "/api/sync", "family", syncBody(e), 200, `"accepted"`)
	}
	open(2)
	if got := told(); !strings.HasPrefix(got, outOrStay+" Phone now.") || strings.Contains(strings.ToLower(got), "phone today") || strings.Contains(got, "within 24 hours") {
		t.Errorf("while nobody has examined it the card says %q", got)
	}
	*s.now = s.now.Add(time.Minute)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(s.wear("clinician").Causes, `{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}}`), 200, "")
	if got := told(); !strings.Contains(got, "Phone now.") {
		t.Errorf("what was told before it was examined is now %q", got)
	}
	*s.now = s.now.Add(time.Minute)
	open(3)
	if got := told(); !strings.Contains(got, "phone today") || strings.Contains(got, "Phone now") {
		t.Errorf("of a check after the examination the card says %q", got)
	}
}

// Days after an emergency that was decided about on the telephone and released "after a
// check", a check with open answers is an emergency on the phone, and so for the clinic: a
// report has one level. A harmless check after it changes nothing of what was told.
func TestOpenAnswersHaveOneLevel(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", `{"now":"chemical"}`), 200, `"accepted"`)
	a := s.live()
	s.act(a, "acknowledge", "")
	s.act(a, "call", `{"result":"reached"}`)
	causes, _ := json.Marshal(s.wear("clinician").Causes)
	s.act(a, "close", `{"outcome":"spoken-to","note":"x","decision":"resume","causes":`+string(causes)+
		`,"entries":[{"kind":"resume","body":{"eyes":"both","answers":`+string(causes)+`,"from":"2026-03-28","basis":"by-telephone","check":true}}]}`)
	release := s.wear("clinician").Entries[0].ID
	*s.now = s.now.AddDate(0, 0, 3)
	report := func(n int, body string) {
		t.Helper()
		e := entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":"symptoms","night":"2026-03-31","wall":%q,"body":%s}`, n, n, s.now.UTC().Format("2006-01-02T15:04:05"), body))
		s.says("POST", "/api/sync", "family", syncBody(e), 200, `"accepted"`)
	}
	report(2, `{"right":{"pain":"none"},"left":{"pain":"none"}}`)
	if b := s.live(); b.Level != "emergency" {
		t.Errorf("the clinic's alert is %s: %s; the phone says emergency", b.Level, b.Title)
	}
	told := strings.Join(s.toldSteps(), " ")
	if !strings.HasPrefix(told, outOrStay+" Phone now.") {
		t.Errorf("the card says that the family was told %q", told)
	}
	*s.now = s.now.Add(time.Minute)
	const eye = `{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no","lid":"no","pupil":"no"}`
	report(3, `{"right":`+eye+`,"left":`+eye+`,"ill":"no","now":"none","water":"no","ends":["`+release+`"]}`)
	all := decode[struct {
		Alerts []struct {
			Episode struct{ Told []struct{ Steps []string } }
		}
	}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].Episode.Told
	if got := strings.Join(all[len(all)-1].Steps, " "); got != told {
		t.Errorf("after a harmless check the first report was told %q, before it %q", got, told)
	}
}

// What a phone said of the lens is not worked out anew from what is logged afterwards, or
// elsewhere (trial: "Leave the lenses out", then "Lenses out now", of one report that had
// said nothing of it). Where the report says itself that the lenses are out, the phone said that
// they stay out.
func TestWhatWasToldOfTheLensDoesNotChange(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	told := func() string { return s.toldSteps()[0] }
	s.report(1)
	if got := told(); got != outOrStay {
		t.Errorf("of a report that says nothing of the lens: %q", got)
	}
	s.logs(2, "removal", "2026-03-27", `{"at":"21:45","eyes":"both"}`)
	if got := told(); got != outOrStay {
		t.Errorf("once a removal is logged: %q", got)
	}
	s.logs(3, "insertion", "2026-03-27", `{"at":"21:50","eyes":"both"}`)
	if got := told(); got != outOrStay {
		t.Errorf("once lenses are logged as in: %q", got)
	}
	*s.now = s.now.Add(time.Minute)
	s.says("POST", "/api/sync", "family", batch(4, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"persists","lens":"out"},"left":{"lens":"out"}}`), 200, `"accepted"`)
	if got := told(); got != "Leave the lenses out." {
		t.Errorf("of a report that says that they are out: %q", got)
	}
}

// A finding about the log that the practice has decided about heads no phone, so the card
// does not say that a later check was told it (ofLog in pwa/app/views/wear.js; trial: "be
// seen within 24 hours" where the phone said to phone now).
func TestADecidedLogIsNotWhatALaterCheckWasTold(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", `{"right":{"redness":"mild"}}`), 200, `"accepted"`)
	s.logs(2, "morning", "2026-03-27", `{"comfort":1,"redness":1}`)
	a := s.live()
	s.act(a, "acknowledge", "")
	s.closeStopped(a)
	*s.now = s.now.Add(time.Minute)
	s.says("POST", "/api/sync", "family", batch(3, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":"none"},"left":{"pain":"none"}}`), 200, `"accepted"`)
	card := decode[struct {
		Alerts []struct {
			Episode struct{ Told []struct{ Steps []string } }
		}
	}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0]
	if got := strings.Join(card.Episode.Told[0].Steps, " "); strings.Contains(got, "this morning") {
		t.Errorf("after the decision the card says that the family was told %q", got)
	}
}

// Whoever phones from the card reaches first, of the parents, the one who wrote.
func TestTheCardsFirstNumberIsOfWhoeverWrote(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.put(t, func(tx *store.Tx) error {
		for _, p := range []care.Person{{ID: "a0", Name: "Ann", Role: care.Parent, Phone: "+351 210 000 001"}, {ID: "t1", Name: "Tea", Role: care.Teen, Phone: "+351 210 000 002"}} {
			p.Family = "f1"
			if err := tx.Register().AddPerson(p); err != nil {
				return err
			}
		}
		return nil
	})
	first := func() string {
		t.Helper()
		return decode[struct {
			Alerts []struct{ Contact []struct{ Name string } }
		}](t, s.says("GET", "/api/clinic/alerts", "clinician", "", 200, "")).Alerts[0].Contact[0].Name
	}
	s.logs(1, "symptoms", "2026-03-27", `{"right":{"redness":"mild"},"now":"none"}`)
	people := decode[struct{ People []struct{ ID, Name string } }](t, s.says("GET", "/api/family", "family", "", 200, "")).People
	wrote := ""
	for _, p := range people {
		if p.ID == "p1" {
			wrote = p.Name
		}
	}
	if got := first(); wrote == "" || got != wrote {
		t.Errorf("the first number is of %s, want %s, who wrote", got, wrote)
	}
}
