package web_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// lensIn is a lens that is in, as a page names it.
type lensIn struct{ Eye, On, At, Held string }

// lensesNamed are the lenses that Today (its list and its calls), the list of wearers and
// the review name as being in where none may be, by page.
func (s *site) lensesNamed() map[string][]lensIn {
	s.t.Helper()
	out := map[string][]lensIn{}
	type row struct {
		Wear     string
		LensesIn []lensIn `json:"lenses_in"`
		Phones   []struct{ Phone string }
	}
	today := decode[struct {
		Held  []row
		Calls struct {
			Calls []struct {
				Reasons []struct{ Rule, Evidence string }
			}
		}
	}](s.t, s.says("GET", "/api/clinic/today", "desk", "", 200, ""))
	for _, h := range today.Held {
		out["Today"] = h.LensesIn
	}
	for _, c := range today.Calls.Calls {
		if i := slices.IndexFunc(c.Reasons, func(r struct{ Rule, Evidence string }) bool { return r.Rule == "lens-in-held" }); i >= 0 {
			if i > 0 {
				s.t.Errorf("the lens that is in comes after %s", c.Reasons[0].Rule)
			}
			out["calls "+c.Reasons[i].Evidence] = nil
		}
	}
	for _, w := range decode[struct{ Wearers []row }](s.t, s.says("GET", "/api/clinic/wearers?filter=held", "desk", "", 200, "")).Wearers {
		out["list"] = w.LensesIn
	}
	review := decode[struct {
		Glance struct {
			LensesIn []lensIn `json:"lenses_in"`
			Raise    []struct{ Title string }
		}
	}](s.t, s.says("GET", "/api/clinic/wearers/w1/review", "clinician", "", 200, ""))
	out["review"] = review.Glance.LensesIn
	if len(review.Glance.LensesIn) > 0 && (len(review.Glance.Raise) == 0 || review.Glance.Raise[0].Title != "Lens in where none may be") {
		s.t.Errorf("the review raises %v first", review.Glance.Raise)
	}
	return out
}

// Lenses that went in under a stop are in when its alert is closed with lenses again from
// the next night: nobody may lose sight of them. Today, the list and the review name them
// from that minute on, also once the release has begun; at noon after the night an alert
// asks again, once; once they are logged out nothing names them any more.
func TestALensThatIsInAfterTheClosing(t *testing.T) {
	t.Parallel()
	s := planned(t) // Saturday 28 March 2026, 21:45 in Lisbon
	id := s.report(1)
	s.logs(2, "insertion", "2026-03-28", `{"at":"21:50","eyes":"both"}`)
	*s.now = time.Date(2026, 3, 28, 22, 10, 0, 0, time.UTC)
	s.taken()
	a := s.live()
	s.act(a, "call", `{"result":"reached"}`)
	causes, err := json.Marshal(s.wear("clinician").Causes)
	if err != nil || !strings.Contains(string(causes), id) {
		t.Fatal(err, string(causes))
	}
	s.act(a, "close", `{"outcome":"spoken-to","note":"they take them out now","decision":"resume","known":["01900000-0000-7000-8000-000000000002"],"causes":`+string(causes)+
		`,"entries":[{"kind":"resume","body":{"eyes":"both","answers":`+string(causes)+`,"from":"2026-03-29","basis":"by-telephone"}}]}`)
	both := []lensIn{{"right", "2026-03-28", "21:50", "stop"}, {"left", "2026-03-28", "21:50", "stop"}}
	named := func(when string, want []lensIn) {
		t.Helper()
		got := s.lensesNamed()
		for _, page := range []string{"Today", "list", "review"} {
			if !slices.Equal(got[page], want) {
				t.Errorf("%s, %s names %v, want %v", when, page, got[page], want)
			}
		}
		evidence := "calls both eyes: lenses went in on 2026-03-28 21:50 and are not logged out"
		if _, called := got[evidence]; called != (want != nil) {
			t.Errorf("%s, the calls say %v", when, got)
		}
	}
	remind := func() (live []string) {
		t.Helper()
		s.update(func(tx *store.Tx) error { _, err := intake.RemindOfLenses(tx); return err })
		for _, a := range s.queue() {
			if a.State != "closed" {
				live = append(live, a.Rule+" "+a.Level+" "+a.Eye)
			}
		}
		return live
	}
	named("after the closing", both)
	if got := remind(); len(got) != 0 {
		t.Errorf("in the same night the practice is asked by %v: it has just decided", got)
	}
	*s.now = time.Date(2026, 3, 29, 11, 5, 0, 0, time.UTC) // 12:05 in Lisbon: the night is over, the release has begun
	if w := s.wear("clinician"); w.Wear.Right.State != "none" {
		t.Fatalf("the release has not begun: %+v", w.Wear)
	}
	named("at noon", both)
	if got := remind(); !slices.Equal(got, []string{"worn-still urgent both"}) {
		t.Fatalf("at noon the lenses are still in, and the practice is asked by %v", got)
	}
	s.taken()
	s.closeStopped(s.live())
	if got := remind(); len(got) != 0 {
		t.Errorf("closed knowing of it, and asked again by %v", got)
	}
	named("closed again", both)
	s.logs(3, "removal", "2026-03-28", `{"at":"12:30","eyes":"both","on":"2026-03-29"}`)
	named("logged out", nil)
}

