package web_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/storetest"
)

// planned is a practice in Lisbon whose wearer W-1 had a first night on 1
// December 2025; the site's clock stands in late March 2026.
func planned(t *testing.T) *site { return plannedAt(t, simNow) }

func plannedAt(t *testing.T, now time.Time) *site {
	t.Helper()
	s := siteAt(t, now)
	s.put(t, func(tx *store.Tx) error {
		if err := tx.Register().PutPractice(care.Practice{Name: "Harbour Lane", Zone: "Europe/Lisbon"}); err != nil {
			return err
		}
		plan := review.PlanFacts{Plan: careplan.DefaultPlan(civil.MustDate("2025-12-01"), "Europe/Lisbon")}
		raw, err := json.Marshal(plan)
		if err != nil {
			return err
		}
		_, err = tx.Chart().PutPlan("w1", "c1", raw)
		return err
	})
	return s
}

func (s *site) put(t *testing.T, f func(*store.Tx) error) {
	t.Helper()
	if err := s.srv.DB.Update(f); err != nil {
		t.Fatal(err)
	}
}

// visit stores a visit of W-1.
func (s *site) visit(t *testing.T, v course.Visit) {
	t.Helper()
	s.put(t, func(tx *store.Tx) error { return tx.Chart().PutVisit("w1", v.ID, v) })
}

// get fetches a path and returns the answer with its body.
func (s *site) get(path, token, etag string) (*http.Response, string) {
	s.t.Helper()
	req := httptest.NewRequest("GET", path, nil)
	req.Header.Set("If-None-Match", etag)
	req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: token})
	req.AddCookie(&http.Cookie{Name: "nightkeep_staff", Value: token})
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return res, string(raw)
}

// audited reports whether the audit log has a line.
func (s *site) audited(who care.PersonID, did, what string) bool {
	found := false
	_ = s.srv.DB.View(func(tx *store.Tx) error {
		lines, _, err := tx.Audit().Lines(1, 100)
		found = slices.ContainsFunc(lines, func(a audit.Line) bool { return a.Who == who && a.Did == did && a.What == what })
		return err
	})
	return found
}

func TestFHIRRoute(t *testing.T) {
	t.Parallel()
	s := planned(t)
	f, cylinder, axis := -0.1, -0.75, 10.0
	s.visit(t, course.Visit{ID: "v1", Date: civil.MustDate("2025-11-20"), Kind: "suitability", State: "kept", By: "C", Right: course.EyeFindings{Refraction: &course.Refraction{Sphere: -3, Cylinder: &cylinder, Axis: &axis}, BestCorrected: &f}})
	if status, raw := s.call("POST", "/api/sync", "family", syncBody(
		entryJSON(`{"dseq":1}`), // 28 March 21:40
		entryJSON(`{"dseq":2,"id":"01900000-0000-7000-8000-000000000002","kind":"evening-sight","night":"2026-03-27","body":{"rating":3}}`),
	)); status != 200 {
		t.Fatal(raw)
	}
	s.confirmed("clinician", "dc")
	res, raw := s.get("/api/clinic/wearers/w1/fhir", "clinician", "")
	if res.StatusCode != 200 || !strings.HasPrefix(res.Header.Get("Content-Type"), "application/fhir+json") || res.Header.Get("Cache-Control") != "no-store" {
		t.Fatalf("%d %v %s", res.StatusCode, res.Header, firstLine(raw))
	}
	if got := resources(t, raw); got["QuestionnaireResponse"] != 2 || got["CarePlan"] != 1 || got["VisionPrescription"] != 1 || got["Observation"] != 3 || got["Patient"] != 1 {
		t.Errorf("resources %v; want 2 answers, 1 plan, 1 prescription, 3 observations (refraction, acuity, evening)", got)
	}
	if !s.audited("c1", "exported file", "w1 fhir") {
		t.Error("who took the file is not in the audit log")
	}
	_, raw = s.get("/api/clinic/wearers/w1/fhir?from=2026-03-28", "clinician", "")
	if got := resources(t, raw); got["QuestionnaireResponse"] != 1 || got["Observation"] != 2 {
		t.Errorf("from 28 March: %v; want 1 answer and no evening", got)
	}
	if status, raw := s.call("GET", "/api/clinic/wearers/w1/fhir?from=2026-03-28&to=2026-03-27", "clinician", ""); status != 422 || !strings.Contains(raw, `"field":"to"`) {
		t.Errorf("a range backwards: %d %s", status, raw)
	}
	if status, _ := s.call("GET", "/api/clinic/wearers/nobody/fhir", "clinician", ""); status != 404 {
		t.Errorf("nobody's file: %d, want 404", status)
	}
}

