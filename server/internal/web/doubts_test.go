package web_test

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// The site's clock stands at 28 March 2026, a Saturday.
func TestDatesThatCannotBe(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"2016-02-01"}`, 200, "2016-02-01")
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"2026-04-01"}`, 422, "in the future")
	s.says("PUT", "/api/clinic/wearers/w1", "desk", `{"name":"Ida","code":"W-1","birth":"1890-04-01"}`, 422, "120 years")
	const visits = "/api/clinic/wearers/w1/visits"
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-04-03","state":"kept"}`, 422, "not kept")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-04-03","state":"missed"}`, 422, "not missed")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2015-04-03","state":"kept"}`, 422, "before the date of birth")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"axial_mm":239}}`, 422, "right eye, axial length: 239 mm is not possible; want 14 to 40 mm")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"measures":{"shoe_size":3}}}`, 422, "shoe_size")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","right":{"measures":{"pupil":4.5},"words":{"centration":"central"}}}`, 200, `"pupil":4.5`)
	// nothing written down, the same kind twice in a day, flat and steep swapped: asked
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-26","state":"kept"}`, 409, "Nothing is written down of this visit")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","note":"again"}`, 409, "kept on 2026-03-27 already")
	s.says("POST", visits, "clinician", `{"kind":"one-week","date":"2026-03-26","state":"kept","left":{"unaided":0.18,"best_corrected":0.3}}`, 409, "acuity of the left eye is worse than unaided")
	s.says("POST", visits, "clinician", `{"kind":"one-week","date":"2026-03-26","state":"kept","right":{"measures":{"keratometry_flat":46.88,"keratometry_steep":40.66}}}`, 409, "Are they swapped?")
	s.says("POST", visits, "clinician", `{"kind":"one-week","date":"2026-03-26","state":"kept","right":{"measures":{"keratometry_flat":40.66,"keratometry_steep":46.88}}}`, 200, "")
	// only a sphere was measured: no cylinder and no axis are made of it; a half grade is one
	s.says("POST", visits, "clinician", `{"kind":"unscheduled","date":"2026-03-27","state":"kept","left":{"residual":{"sphere":-0.25},"grades":{"bulbar_redness":1.5}}}`, 200,
		`"left":{"residual":{"sphere":-0.25},"grades":{"bulbar_redness":1.5}}`)
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","left":{"residual":{"sphere":-0.25,"cylinder":-0.5}}}`, 422, "no-axis")
	s.says("POST", visits, "clinician", `{"kind":"recall","date":"2026-03-27","state":"kept","left":{"residual":{"sphere":-0.25,"axis":10}}}`, 422, "no-cylinder")
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", `{"version":1,"zone":"Europe/Lisbon"}`, 422, "first night in lenses")
}

