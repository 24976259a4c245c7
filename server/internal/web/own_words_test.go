package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// asked is the answer to own words that nobody has read beside what the phones show.
type asked struct {
	Error struct {
		Code    string
		Reading care.Reading
	}
}

// reading returns what the family would read, by a request that is refused until its
// author has read it.
func (s *site) reading(path, body string) care.Reading {
	s.t.Helper()
	return decode[asked](s.t, s.says("POST", path, "clinician", body, 409, "own-words")).Error.Reading
}

// withYes is a request of an author who has read r.
func withYes(body string, r care.Reading) string {
	return strings.Replace(body, "{", `{"yes":"`+r.Yes+`",`, 1)
}

// readBoth is the request of an author who has read both.
func (s *site) readBoth(path, body string) string {
	s.t.Helper()
	return withYes(body, s.reading(path, body))
}

// What a person of the practice writes to a family in own words, by whatever door, is
// shown to its author beside what the phones say of each eye, while an eye is held back
// or a decision goes with it; it is sent once the author has read just that.
func TestOwnWordsAreReadBesideWhatThePhonesSay(t *testing.T) {
	t.Parallel()
	tonight := civil.NightOf(simNow, simNow.Location())
	evening := civil.DateOf(simNow)
	const at = "/api/clinic/wearers/w1/"
	word := func(text string) string { return `{"kind":"word","body":{"text":"` + text + `"}}` }
	cease := func(eyes string) string {
		return `{"kind":"cease","body":{"eyes":"` + eyes + `","reason":"examination","review_by":"` + tonight.AddDays(7).String() + `"}}`
	}
	for name, c := range map[string]struct {
		first, door string
		body        func(causes []string) string
		want        [2]care.EyeReading // right, left
		words       string
	}{
		"Write, under a stop of one eye": {
			cease("left"), at + "say", func([]string) string { return say(nil, word("Lenses again tonight.")) },
			[2]care.EyeReading{{State: care.None}, {State: care.Stop}}, "Lenses again tonight.",
		},
		"Write, beside a phrase of the list": {
			cease("left"), at + "say", func([]string) string {
				return say(nil, `{"kind":"word","body":{"text":"Both lenses can go back in this evening.","phrase":"call-us"}}`)
			},
			[2]care.EyeReading{{State: care.None}, {State: care.Stop}}, "Both lenses can go back in this evening.",
		},
		"a release, and words against it": {
			cease("both"), at + "say", func(causes []string) string {
				return say(causes, fmt.Sprintf(`{"kind":"resume","body":{"eyes":"both","answers":["%s"],"from":%q,"basis":"examined"}},%s`, causes[0], evening, word("Please leave them out till Monday.")))
			},
			[2]care.EyeReading{{State: care.None, From: evening}, {State: care.None, From: evening}}, "Please leave them out till Monday.",
		},
		"a release of one eye, from a later night, after a check": {
			cease("both"), at + "say", func(causes []string) string {
				return say(causes, fmt.Sprintf(`{"kind":"resume","body":{"eyes":"right","answers":["%s"],"from":%q,"basis":"examined","check":true,"new_case":true}},%s`, causes[0], evening.AddDays(3), word("Tonight is fine too.")))
			},
			[2]care.EyeReading{{State: care.Stop, Until: evening.AddDays(3), Check: true, From: evening.AddDays(3)}, {State: care.Stop}}, "Tonight is fine too.",
		},
		"a stop, and words against it": {
			"", at + "say", func([]string) string { return say(nil, cease("right")+","+word("Right lens as usual.")) },
			[2]care.EyeReading{{State: care.Stop}, {State: care.None}}, "Right lens as usual.",
		},
		"the end of wear": {
			"", at + "end", func([]string) string {
				return fmt.Sprintf(`{"stopped":%q,"reason":"comfort","words":"You may put the lenses in again tonight.","base":1}`, evening)
			},
			[2]care.EyeReading{{State: care.Stop}, {State: care.Stop}}, "You may put the lenses in again tonight.",
		},
		"the end of wear, still to come": {
			"", at + "end", func([]string) string {
				return fmt.Sprintf(`{"stopped":%q,"reason":"comfort","words":"Six more nights.","base":1}`, evening.AddDays(6))
			},
			[2]care.EyeReading{{State: care.None, Begins: evening.AddDays(6)}, {State: care.None, Begins: evening.AddDays(6)}}, "Six more nights.",
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := planned(t)
			if c.first != "" {
				s.says("POST", at+"say", "clinician", say(nil, c.first), 200, "")
			}
			body := c.body(s.wear("clinician").Causes)
			before := s.says("GET", at+"wear", "clinician", "", 200, "")
			got := s.reading(c.door, body)
			if got.Right != c.want[0] || got.Left != c.want[1] || len(got.Words) != 1 || got.Words[0] != c.words {
				t.Errorf("the author reads %+v; want %+v and %q", got, c.want, c.words)
			}
			if after := s.says("GET", at+"wear", "clinician", "", 200, ""); after != before {
				t.Error("what was only asked about left something behind")
			}
			other := strings.Replace(body, c.words, c.words+" Or not.", 1)
			s.says("POST", c.door, "clinician", withYes(other, got), 409, "own-words") // the yes is to these words
			s.says("POST", c.door, "clinician", withYes(body, got), 200, "")
			s.says("GET", at+"wear", "clinician", "", 200, c.words)
		})
	}
}