func resources(t *testing.T, raw string) map[string]int {
	t.Helper()
	var b struct {
		Entry []struct {
			Resource struct {
				ResourceType string `json:"resourceType"`
			} `json:"resource"`
		} `json:"entry"`
	}
	if err := json.Unmarshal([]byte(raw), &b); err != nil {
		t.Fatalf("%v: %s", err, firstLine(raw))
	}
	out := map[string]int{}
	for _, e := range b.Entry {
		out[e.Resource.ResourceType]++
	}
	return out
}

// TestExportDictionary holds the dictionary against the header of the export
// itself.
func TestExportDictionary(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.confirmed("clinician", "dc")
	_, export := s.get("/api/clinic/export.csv", "clinician", "")
	header, _, _ := strings.Cut(export, "\r\n")
	_, raw := s.get("/api/clinic/export-dictionary.csv", "desk", "")
	rows, err := csv.NewReader(strings.NewReader(raw)).ReadAll()
	if err != nil || rows[0][0] != "column" || rows[0][1] != "meaning" {
		t.Fatalf("%v: %s", err, raw)
	}
	var names []string
	for _, r := range rows[1:] {
		names = append(names, r[0])
		if r[1] == "" {
			t.Errorf("%s has no meaning", r[0])
		}
	}
	if diff := cmp.Diff(strings.Split(header, ","), names); diff != "" {
		t.Errorf("(-export +dictionary):\n%s", diff)
	}
}

type recallReply struct {
	Date    civil.Date
	Counts  map[string]int
	Recalls []struct {
		Wearer, Name, Code, Kind, State, Visit, Time string
		Due, Date                                    civil.Date
		Overdue                                      int
		Contact                                      *struct {
			On               civil.Date
			How, Outcome, By string
		} `json:"last_contact"`
		LastHeard civil.Date `json:"last_heard"`
	}
}