// A serious finding in an eye is stored once it is said what becomes of its lens; of an
// eye with a stop that holds, and of a visit that a newer one follows, nothing is asked.
// Nothing is decided by the program: no choice here writes a stop.
func TestASeriousFindingAsksAboutWear(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	found := func(id, wear string) string {
		return `{"id":"` + id + `","kind":"recall","date":"2026-03-27","state":"kept","left":{"grades":{"infiltrates":3},"staining":{"central":4}` + wear + `}}`
	}
	s.says("POST", at, "clinician", found("v", ""), 422, `"field":"left.wear"`)
	s.says("POST", at, "clinician", found("v", ""), 422, "left eye: infiltrates 3, staining central 4. Choose whether its lens stays out")
	s.says("POST", at, "clinician", found("v", `,"wear":"perhaps"`), 422, `"field":"left.wear"`)
	s.says("POST", at, "clinician", found("v", `,"wear":"stop"`), 200, `"wear":"stop"`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"evidence":"left eye, 2026-03-27: infiltrates 3, staining central 4; stop decided"`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `{"eye":"left","state":"none"`)
	s.says("POST", at, "clinician", `{"kind":"recall","date":"2026-03-26","state":"kept","scale":"Efron grading scales, 0 to 4","right":{"staining":{"nasal":5}}}`, 422, "want no more than 4: the scale that is named ends there")
	s.says("POST", at, "clinician", `{"id":"old","kind":"recall","date":"2026-02-27","state":"kept","right":{"measures":{"pressure":38}}}`, 200, "")
}

// What is possible and unlikely is asked once, and taken when it is said to be
// right.
func TestUnlikelyAppointmentsAreAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	s.says("POST", at, "desk", `{"id":"old","kind":"recall","date":"2026-03-20","state":"booked"}`, 409, "in the past")
	s.says("POST", at, "desk", `{"id":"old","kind":"recall","date":"2026-03-20","state":"booked","sure":true}`, 200, "2026-03-20")
	s.says("POST", at, "desk", `{"id":"far","kind":"recall","date":"2027-06-02","state":"booked"}`, 409, "more than 13 months away") // 14 months from simNow: common practice recalls within a year
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:00","state":"booked"}`, 200, "booked")
	s.says("POST", at, "desk", `{"id":"b","kind":"recall","date":"2026-04-02","time":"15:00","state":"booked"}`, 409, "already has a visit booked")
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:30","state":"booked","rev":1}`, 422, `"field":"why"`)
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:30","state":"booked","rev":1,"why":"on a whim"}`, 422, `"field":"why"`)
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:30","state":"booked","rev":1,"why":"ill"}`, 200, `"moves":[{"date":"2026-04-02","time":"10:00","why":"ill","by":`)
	s.says("POST", at, "desk", `{"id":"a","kind":"recall","date":"2026-04-02","time":"10:30","state":"booked","rev":2}`, 200, `"why":"ill"`) // no move: what was stays
}

// A visit takes 30 minutes, and a morning of 9 to 12 holds two: 10:00 meets 09:31
// and not 09:30 or 10:30; the third of the morning is asked about, one in the
// afternoon is not. 2 April 2026 is a Thursday.
func TestAFullSessionIsAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.placed("")
	s.update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		p.VisitMinutes, p.PerSession = 30, 2
		p.Contacts.Hours = []care.Hours{{Weekday: 4, From: civil.MustClock("09:00"), To: civil.MustClock("12:00")}, {Weekday: 4, From: civil.MustClock("13:00"), To: civil.MustClock("17:00")}}
		for _, w := range []care.WearerID{"x1", "x2"} {
			err = errors.Join(err, tx.Register().AddWearer(care.Wearer{ID: w, Family: "f1", Name: string(w), Code: string(w)}))
		}
		return errors.Join(err, tx.Register().PutPractice(p))
	})
	rev := map[string]int{}
	book := func(wearer, time string, status int, want string) {
		t.Helper()
		s.says("POST", "/api/clinic/wearers/"+wearer+"/visits", "desk", `{"id":"v","kind":"recall","date":"2026-04-02","time":"`+time+`","state":"booked","why":"family-asked","rev":`+strconv.Itoa(rev[wearer])+`}`, status, want)
		if status == 200 {
			rev[wearer]++
		}
	}
	book("x1", "10:00", 200, "booked")
	book("w1", "09:31", 409, "Another wearer is booked on 2026-04-02 at 10:00.")
	book("w1", "10:29", 409, "Another wearer is booked on 2026-04-02 at 10:00.")
	book("w1", "09:30", 200, "booked")
	book("w1", "10:30", 200, "booked")
	book("x2", "11:00", 409, "09:00 to 12:00 on 2026-04-02 holds 2 visits, and has 2.")
	book("x2", "14:00", 200, "booked")
}

// The same name, letters and accents aside, and the same date of birth.
func TestTheSameChildTwiceIsAsked(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.placed("")
	family := func(name, code, more string) string {
		return `{"name":"Åsberg","zone":"Europe/Lisbon","wearer":{"name":"` + name + `","code":"` + code + `","birth":"2015-05-06"` + more + `},"people":[{"name":"Pat Åsberg","role":"parent","phone":"+44 20 7946 0101"}]}`
	}
	s.says("POST", "/api/clinic/families", "desk", family("Märta Åsberg", "C-1", ""), 200, "C-1")
	s.says("POST", "/api/clinic/families", "desk", family("marta asberg", "C-2", ""), 409, "already a wearer of the practice, with the code C-1")
	s.says("POST", "/api/clinic/families", "desk", family("marta asberg", "C-2", `,"sure":true`), 200, "C-2")
}

// What a visit says in free words is kept, and the desk, which sees appointments,
// neither loses nor changes it.
func TestWordsOfAVisitAreKept(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	visit := func(more string) string {
		return `{"id":"v","kind":"recall","date":"2026-04-02","time":"10:00","state":"booked"` + more + `}`
	}
	s.says("POST", at, "clinician", visit(`,"note":"anxious, needs time","cycloplegia":"cyclopentolate 1 %, two drops, 30 minutes"`), 200, "two drops")
	s.says("POST", at, "desk", visit(`,"rev":1,"note":"x"`), 200, `"note":"anxious, needs time"`)
	s.says("GET", at, "clinician", "", 200, `"cycloplegia":"cyclopentolate 1 %, two drops, 30 minutes"`)
	s.says("POST", at, "clinician", visit(`,"rev":2,"note":"`+strings.Repeat("ä", 4001)+`"`), 422, `"field":"note"`)
}

