package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"nightkeep/alerts"
	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// fireFile are the scenarios that the phone's test plays too.
type fireFile struct {
	Record   map[string]fireScene
	Reports  map[string]json.RawMessage
	Farthest struct {
		fireScene
		Rule     string
		Settings map[string]int
	}
	Settings map[string]struct {
		Rule    string
		Yes, No int
	}
}

type fireScene struct {
	Plan json.RawMessage
	Log  [][3]json.RawMessage
}

var agoWord = regexp.MustCompile(`"@(\d+)"`)

func readFire(t *testing.T) (f fireFile) {
	t.Helper()
	raw, err := os.ReadFile("../../../testdata/care/fire.json")
	if err != nil {
		t.Fatal(err)
	}
	tonight := civil.MustDate("2026-03-28")
	raw = agoWord.ReplaceAllFunc(raw, func(m []byte) []byte {
		n, _ := strconv.Atoi(string(agoWord.FindSubmatch(m)[1]))
		return []byte(`"` + tonight.AddDays(-n).String() + `"`)
	})
	if err := json.Unmarshal(raw, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func rulesAbout(what string) (ids []string) {
	for _, r := range alerts.Default().Rules {
		if r.About == what {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// play lets a family write a scene, through sync, under its plan.
func play(t *testing.T, scene fireScene) *site {
	t.Helper()
	s := newSite(t)
	s.put(t, func(tx *store.Tx) error {
		if err := tx.Register().PutPractice(care.Practice{Name: "Harbour Lane", Zone: "Europe/Lisbon"}); err != nil {
			return err
		}
		p := review.PlanFacts{Plan: careplan.DefaultPlan(civil.MustDate("2026-01-01"), "Europe/Lisbon")}
		p.Recalls, p.LensMonths = nil, 0
		if scene.Plan != nil {
			if err := json.Unmarshal(scene.Plan, &p); err != nil {
				return err
			}
		}
		raw, err := json.Marshal(p)
		if err != nil {
			return err
		}
		_, err = tx.Chart().PutPlan("w1", "c1", raw)
		return err
	})
	return s.write(scene)
}

// write sends a scene's log.
func (s *site) write(scene fireScene) *site {
	s.t.Helper()
	for i, part := range slices.Collect(slices.Chunk(scene.Log, 40)) {
		var list []string
		for j, e := range part {
			ago, err := strconv.Atoi(string(e[1]))
			if err != nil {
				s.t.Fatal(err)
			}
			night := civil.MustDate("2026-03-28").AddDays(-ago).String()
			n := 40*i + j + 1
			var kind care.EntryKind
			if err := json.Unmarshal(e[0], &kind); err != nil {
				s.t.Fatal(err)
			}
			list = append(list, entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"hlc":"1774734%06d-0000",`+
				`"v":%d,"kind":%q,"night":%q,"wall":"%sT21:00:00","body":%s}`, n, n, n, max(1, care.Since(kind)), kind, night, night, e[2])))
		}
		if raw := s.says("POST", "/api/sync", "family", syncBody(list...), 200, `"accepted"`); strings.Contains(raw, `"refused"`) {
			s.t.Fatal(raw)
		}
	}
	return s
}

// told is everything that the practice is shown of a wearer.
type told struct {
	alerts, today, points, standing []string
}

func (s *site) told() (out told) {
	s.t.Helper()
	out.alerts = s.rulesOfAlerts()
	today := decode[todayPage](s.t, s.says("GET", "/api/clinic/today", "desk", "", 200, ""))
	for _, c := range today.Calls.Calls {
		for _, r := range c.Reasons {
			if c.Wearer == "w1" {
				out.today = append(out.today, r.Rule)
			}
		}
	}
	page := decode[struct{ Points, Rules []struct{ Rule string } }](s.t,
		s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, ""))
	for _, p := range page.Points {
		out.points = append(out.points, p.Rule)
	}
	for _, r := range page.Rules {
		out.standing = append(out.standing, r.Rule)
	}
	return out
}

// rulesOfAlerts are the rules that the wearer's alerts know of.
func (s *site) rulesOfAlerts() (rules []string) {
	s.t.Helper()
	s.put(s.t, func(tx *store.Tx) error {
		list, err := tx.Duty().WearerAlerts("w1")
		for _, a := range list {
			rules = append(rules, a.Rule)
			for _, x := range a.Signs {
				rule, _, _ := strings.Cut(x, " ")
				rules = append(rules, rule)
			}
		}
		return err
	})
	return rules
}

type todayPage struct {
	Calls struct {
		Calls []struct {
			Wearer  string
			Reasons []struct{ Rule string }
		}
	}
}

// reasonFor is the reason to call that speaks for a routine rule.
func reasonFor(rule string) string {
	named := map[string]string{"tap-water": "water-contact", "water-contact": "water-contact", "missed-often": "slipping", "silence": "silent",
		"recall-overdue": "recall-overdue", "behind-adaptation": "behind", "lens-overdue": "supply-overdue"}
	if r, ok := named[rule]; ok {
		return r
	}
	return "in-the-log"
}

// No rule about the record is dead on the server: each holds from what a family
// sends, or from time, is an alert when it is urgent, and a reason on Today when
// it is routine; and what Today says the review says too.
func TestEveryRuleAboutTheRecordFires(t *testing.T) {
	t.Parallel()
	file := readFire(t)
	for _, id := range rulesAbout("record") {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			scene, ok := file.Record[id]
			if !ok {
				t.Fatal("no scenario reaches this rule")
			}
			got := play(t, scene).told()
			if !slices.Contains(got.standing, id) {
				t.Errorf("the review does not list it: %+v", got)
			}
			switch level := alerts.Default().Rule(id).Level; {
			case level >= alerts.Urgent && !slices.Contains(got.alerts, id):
				t.Errorf("no alert: %+v", got)
			case level == alerts.Routine && !slices.Contains(got.today, reasonFor(id)):
				t.Errorf("Today lacks %s: %+v", reasonFor(id), got)
			}
			for _, r := range got.today {
				if r != "in-the-log" && !slices.Contains(got.points, r) {
					t.Errorf("Today says %s, the review's points do not: %v", r, got.points)
				}
			}
		})
	}
}

// Each rule about symptoms is told by an alert, or, below that, is in what the
// report came to.
func TestEveryRuleAboutSymptomsFires(t *testing.T) {
	t.Parallel()
	file := readFire(t)
	for _, id := range rulesAbout("symptoms") {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			body, ok := file.Reports[id]
			if !ok {
				t.Fatal("no report reaches this rule")
			}
			s := newSite(t)
			s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", string(body)), 200, `"accepted"`)
			signs := s.rulesOfAlerts()
			note := alerts.Default().Rule(id).Level < alerts.Routine
			if note == slices.Contains(signs, id) {
				t.Errorf("alerts name %v", signs)
			}
		})
	}
}

// Every setting moves what it names on Today, in the review and in the alerts
// alike; that it moves the phone is held by rules-fire.test.js.
func TestEverySettingMovesWhatThePracticeSees(t *testing.T) {
	t.Parallel()
	file := readFire(t)
	for _, def := range alerts.Default().Settings {
		t.Run(string(def.Name), func(t *testing.T) {
			t.Parallel()
			c, ok := file.Settings[string(def.Name)]
			if !ok {
				t.Fatal("no scenario moves this setting")
			}
			for value, want := range map[int]bool{c.Yes: true, c.No: false} {
				s := play(t, fireScene{Plan: file.Record[c.Rule].Plan})
				s.put(t, func(tx *store.Tx) error {
					return tx.Register().SetSetting("rule_settings", map[string]int{string(def.Name): value})
				})
				got := s.write(file.Record[c.Rule]).told()
				level := alerts.Default().Rule(c.Rule).Level
				if slices.Contains(got.standing, c.Rule) != want ||
					level >= alerts.Urgent && slices.Contains(got.alerts, c.Rule) != want ||
					level == alerts.Routine && slices.Contains(got.today, reasonFor(c.Rule)) != want ||
					level <= alerts.Routine && slices.ContainsFunc(got.points, func(p string) bool { return p == c.Rule || p == reasonFor(c.Rule) }) != want {
					t.Errorf("at %d, want %v: %+v", value, want, got)
				}
			}
		})
	}
}

// The nights that rules look at cover the longest watch after water that a practice may
// set, counted from a sign of the oldest night that still counts.
func TestTheLongestWatchAfterWaterIsLookedAt(t *testing.T) {
	t.Parallel()
	far := readFire(t).Farthest
	for days, want := range map[int]bool{far.Settings["water_watch_days"]: true, far.Settings["water_watch_days"] - 1: false} {
		s := play(t, fireScene{Plan: far.Plan})
		s.put(t, func(tx *store.Tx) error {
			return tx.Register().SetSetting("rule_settings", map[string]int{"water_watch_days": days})
		})
		if got := s.write(far.fireScene).told(); slices.Contains(got.standing, far.Rule) != want || slices.Contains(got.alerts, far.Rule) != want {
			t.Errorf("watched for %d days, want %v: %+v", days, want, got)
		}
	}
}

// A full all-clear sent by an app that did not ask about lids, pupils and water
// yet rings nobody; the same with one of its own questions left out rings, and so
// does one that names the table of today. The answers are those of table 1.
func TestAnAllClearOfAnOlderAppRingsNobody(t *testing.T) {
	t.Parallel()
	const eye = `{"pain":"none","redness":"none","light":"no","sight":"same","discharge":"none","spot":"no","gritty":"no","lens":"out","injury":"no"}`
	less := strings.Replace(eye, `"pain":"none",`, "", 1)
	for body, rings := range map[string]bool{
		`{"right":` + eye + `,"left":` + eye + `,"ill":"no"}`:                                  false,
		`{"right":` + eye + `,"ill":"no"}`:                                                     false,
		`{"right":` + less + `,"left":` + eye + `,"ill":"no"}`:                                 true,
		`{"right":` + eye + `,"left":` + eye + `,"ill":"no","now":"none"}`:                     true,
		`{"right":` + eye + `,"left":` + eye + `,"ill":"no","told":{"table":4}}`:               true,
		strings.Replace(`{"right":`+eye+`,"ill":"no"}`, `redness":"none`, `redness":"mild`, 1): true,
	} {
		s := newSite(t)
		s.says("POST", "/api/sync", "family", batch(1, 1, "w1", "d1", "p1", "symptoms", body), 200, `"accepted"`)
		s.put(t, func(tx *store.Tx) error {
			list, err := tx.Duty().WearerAlerts("w1")
			if len(list) > 0 != rings {
				t.Errorf("%s: %d alerts, want any: %v", body, len(list), rings)
			}
			return err
		})
	}
}