// TestRecalls goes through the life of a recall. First night 1 December 2025,
// first three visits kept in time, then one month on 1 January and three
// months after it, counted by hand on the calendar: 1 April 2026.
func TestRecalls(t *testing.T) {
	t.Parallel()
	s := planned(t)
	for _, v := range []course.Visit{
		{ID: "a", Kind: "first-morning", Date: civil.MustDate("2025-12-02"), State: "kept", By: "C"},
		{ID: "b", Kind: "one-week", Date: civil.MustDate("2025-12-08"), State: "kept", By: "C"},
		{ID: "c", Kind: "two-week", Date: civil.MustDate("2025-12-15"), State: "kept", By: "C"},
	} {
		s.visit(t, v)
	}
	read := func() recallReply { return s.list(t) }
	r := read()
	if r.Counts["overdue"] != 1 || r.Counts["due"] != 1 || len(r.Recalls) != 2 {
		t.Fatalf("%+v; want the one-month visit overdue and the recall due", r)
	}
	month, next := r.Recalls[0], r.Recalls[1]
	if month.Kind != "one-month" || month.Due != civil.MustDate("2026-01-01") || month.State != "overdue" || month.Overdue != r.Date.DaysSince(month.Due) || month.Code != "W-1" {
		t.Errorf("first %+v", month)
	}
	if next.Kind != "recall" || next.Due != civil.MustDate("2026-04-01") || next.State != "due" || next.Overdue != 0 {
		t.Errorf("second %+v", next)
	}
	if c := month.Contact; c == nil || c.How != "visit" || c.On != civil.MustDate("2025-12-15") || c.By != "C" {
		t.Errorf("last contact %+v; want the visit of 15 December", c)
	}
	s.put(t, func(tx *store.Tx) error {
		return tx.Chart().PutFollowUp("w1", register.FollowUp{Reason: "overdue-recall", By: "k1", At: tx.Now, Outcome: "phoned", Until: civil.MustDate("2026-04-10")})
	})
	s.visit(t, course.Visit{ID: "d", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: r.Date.AddDays(2), Time: "09:15", State: "booked"})
	r = read()
	if r.Counts["booked"] != 1 || r.Counts["overdue"] != 0 || r.Recalls[0].Time != "09:15" || r.Recalls[0].Date != r.Date.AddDays(2) || r.Recalls[0].Visit != "d" {
		t.Errorf("after booking: %+v", r)
	}
	if c := r.Recalls[0].Contact; c.How != "call" || c.Outcome != "phoned" || c.By != "K" || c.On != r.Date {
		t.Errorf("last contact %+v; want today's call", c)
	}
	s.visit(t, course.Visit{ID: "d", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: r.Date.AddDays(-2), State: "missed"})
	if r = read(); r.Counts["missed"] != 1 {
		t.Errorf("after a missed appointment: %+v", r.Counts)
	}
	s.confirmed("desk", "dk")
	_, raw := s.get("/api/clinic/recalls.csv", "desk", "")
	rows, err := csv.NewReader(strings.NewReader(raw)).ReadAll()
	if err != nil || len(rows) != 3 || rows[1][0] != "W-1" || rows[1][3] != "missed" || !s.audited("k1", "exported recalls", "csv") {
		t.Errorf("csv %v %v", rows, err)
	}
	s.visit(t, course.Visit{ID: "d", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: r.Date.AddDays(-1), State: "kept"})
	if r = read(); r.Counts["missed"] != 0 || len(r.Recalls) != 1 {
		t.Errorf("after a kept visit: %+v", r)
	}
}

// A wearer who was seen early and then did not come stands on Recalls and among
// Today's reasons to call until the appointment is booked again or kept: nothing
// about what came before settles it.
func TestAMissedRecallStaysInSight(t *testing.T) {
	t.Parallel()
	s := planned(t)
	today := s.list(t).Date
	s.visit(t, course.Visit{ID: "m", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: civil.MustDate("2026-01-02"), State: "kept"})
	s.visit(t, course.Visit{ID: "early", Kind: "recall", Date: civil.MustDate("2026-03-01"), State: "kept"})
	recall := course.Visit{ID: "d", Kind: "recall", Due: civil.MustDate("2026-04-01"), Date: today.AddDays(-8), State: "missed"}
	for _, step := range []struct {
		what  string
		visit course.Visit
		state string // on Recalls
		today bool
	}{
		{"not kept", recall, "missed", true},
		{"nobody wrote what became of it", with(recall, recall.Date, "booked"), "overdue", true},
		{"booked again", with(recall, today.AddDays(3), "booked"), "booked", false},
		{"not kept again", with(recall, today.AddDays(-7), "missed"), "missed", true},
		{"kept", with(recall, today, "kept"), "", false},
	} {
		s.visit(t, step.visit)
		var got string
		for _, r := range s.list(t).Recalls {
			if r.Visit == "d" {
				got = r.State
			}
		}
		said := s.asksFor("recall-overdue")
		if got != step.state || said != step.today {
			t.Errorf("%s: Recalls says %q, Today %v; want %q, %v", step.what, got, said, step.state, step.today)
		}
	}
}