// A yes is to where the eyes stood when it was given: after a stop that somebody wrote
// meanwhile the author is asked again.
func TestAYesToOwnWordsEndsWithWhatItSaw(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const path = "/api/clinic/wearers/w1/say"
	stop := func(eye string) string {
		return say(nil, `{"kind":"cease","body":{"eyes":"`+eye+`","reason":"examination","review_by":"2026-04-02"}}`)
	}
	s.says("POST", path, "clinician", stop("left"), 200, "")
	words := say(nil, `{"kind":"word","body":{"text":"Right lens as usual."}}`)
	shown := s.reading(path, words)
	s.says("POST", path, "clinician", stop("right"), 200, "")
	s.says("POST", path, "clinician", withYes(words, shown), 409, "own-words")
}

// Where no eye is held back and nothing is decided, for a phrase of the list, and for
// words that can have nothing to do with wear, nobody is asked: what is asked each time is
// answered unread.
func TestOwnWordsUnderNoStopAreNotAskedAbout(t *testing.T) {
	t.Parallel()
	s := planned(t)
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "desk", say(nil, `{"kind":"word","body":{"text":"The case has come."}}`), 200, "")
	s.says("POST", path, "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"lens","review_by":"2026-04-02"}},`+
		`{"kind":"word","body":{"text":"The lens was changed.","phrase":"lens-changed"}}`), 200, "")
	s.says("POST", path, "clinician", say(nil, `{"kind":"word","body":{"text":"See you Monday at ten."}}`), 200, "")
	s.says("POST", path, "clinician", say(nil, `{"kind":"word","body":{"text":"See you Monday at ten. Tonight is fine."}}`), 409, "own-words")
}

// A plan says to its author that an eye is stopped, and its remark is read beside that.
func TestAPlanForAStoppedEye(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"left","reason":"examination","review_by":"2026-04-02"}}`), 200, "")
	const path = "/api/clinic/wearers/w1/plan"
	doc := decode[struct {
		Plans []map[string]any
		Wear  care.Wear
	}](t, s.says("GET", path, "clinician", "", 200, ""))
	if doc.Wear.Left.State != care.Stop || doc.Wear.Right.State != care.None {
		t.Errorf("the page of the plan has %+v", doc.Wear)
	}
	plan := func(eyes, more string) string {
		p := doc.Plans[0]
		p["eyes"], p["from"], p["base"] = eyes, civil.DateOf(simNow).String(), 1
		raw, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Replace(string(raw), "{", "{"+more, 1)
	}
	for _, eyes := range []string{"left", "both"} {
		s.says("POST", path, "clinician", plan(eyes, ""), 409, "The left eye is stopped, and this plan does not lift that")
	}
	s.says("POST", path, "clinician", plan("left", `"sure":true,"remark":"Left lens again from tonight.",`), 409, `"field":"","reading"`)
	if n := len(decode[struct{ Plans []any }](t, s.says("GET", path, "clinician", "", 200, "")).Plans); n != 1 {
		t.Errorf("what was only asked about left %d versions", n)
	}
	s.says("POST", path, "clinician", plan("left", `"sure":true,`), 200, "")
	s.says("POST", path, "clinician", strings.Replace(plan("right", ""), `"base":1`, `"base":2`, 1), 200, "") // the eye that is not stopped alone
}

// A release of an eye that the plan leaves out says so to its author.
func TestAReleaseOfAnEyeThePlanLeavesOut(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.put(t, func(tx *store.Tx) error {
		p := careplan.DefaultPlan(civil.MustDate("2025-12-01"), "Europe/Lisbon")
		p.Eyes = "left"
		raw, err := json.Marshal(review.PlanFacts{Plan: p})
		if err != nil {
			return err
		}
		_, err = tx.Chart().PutPlan("w1", "c1", raw)
		return err
	})
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}}`), 200, "")
	causes := s.wear("clinician").Causes
	again := func(eyes string) string {
		return say(causes, fmt.Sprintf(`{"kind":"resume","body":{"eyes":%q,"answers":["%s"],"from":%q,"basis":"examined","new_case":true}}`, eyes, causes[0], civil.DateOf(simNow)))
	}
	s.says("POST", path, "clinician", again("both"), 409, "The plan is for the left eye alone")
	s.says("POST", path, "clinician", again("left"), 200, "")
}

// The phrases that the server knows are those that a clinician can choose.
func TestPhrasesOfTheList(t *testing.T) {
	t.Parallel()
	src, err := os.ReadFile("../../../pwa/ui/phrases.js")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^  '?([\w-]+)'?:\s+'([^']+)'`).FindAllStringSubmatch(string(src), -1)
	if len(found) != 8 {
		t.Fatalf("%d phrases in the file, want 8", len(found))
	}
	s := planned(t)
	const path = "/api/clinic/wearers/w1/say"
	s.says("POST", path, "clinician", say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"lens","review_by":"2026-04-02"}}`), 200, "")
	for _, p := range found {
		body := say(nil, fmt.Sprintf(`{"kind":"word","body":{"text":%q,"phrase":%q}}`, p[2], p[1]))
		s.says("POST", path, "clinician", strings.Replace(body, "{", `{"sure":true,`, 1), 200, "")
	}
}