// An acuity keeps the notation it was typed in, beside logMAR; one that says something
// else is refused. By hand: 6/6 less two letters of 0.02 is 0.04, 6/9 is 0.18.
func TestAnAcuityKeepsItsNotation(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	const at = "/api/clinic/wearers/w1/visits"
	kept := func(as string) string {
		return `{"id":"a","kind":"recall","date":"2026-03-20","state":"kept","sure":true,"right":{"best_corrected":0.04,"best_corrected_as":"` + as + `"}}`
	}
	s.says("POST", at, "clinician", kept("6/9"), 422, `"field":"right.best_corrected"`)
	s.says("POST", at, "clinician", kept("6/6-2"), 200, `"best_corrected_as":"6/6-2"`)
	s.says("GET", at, "clinician", "", 200, `"best_corrected_as":"6/6-2"`)
	s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, `"right":"6/6−2 (0.04)"`)
}

// A wearer who comes with lenses worn for ten months has no visit overdue at
// go-live: the next of the series stands alone. One who started last week has
// those of the first days. The site's clock stands at 28 March 2026.
func TestATakenOverWearerBringsNoFlood(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		first string
		want  []string
	}{
		{"2025-05-10", []string{"recall 2026-06-10"}},
		{"2026-03-20", []string{"first-morning 2026-03-21", "one-week 2026-03-27", "two-week 2026-04-03", "one-month 2026-04-20", "recall 2026-07-20"}},
	} {
		s := newSite(t)
		s.update(func(tx *store.Tx) error {
			return tx.Register().AddWearer(care.Wearer{ID: "new", Family: "f1", Name: "New", Code: "N-1"})
		})
		plan, err := json.Marshal(careplan.DefaultPlan(civil.MustDate(c.first), "Europe/Lisbon"))
		if err != nil {
			t.Fatal(err)
		}
		s.says("POST", "/api/clinic/wearers/new/plan", "clinician", string(plan), 200, "")
		got := []string{}
		for _, d := range decode[struct{ Due []struct{ Kind, Due string } }](t, s.says("GET", "/api/clinic/wearers/new/visits", "desk", "", 200, "")).Due {
			got = append(got, d.Kind+" "+d.Due)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.first, diff)
		}
	}
}

// A plan may leave no more than six months between visits, and less before the one at
// three (International Myopia Institute, clinical guidelines, 2019), without a word of
// whoever writes it: by hand and by any program.
func TestVisitsFarApartAreAsked(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, recalls, want string
	}{
		{"yearly", `[{"kind":"one-month","months":1},{"kind":"recall","months":3},{"kind":"recall","every_months":12}]`, "12 months without a visit, from month 3 on"},
		{"six months after the first", `[{"kind":"one-month","months":1},{"kind":"recall","every_months":6}]`, "6 months without a visit, from month 1 on"},
		{"an end", `[{"kind":"one-month","months":1},{"kind":"recall","months":3}]`, "no visit later than 3 months"},
		{"none", `[]`, "no visit later than 0 months"},
		{"six-monthly after three", `[{"kind":"one-month","months":1},{"kind":"recall","months":3},{"kind":"recall","every_months":6}]`, ""},
		{"three-monthly", `[{"kind":"one-month","months":1},{"kind":"recall","every_months":3}]`, ""},
	} {
		s := newSite(t)
		var plan map[string]json.RawMessage
		if err := json.Unmarshal(s.usual(), &plan); err != nil {
			t.Fatal(err)
		}
		plan["recalls"] = json.RawMessage(c.recalls)
		send := func(sure bool, status int, want string) {
			t.Helper()
			plan["sure"] = json.RawMessage(strconv.FormatBool(sure))
			raw, err := json.Marshal(plan)
			if err != nil {
				t.Fatal(c.name, err)
			}
			s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", string(raw), status, want)
		}
		if c.want != "" {
			send(false, 409, c.want)
		}
		send(c.want != "", 200, "")
	}
}

// An age that is unusual for a wearer is asked about, of a new one and when the date of
// birth changes; the usual ages are those of the table (6 to 40 years, common practice).
// It is March 2026.
func TestAnUnusualAgeIsAskedAbout(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	wearer := func(birth, more string) string {
		return `{"name":"Ida","code":"W-1","birth":"` + birth + `"` + more + `}`
	}
	const path = "/api/clinic/wearers/w1"
	for birth, age := range map[string]string{"2025-01-10": "age 1; usually 6 to 40", "1975-06-01": "age 50"} {
		s.says("PUT", path, "desk", wearer(birth, ""), 409, age)
	}
	s.says("PUT", path, "desk", wearer("2020-03-01", ""), 200, "2020-03-01") // six years
	s.says("PUT", path, "desk", wearer("1975-06-01", `,"sure":true`), 200, "1975-06-01")
	s.says("PUT", path, "desk", wearer("1975-06-01", ""), 200, "") // said already
}