// Recalls, the list of wearers, Today and the review call the same visit overdue, from
// its date on; Today asks for a call only from the days on that the settings allow (7 by
// default), and counts it all the same. Any visit kept since settles it on all four. The
// first night is 1 December 2025, so the one-month visit is due on 1 January 2026.
func TestEveryPageCallsTheSameVisitOverdue(t *testing.T) {
	t.Parallel()
	s := planned(t)
	today := s.list(t).Date
	month := course.Visit{ID: "m", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: civil.MustDate("2026-01-02"), State: "kept"}
	missed := course.Visit{ID: "d", Kind: "unscheduled", Date: today.AddDays(-3), State: "missed"}
	for _, step := range []struct {
		what  string
		visit course.Visit
		since string
		call  bool
	}{
		{"one month, nobody saw to it", with(month, month.Due, "cancelled"), "2025-12-02", true},
		{"one month kept", month, "", false},
		{"a recall missed before it was due", course.Visit{ID: "r", Kind: "recall", Due: civil.MustDate("2026-04-01"), Date: today.AddDays(-9), State: "missed"}, "", false},
		{"another missed three days ago", missed, today.AddDays(-3).String(), false},
		{"missed eight days ago", with(missed, today.AddDays(-8), "missed"), today.AddDays(-8).String(), true},
		{"seen since, unscheduled", course.Visit{ID: "u", Kind: "unscheduled", Date: today.AddDays(-1), State: "kept"}, "", false},
	} {
		s.visit(t, step.visit)
		type pages struct {
			Wearers []struct {
				Next civil.Date `json:"next_recall"`
			}
			Overdue json.RawMessage
		}
		var since [3]string
		for _, r := range s.list(t).Recalls {
			if since[0] == "" && r.Overdue > 0 {
				since[0] = r.Due.String()
			}
		}
		if l := decode[pages](t, s.says("GET", "/api/clinic/wearers?filter=overdue", "desk", "", 200, "")); len(l.Wearers) == 1 {
			since[1] = l.Wearers[0].Next.String()
		}
		since[2] = strings.Trim(string(decode[pages](t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, "")).Overdue), `"`)
		if want := [3]string{step.since, step.since, step.since}; since != want {
			t.Errorf("%s: overdue on Recalls, list, review since %q; want %q", step.what, since, want)
		}
		counted := string(decode[pages](t, s.says("GET", "/api/clinic/today", "desk", "", 200, "")).Overdue)
		if want := fmt.Sprintf(`{"wearers":%d,"from":7}`, min(1, len(step.since))); counted != want || s.asksFor("recall-overdue") != step.call {
			t.Errorf("%s: Today counts %s and asks for a call: %v; want %s, %v", step.what, counted, s.asksFor("recall-overdue"), want, step.call)
		}
	}
}

// A visit that is booked is not offered for booking again, and one that is overdue is.
func TestABookedVisitIsNotOfferedAgain(t *testing.T) {
	t.Parallel()
	s := planned(t)
	today := s.list(t).Date
	offered := func() (kinds []string) {
		v := decode[struct {
			Due []struct {
				Kind   string
				Booked civil.Date
			}
		}](t, s.says("GET", "/api/clinic/wearers/w1/visits", "desk", "", 200, ""))
		for _, d := range v.Due {
			if d.Booked.IsZero() {
				kinds = append(kinds, d.Kind)
			}
		}
		return kinds
	}
	s.visit(t, course.Visit{ID: "m", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: civil.MustDate("2026-01-02"), State: "kept"})
	if d := cmp.Diff([]string{"recall"}, offered()); d != "" {
		t.Errorf("before (-want +got):\n%s", d)
	}
	s.visit(t, course.Visit{ID: "d", Kind: "recall", Due: civil.MustDate("2026-04-01"), Date: today.AddDays(5), State: "booked"})
	if d := cmp.Diff([]string(nil), offered()); d != "" {
		t.Errorf("booked (-want +got):\n%s", d)
	}
}

func with(v course.Visit, on civil.Date, state string) course.Visit {
	v.Date, v.State = on, state
	return v
}

