package web_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/storetest"
)

// lists are the pages that the roll answers.
var lists = []string{
	"/api/clinic/today", "/api/clinic/today?reason=silent", "/api/clinic/recalls", "/api/clinic/recalls?state=overdue",
	"/api/clinic/wearers", "/api/clinic/wearers?q=w", "/api/clinic/wearers?sort=heard", "/api/clinic/wearers?sort=recall&filter=overdue",
	"/api/clinic/wearers?sort=worn&filter=silent", "/api/clinic/wearers?filter=alert", "/api/clinic/wearers?filter=ended",
}

// After every kind of write, a server that has shown the lists before shows
// what a server shows that has just been started.
func TestListsAreRightAfterEveryWrite(t *testing.T) {
	t.Parallel()
	s := planned(t)
	s.placed("")
	plan := func(stopped string, base int) string {
		p := review.PlanFacts{Plan: careplan.DefaultPlan(civil.MustDate("2026-01-01"), "Europe/Lisbon")}
		if stopped != "" {
			p.Stopped = civil.MustDate(stopped)
		}
		raw, err := json.Marshal(struct {
			review.PlanFacts
			Base int `json:"base"`
		}{p, base})
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	entry := func(n int, over string) string {
		return syncBody(entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-0000000001%02d","dseq":%d,%s`, n, n, strings.TrimPrefix(over, "{"))))
	}
	put := func(f func(*store.Tx) error) func() { return func() { s.update(f) } }
	post := func(path, token, body string) func() {
		return func() { s.says("POST", path, token, body, 200, "") }
	}
	steps := []struct {
		name string
		do   func()
	}{
		{"night", post("/api/sync", "family", entry(1, `{"kind":"insertion"}`))},
		{"water", post("/api/sync", "family", entry(2, `{"kind":"care","body":{"tap_water":true}}`))},
		{"symptom", post("/api/sync", "family", entry(3, `{"kind":"symptoms","body":{"right":{"pain":"severe"}}}`))},
		{"supply", post("/api/sync", "family", entry(4, `{"kind":"supply","body":{"item":"case","action":"started","on":"2026-01-02"}}`))},
		{"withdrawal", post("/api/sync", "family", entry(5, `{"kind":"retraction","retracts":"01900000-0000-7000-8000-000000000102","body":{}}`))},
		{"plan", post("/api/clinic/wearers/w2/plan", "clinician", plan("", 0))},
		{"appointment of the day", post("/api/clinic/wearers/w2/visits", "clinician", `{"kind":"recall","date":"2026-03-29","time":"10:00","state":"booked"}`)},
		{"adverse event", post("/api/clinic/wearers/w2/events", "clinician", `{"base":0,"kind":"infection","eye":"right","began":"2026-03-10","aware":"2026-03-11","words":"red eye","outcome":"going-on","device":{"in_wear":"yes","kept":"yes","lot":"L1"},"reporter":{"name":"Dr C"}}`)},
		{"alert closed as an event", put(func(tx *store.Tx) error {
			return tx.Duty().PutAlert(escalate.Alert{ID: "closed", Wearer: "w2", Family: "f2", Rule: "pain-severe", Level: "emergency", Eye: "right", State: escalate.Closed, Opened: tx.Now, ClosedAt: tx.Now, Outcome: "infection"})
		})},
		{"words", post("/api/sync", "family", syncBody(entryJSON(`{"id":"01900000-0000-7000-8000-0000000000aa","dseq":900,"kind":"note","body":{"text":"A question"}}`)))},
		{"words read", post("/api/clinic/wearers/w1/read", "desk", `{"read":["01900000-0000-7000-8000-0000000000aa"]}`)},
		{"a stop of the practice", post("/api/clinic/wearers/w1/say", "clinician", `{"causes":[],"entries":[{"kind":"cease","body":{"eyes":"left","reason":"examination","review_by":"2026-04-02"}}]}`)},
		{"follow-up", post("/api/clinic/follow-ups", "desk", `{"wearer":"w1","rule":"recall-overdue","outcome":"spoken-to","note":"","until":"2026-04-09"}`)},
		{"phone joined", put(func(tx *store.Tx) error {
			return errors.Join(storetest.Put(tx, care.Person{ID: "p2", Family: "f2", Role: care.Parent}),
				storetest.Put(tx, care.Device{ID: "d2", Family: "f2", Person: "p2", Created: tx.Now}))
		})},
		{"stop", post("/api/clinic/wearers/w2/plan", "clinician", plan("2026-02-01", 1))},
		{"family", post("/api/clinic/families", "desk", `{"name":"N","zone":"Europe/Lisbon","wearer":{"name":"Wnew","code":"W-9","birth":"2014-05-05"},"people":[{"name":"Q","role":"parent","phone":"+44 20 7946 0101"}]}`)},
		{"wearer renamed", put(func(tx *store.Tx) error {
			return storetest.Put(tx, care.Wearer{ID: "w1", Family: "f1", Name: "Aa", Code: "W-1"})
		})},
		{"family renamed", put(func(tx *store.Tx) error {
			return storetest.Put(tx, care.Family{ID: "f1", Name: "FF", Zone: "Europe/Lisbon"})
		})},
		{"staff renamed", put(func(tx *store.Tx) error { return storetest.Put(tx, care.Person{ID: "k1", Name: "KK", Role: care.Desk}) })},
		{"practice moved", put(func(tx *store.Tx) error {
			return tx.Register().PutPractice(care.Practice{Name: "P", Zone: "Pacific/Auckland", Country: "NZ", Languages: []string{"en"}})
		})},
		{"a write that fails", func() {
			_ = s.srv.DB.Update(func(tx *store.Tx) error {
				if err := storetest.Put(tx, care.Wearer{ID: "w1", Family: "f1", Name: "Never", Code: "W-1"}); err != nil {
					return err
				}
				return fmt.Errorf("no")
			})
		}},
		{"wearer of age moves to a family of their own", put(func(tx *store.Tx) error {
			return tx.Archive().SplitWearer("w1", care.Family{ID: "f3", Name: "Own", Zone: "Europe/Lisbon", Created: tx.Now})
		})},
		{"erasure", put(func(tx *store.Tx) error { _, err := tx.Archive().EraseFamily("f3", "a1"); return err })},
	}
	before := map[string]string{}
	for _, path := range lists {
		before[path] = s.says("GET", path, "clinician", "", 200, "")
	}
	for _, step := range steps {
		step.do()
		fresh := &site{t: t, srv: testServer(s.srv.DB)}
		fresh.serve()
		changed := false
		for _, path := range lists {
			want := fresh.says("GET", path, "clinician", "", 200, "")
			got := s.says("GET", path, "clinician", "", 200, "")
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s after %s (-fresh +kept):\n%s", path, step.name, d)
			}
			changed = changed || got != before[path]
			before[path] = got
		}
		if !changed && step.name != "a write that fails" {
			t.Errorf("%s changed nothing in any list, so it tests nothing", step.name)
		}
	}
}

// The lists of a practice with wearers of known state, in the order a person
// would put them.
func TestWearersFilteredAndSorted(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := func(date, stopped string) json.RawMessage {
		p := review.PlanFacts{Plan: careplan.DefaultPlan(civil.MustDate(date), "Europe/Lisbon")}
		if stopped != "" {
			p.Stopped = civil.MustDate(stopped)
		}
		raw, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	s.update(func(tx *store.Tx) error {
		for _, w := range []struct{ id, name, first, stopped string }{
			{"x1", "delta", "2026-03-20", ""}, {"x2", "Alpha", "2025-06-01", "2026-03-01"}, {"x3", "charlie", "2025-06-01", ""}, {"x4", "Bravo", "", ""}, {"x5", "alpha", "2026-04-20", ""},
		} {
			if err := storetest.Put(tx, care.Wearer{ID: care.WearerID(w.id), Family: "f1", Name: w.name, Code: "X-" + w.id}); err != nil {
				return err
			}
			if w.first == "" {
				continue
			}
			if _, err := tx.Chart().PutPlan(care.WearerID(w.id), "c1", first(w.first, w.stopped)); err != nil {
				return err
			}
		}
		return nil
	})
	type page struct {
		Wearers            []struct{ Name, ID string }
		Page, Pages, Total int
	}
	for _, tc := range []struct{ name, query, want string }{
		{"by name, capitals do not count, equal ones by code", "q=x-", "x2 x5 x4 x3 x1"},
		{"by code", "q=x-&sort=code", "x1 x2 x3 x4 x5"},
		{"found by name", "q=ALPHA", "x2 x5"},
		{"stopped by agreement", "q=x-&filter=ended", "x2"},
		{"silent: started, nothing heard, not stopped", "q=x-&filter=silent", "x3 x1"},
		{"new: within four weeks, or about to start", "q=x-&filter=new", "x5 x1"},
		{"recall: soonest first, whoever has none last", "q=x-&sort=recall", "x3 x1 x5 x2 x4"},
	} {
		got := decode[page](t, s.says("GET", "/api/clinic/wearers?"+tc.query, "desk", "", 200, ""))
		var ids []string
		for _, w := range got.Wearers {
			ids = append(ids, w.ID)
		}
		if d := cmp.Diff(tc.want, strings.Join(ids, " ")); d != "" {
			t.Errorf("%s (-want +got):\n%s", tc.name, d)
		}
	}
}

// Every wearer stands on exactly one page, whatever the order and however
// often their columns are equal.
func TestPagesOfWearersHoldEverybodyOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	rng := rand.New(rand.NewPCG(1, 2))
	s.update(func(tx *store.Tx) error {
		for i := range 120 {
			if err := storetest.Put(tx, care.Wearer{ID: care.WearerID(fmt.Sprintf("y%03d", i)), Family: "f1", Name: string(rune('A' + rng.IntN(3))), Code: "Y"}); err != nil {
				return err
			}
		}
		return nil
	})
	for _, sort := range []string{"name", "code", "heard", "recall", "worn"} {
		seen := map[string]int{}
		for page := 1; page <= 3; page++ {
			got := decode[struct {
				Wearers []struct{ ID string }
				Total   int
			}](t, s.says("GET", fmt.Sprintf("/api/clinic/wearers?sort=%s&page=%d", sort, page), "desk", "", 200, ""))
			if got.Total != 122 { // these and the site's own two
				t.Errorf("total %d, want 122", got.Total)
			}
			for _, w := range got.Wearers {
				seen[w.ID]++
			}
		}
		if len(seen) != 122 {
			t.Errorf("by %s the three pages hold %d wearers, want 122", sort, len(seen))
		}
	}
}