// The lenses are in by the log, the right one is stuck, and the clinician says that it is
// out, with lenses again from a later night or with no lens: nobody is told any more that it
// is in, or to take it out. Of the left one nobody has said so.
func TestALensThatThePracticeSaysIsOut(t *testing.T) {
	t.Parallel()
	for name, decision := range map[string]string{
		"lenses again later": `"decision":"resume","entries":[{"kind":"resume","body":{"eyes":"both","answers":CAUSES,"from":"2026-04-01","basis":"examined"}}]`,
		"no lens":            `"decision":"stays","entries":[{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}}]`,
	} {
		s := planned(t) // Saturday 28 March 2026, 21:45 in Lisbon
		s.logs(1, "insertion", "2026-03-28", `{"at":"21:40","eyes":"both"}`)
		s.logs(2, "symptoms", "2026-03-28", `{"right":{"lens":"stuck"},"now":"none"}`)
		left := lensIn{"left", "2026-03-28", "21:40", "stop"}
		if got := s.lensesNamed()["Today"]; !slices.Equal(got, []lensIn{{"right", "2026-03-28", "21:40", "stop"}, left}) {
			t.Fatalf("before the closing Today names %v", got)
		}
		*s.now = time.Date(2026, 3, 28, 22, 10, 0, 0, time.UTC)
		s.taken()
		causes, err := json.Marshal(s.wear("clinician").Causes)
		if err != nil {
			t.Fatal(err)
		}
		s.act(s.live(), "close", `{"outcome":"seen-treated","note":"taken out here","lens":"out","known":["01900000-0000-7000-8000-000000000001"],"causes":`+string(causes)+`,`+
			strings.ReplaceAll(decision, "CAUSES", string(causes))+`}`)
		got := s.lensesNamed()
		for _, page := range []string{"Today", "list", "review"} {
			if !slices.Equal(got[page], []lensIn{left}) {
				t.Errorf("%s: %s names %v, want the left lens alone", name, page, got[page])
			}
		}
		if w := s.wear("clinician"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" {
			t.Errorf("%s: %+v, want both eyes stopped", name, w.Wear)
		}
	}
}

// Lenses again from a later night, for both eyes, of which one alone was stopped: the
// family reads that night of both, so no phone allows a lens in the other before it.
func TestALaterDateHoldsEachEyeThatItNames(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(nil, `{"kind":"cease","body":{"eyes":"left","reason":"examination","review_by":"2026-04-02"}}`), 200, `"cease"`)
	causes := s.wear("clinician").Causes
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician",
		say(causes, `{"kind":"resume","body":{"eyes":"both","answers":["`+causes[0]+`"],"from":"2026-04-04","basis":"examined"}}`), 200, `"resume"`)
	if w := s.wear("clinician"); w.Wear.Right.State != "stop" || w.Wear.Left.State != "stop" {
		t.Errorf("before the night that the family reads: %+v, want both eyes stopped", w.Wear)
	}
	*s.now = time.Date(2026, 4, 4, 19, 0, 0, 0, time.UTC)
	if w := s.wear("clinician"); w.Wear.Right.State != "none" || w.Wear.Left.State != "none" {
		t.Errorf("in that night: %+v, want both eyes free", w.Wear)
	}
}