// asksFor tells whether Today asks to call some wearer for a reason.
func (s *site) asksFor(reason string) bool {
	var page todayPage
	if err := json.Unmarshal([]byte(s.says("GET", "/api/clinic/today", "desk", "", 200, "")), &page); err != nil {
		s.t.Fatal(err)
	}
	for _, c := range page.Calls.Calls {
		for _, r := range c.Reasons {
			if r.Rule == reason {
				return true
			}
		}
	}
	return false
}

// list is the list of recalls as the desk reads it.
func (s *site) list(t *testing.T) (r recallReply) {
	t.Helper()
	status, raw := s.call("GET", "/api/clinic/recalls", "desk", "")
	if err := json.Unmarshal([]byte(raw), &r); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	return r
}

// A visit that moves the later ones moves them on the desk's list and in the
// family's calendar alike: the month's visit kept on 6 instead of 1 January
// asks for the next on 6 instead of 1 April, counted by hand.
func TestAShiftedVisitMovesListAndFeed(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.visit(t, course.Visit{ID: "d", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: civil.MustDate("2026-01-06"), State: "kept", ShiftLater: true})
	if got := s.recalls(t); len(got) != 1 || got[0] != "recall 2026-04-06 due new=false within=0" {
		t.Errorf("list %v; want the recall due on 2026-04-06", got)
	}
	_, raw := s.get(s.feed(t, "/api/calendar", "family"), "", "")
	if e := event(t, raw, "2026-04-06"); !strings.Contains(e, "STATUS:TENTATIVE") || strings.Contains(raw, "20260401") {
		t.Errorf("feed:\n%s", raw)
	}
}

// A new lens that the family logs asks for a first morning of its own, marked
// so, and for nothing else.
func TestANewLensAsksForItsFirstMorning(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.visit(t, course.Visit{ID: "d", Kind: "one-month", Due: civil.MustDate("2026-01-01"), Date: civil.MustDate("2026-01-01"), State: "kept"})
	lens := entryJSON(`{"kind":"supply","night":"2026-03-27","wall":"2026-03-27T21:40:00","body":{"item":"lens","action":"started","on":"2026-03-27","eye":"both"}}`)
	if status, raw := s.call("POST", "/api/sync", "family", syncBody(lens)); status != 200 || !strings.Contains(raw, `"accepted"`) {
		t.Fatalf("%d %s", status, raw)
	}
	want := []string{"first-morning 2026-03-28 due new=true within=2", "recall 2026-04-01 due new=false within=0"}
	if diff := cmp.Diff(want, s.recalls(t)); diff != "" {
		t.Errorf("list (-want +got):\n%s", diff)
	}
}

// recalls reads the desk's list in short.
func (s *site) recalls(t *testing.T) []string {
	t.Helper()
	status, raw := s.call("GET", "/api/clinic/recalls", "desk", "")
	var r struct {
		Recalls []struct {
			Kind, State string
			Due         civil.Date
			NewLens     bool `json:"new_lens"`
			Within      int  `json:"within_hours"`
		}
	}
	if err := json.Unmarshal([]byte(raw), &r); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	out := []string{}
	for _, v := range r.Recalls {
		out = append(out, fmt.Sprintf("%s %s %s new=%t within=%d", v.Kind, v.Due, v.State, v.NewLens, v.Within))
	}
	return out
}

// A family that was enrolled and never agreed on a first night is on the desk's
// list of calls from two weeks on, also without any plan; a day earlier it is
// not.
func TestAFamilyThatNeverStartedIsCalled(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		days int
		want []string
	}{{"13 days", 13, nil}, {"14 days", 14, []string{"W-2"}}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := planned(t)
			s.put(t, func(tx *store.Tx) error {
				f, err := tx.Register().Family("f2")
				if err != nil {
					return err
				}
				f.Created = tx.Now.AddDate(0, 0, -c.days)
				return storetest.Put(tx, f)
			})
			status, raw := s.call("GET", "/api/clinic/today?reason=not-started", "desk", "")
			var r struct {
				Calls struct{ Calls []struct{ Code string } }
			}
			if err := json.Unmarshal([]byte(raw), &r); err != nil || status != 200 {
				t.Fatalf("%d %s", status, raw)
			}
			var got []string
			for _, call := range r.Calls.Calls {
				got = append(got, call.Code)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("called (-want +got):\n%s", diff)
			}
		})
	}
}

// feed makes an address as a caller and returns its path.
func (s *site) feed(t *testing.T, route, token string) string {
	t.Helper()
	status, raw := s.call("POST", route, token, "")
	var a struct{ Address string }
	if err := json.Unmarshal([]byte(raw), &a); err != nil || status != 200 {
		t.Fatalf("%d %s", status, raw)
	}
	path, ours := strings.CutPrefix(a.Address, "http://clinic.example")
	if !ours || len(path) < len("/calendar/.ics")+40 || !strings.HasSuffix(path, ".ics") {
		t.Fatalf("address %s", a.Address)
	}
	return path
}

// event returns the lines of the one event that starts on a date.
func event(t *testing.T, feed, date string) string {
	t.Helper()
	var found []string
	for _, e := range strings.Split(feed, "BEGIN:VEVENT\r\n")[1:] {
		if strings.Contains(e, ":"+strings.ReplaceAll(date, "-", "")) && strings.Contains(e, "DTSTART") {
			found = append(found, e)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d events on %s in\n%s", len(found), date, feed)
	}
	return found[0]
}

func TestFamilyCalendar(t *testing.T) {
	t.Parallel()
	s := planned(t)
	booked := course.Visit{ID: "v", Kind: "recall", Due: civil.MustDate("2026-04-01"), Date: civil.MustDate("2026-04-03"), Time: "09:15", State: "booked", Advice: "lens fit"}
	s.visit(t, booked)
	path := s.feed(t, "/api/calendar", "family")
	res, first := s.get(path, "", "")
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "text/calendar; charset=utf-8" {
		t.Fatalf("%d %v", res.StatusCode, res.Header)
	}
	if e := event(t, first, "2026-04-03"); !strings.Contains(e, "DTSTART;TZID=Europe/Lisbon:20260403T091500\r\n") || !strings.Contains(e, "SEQUENCE:0\r\n") || !strings.Contains(e, "STATUS:CONFIRMED") {
		t.Errorf("booked:\n%s", e)
	}
	tellsNothing(t, first, "W-1", "Harbour", "w1", "SUMMARY:W")
	etag := res.Header.Get("ETag")
	if res, raw := s.get(path, "", etag); res.StatusCode != 304 || raw != "" {
		t.Errorf("asked again: %d %q, want 304 and nothing", res.StatusCode, raw)
	}

	booked.Date, booked.Time = civil.MustDate("2026-04-07"), "10:00"
	s.visit(t, booked)
	_, moved := s.get(path, "", etag)
	if e := event(t, moved, "2026-04-07"); !strings.Contains(e, "SEQUENCE:1\r\n") || uid(e) != uid(event(t, first, "2026-04-03")) {
		t.Errorf("a moved appointment is the same event, changed once:\n%s", e)
	}

	booked.State = "cancelled"
	s.visit(t, booked)
	_, off := s.get(path, "", "")
	if e := event(t, off, "2026-04-07"); !strings.Contains(e, "SEQUENCE:2\r\n") || !strings.Contains(e, "STATUS:CANCELLED") {
		t.Errorf("cancelled:\n%s", e)
	}
	open := event(t, off, "2026-04-01")
	if !strings.Contains(open, "STATUS:TENTATIVE") || !strings.Contains(open, "DTSTART;VALUE=DATE:20260401\r\n") {
		t.Errorf("the plan asks for the visit again:\n%s", open)
	}
	s.visit(t, course.Visit{ID: "v9", Kind: "recall", Due: civil.MustDate("2026-04-01"), Date: civil.MustDate("2026-04-09"), State: "booked"})
	_, again := s.get(path, "", "")
	if e := event(t, again, "2026-04-01"); !strings.Contains(e, "STATUS:CANCELLED") || !strings.Contains(e, "SEQUENCE:1\r\n") || uid(e) != uid(open) {
		t.Errorf("once booked, the tentative date is called off:\n%s", e)
	}
}

// tellsNothing checks a feed as it is served: CRLF and lines of at most 75
// octets (RFC 5545, 3.1), and no clinical word nor any of the others in it.
func tellsNothing(t *testing.T, feed string, others ...string) {
	t.Helper()
	for line := range strings.SplitSeq(strings.TrimSuffix(feed, "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("line %q", line)
		}
	}
	low := strings.ToLower(feed)
	for _, word := range append([]string{"lens", "eye", "sight", "vision", "ortho", "cornea", "myop", "recall", "morning", "child", "patient", "clinic"}, others...) {
		if strings.Contains(low, word) || strings.Contains(feed, word) {
			t.Errorf("the feed says %q:\n%s", word, feed)
		}
	}
}

func uid(event string) string {
	_, rest, _ := strings.Cut(event, "UID:")
	id, _, _ := strings.Cut(rest, "\r\n")
	return id
}

// TestCalendarAddressIsSecretAndRevocable makes, replaces and ends addresses.
func TestCalendarAddressIsSecretAndRevocable(t *testing.T) {
	t.Parallel()
	s := planned(t)
	code := func(path string) int { res, _ := s.get(path, "", ""); return res.StatusCode }
	first := s.feed(t, "/api/calendar", "family")
	s.says("POST", "/api/clinic/calendar", "desk", "", 409, "recheck-needed")
	s.confirmed("sure", "dk")
	practice := s.feed(t, "/api/clinic/calendar", "sure")
	second := s.feed(t, "/api/calendar", "family")
	if code(first) != 404 || code(second) != 200 || code(practice) != 200 {
		t.Errorf("first %d, second %d, practice %d; want 404, 200, 200: a new address ends the one before of the same owner", code(first), code(second), code(practice))
	}
	if _, raw := s.get("/api/calendar", "family", ""); !strings.Contains(raw, `"made":"2026-`) || strings.Contains(raw, strings.Split(second, "/")[2][:20]) {
		t.Errorf("state %s", raw)
	}
	if status, _ := s.call("DELETE", "/api/calendar", "family", ""); status != 200 || code(second) != 404 || code(practice) != 200 {
		t.Errorf("after ending: %d, second %d, practice %d", status, code(second), code(practice))
	}
	if _, raw := s.get("/api/calendar", "family", ""); raw != `{"made":null}` {
		t.Errorf("state %s", raw)
	}
	if code("/calendar/guess.ics") != 404 || code("/calendar/.ics") != 404 {
		t.Error("an invented address answers")
	}
	if !s.audited("p1", "made calendar address", "f1") || !s.audited("p1", "ended calendar address", "f1") {
		t.Error("making and ending are not in the audit log")
	}
}

func TestPracticeCalendarShowsCodesOnly(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.visit(t, course.Visit{ID: "v", Kind: "recall", Date: civil.MustDate("2026-04-03"), Time: "09:15", State: "booked", By: "C"})
	s.confirmed("sure", "dc")
	_, raw := s.get(s.feed(t, "/api/clinic/calendar", "sure"), "", "")
	if e := event(t, raw, "2026-04-03"); !strings.Contains(e, "SUMMARY:Appointment W-1\r\n") {
		t.Errorf("want the code:\n%s", e)
	}
	tellsNothing(t, raw, "Harbour", "w1")
	if strings.Count(raw, "BEGIN:VEVENT") != 1 {
		t.Errorf("want booked appointments only:\n%s", raw)
	}
}
