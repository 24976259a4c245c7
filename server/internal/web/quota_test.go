package web_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// batch is a request of n new entries of one kind.
func batch(from, n int, wearer, device, author, kind, body string) string {
	list := make([]string, n)
	for i := range list {
		list[i] = entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"wearer":%q,"device":%q,"author":%q,"kind":%q,"body":%s}`,
			from+i, from+i, wearer, device, author, kind, body))
	}
	return `{"epoch":"","cursor":1000000,"entries":[` + strings.Join(list, ",") + `]}`
}

// after calls sync and returns the status, how many verdicts came and how long
// to wait.
func (s *site) after(token, body string) (status, verdicts, wait int) {
	s.t.Helper()
	req := httptest.NewRequest("POST", "/api/sync", strings.NewReader(body))
	req.AddCookie(&http.Cookie{Name: "nightkeep_device", Value: token})
	req.Header.Set("Content-Type", "application/json")
	res := s.do(req)
	defer res.Body.Close()
	var reply struct{ Verdicts []any }
	_ = json.NewDecoder(res.Body).Decode(&reply)
	wait, _ = strconv.Atoi(res.Header.Get("Retry-After"))
	return res.StatusCode, len(reply.Verdicts), wait
}

// A device that sends without end is told when to come back and loses nothing;
// its person's first symptom report of each minute is taken all the same, and
// what is stored already costs nothing. The numbers are those of package intake.
func TestADeviceHasItsShare(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	now := simNow
	s.srv.Now = func() time.Time { return now }
	s.tick(&now)
	const severe = `{"right":{"pain":"severe"}}`
	care := func(from int) string { return batch(from, 50, "w1", "d1", "p1", "care", `{"rub":true}`) }
	report := func(from, n int) string { return batch(from, n, "w1", "d1", "p1", "symptoms", severe) }
	for i := range 30 { // 1,500 at once
		if status, n, _ := s.after("family", care(1+50*i)); status != 200 || n != 50 {
			t.Fatalf("request %d: %d with %d verdicts", i, status, n)
		}
	}
	if status, _, wait := s.after("family", care(1501)); status != 429 || wait < 1 || wait > 60 {
		t.Errorf("beyond the limit: %d, wait %d s; want 429 and a few seconds", status, wait)
	}
	if status, n, _ := s.after("family", care(1)); status != 200 || n != 50 {
		t.Errorf("what is stored already: %d with %d verdicts, want 200 and 50 duplicates", status, n)
	}
	if status, n, _ := s.after("family", report(5001, 2)); status != 200 || n != 1 {
		t.Errorf("two reports beyond the limit: %d with %d verdicts; want the first taken", status, n)
	}
	if status, _, wait := s.after("family", report(5002, 1)); status != 429 || wait < 1 {
		t.Errorf("a second report in the same minute: %d, wait %d; want 429", status, wait)
	}
	now = now.Add(61 * time.Second)
	if status, n, _ := s.after("family", care(1501)); status != 200 || n != 50 {
		t.Errorf("a minute later: %d with %d verdicts, want 200", status, n)
	}
	for i := range 2000 { // also beyond the number of requests
		if status, _, _ := s.after("family", `{"epoch":"","cursor":1000000,"entries":[]}`); status == 429 {
			break
		} else if i == 1999 {
			t.Error("two thousand requests in a moment are all answered")
		}
	}
	now = now.Add(61 * time.Second)
	for range 400 {
		s.after("family", `{"epoch":"","cursor":1000000,"entries":[]}`)
	}
	if status, n, _ := s.after("family", report(5002, 1)); status != 200 || n != 1 {
		t.Errorf("the first report of a minute beyond the number of requests: %d with %d verdicts, want it taken", status, n)
	}
	s.says("GET", "/api/family", "family", "", 429, "too-many-requests")
	s.says("GET", "/api/family", "other", "", 200, `"f2"`)
	// The pass of a minute is for a report that is new and can be read: neither one that
	// is sent again nor one that must be mended takes it, the latter is kept and told as
	// well, and each minute of the clock has one.
	now = now.Truncate(time.Minute).Add(time.Minute + 50*time.Second)
	for range 1300 {
		s.after("family", `{"epoch":"","cursor":1000000,"entries":[]}`)
	}
	broken := batch(5003, 1, "w1", "d1", "p1", "symptoms", `{"right":{"pain":7}}`)
	if _, n, _ := s.after("family", broken); n != 1 {
		t.Error("a report that cannot be read is not kept")
	}
	if status, _, _ := s.after("family", report(5002, 2)); status != 200 {
		t.Errorf("a report beside one that is stored already: %d, want the new one taken", status)
	}
	if status, _, _ := s.after("family", report(5004, 1)); status != 429 {
		t.Errorf("a second one in its minute: %d, want 429", status)
	}
	now = now.Add(15 * time.Second)
	if status, _, _ := s.after("family", report(5004, 1)); status != 200 {
		t.Errorf("the first one of the next minute: %d, want it taken", status)
	}
}

// A person's first symptom report of a minute is taken out of whatever it is sent among,
// wherever it stands there, and so is every other for which there is room; the rest of
// the request waits on the phone, without a verdict. The numbers are those of package intake.
func TestTheFirstReportOfAMinuteIsTakenOutOfTheRest(t *testing.T) {
	t.Parallel()
	for _, at := range []int{0, 25, 49} {
		for _, kind := range []string{"care", "not-worn"} {
			t.Run(fmt.Sprint(kind, at), func(t *testing.T) {
				t.Parallel()
				s := newSite(t)
				now := simNow.Truncate(time.Minute).Add(59 * time.Second)
				s.srv.Now = func() time.Time { return now }
				s.tick(&now)
				body := `{"rub":true}`
				if kind == "not-worn" {
					body = `{"eyes":"both","reason":"ill"}`
				}
				next := 1
				for status := 200; status != 429; next += 50 {
					status, _, _ = s.after("family", batch(next, 50, "w1", "d1", "p1", kind, body))
				}
				now = now.Add(time.Second)
				list := []string{}
				for i := range 50 {
					k, b := kind, body
					if i == at {
						k, b = "symptoms", `{"right":{"pain":"severe"}}`
					}
					list = append(list, entryJSON(fmt.Sprintf(`{"id":"01900000-0000-7000-8000-%012d","dseq":%d,"kind":%q,"body":%s}`, 9000+i, 9000+i, k, b)))
				}
				if status, n, _ := s.after("family", syncBody(list...)); status != 200 || n != 1 {
					t.Errorf("the report among 49 others: %d with %d verdicts, want it taken alone", status, n)
				}
				// Another in the same minute too, while it has room alone: five entries a second.
				list[at] = entryJSON(`{"id":"01900000-0000-7000-8000-000000009900","dseq":9900,"kind":"symptoms","body":{"left":{"pain":"severe"}}}`)
				if status, n, _ := s.after("family", syncBody(list...)); status != 200 || n != 1 {
					t.Errorf("a second report among 49 others: %d with %d verdicts, want it taken alone", status, n)
				}
				_ = s.srv.DB.View(func(tx *store.Tx) error {
					if live, err := tx.Duty().LiveAlerts(); err != nil || len(live) != 1 || live[0].Level != escalate.Emergency {
						t.Errorf("alerts %+v, %v; want one emergency", live, err)
					}
					return nil
				})
			})
		}
	}
}

// tick lets the store's clock be the site's, and adds the other family's phone.
func (s *site) tick(now *time.Time) {
	s.t.Helper()
	db, err := store.Open(s.t.TempDir()+"/n.db", func() time.Time { return *now })
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { db.Close() })
	s.srv.DB, s.srv.Intake.DB = db, db
	s.serve()
	s.update(func(tx *store.Tx) error {
		for i, f := range []care.FamilyID{"f1", "f2"} {
			n := strconv.Itoa(i + 1)
			token := []string{"family", "other"}[i]
			for _, err := range []error{
				tx.Register().AddFamily(care.Family{ID: f, Zone: "Europe/Lisbon"}), tx.Register().AddWearer(care.Wearer{ID: care.WearerID("w" + n), Family: f}),
				tx.Register().AddPerson(care.Person{ID: care.PersonID("p" + n), Family: f, Role: care.Parent}),
				tx.Register().AddDevice(care.Device{ID: care.DeviceID("d" + n), Family: f, Person: care.PersonID("p" + n)}),
				tx.Access().AddCredential(token, register.Credential{Device: care.DeviceID("d" + n)}),
			} {
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// Beside a device that sends reports and notes as fast as it can over eight
// connections, another family's note is stored within a second, as a rule; on a
// machine so busy that a note alone takes long, within fifty times that. That it
// waits for one commit at most is held by the tests of the writer.
func TestAHostileDeviceHoldsNobody(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	now := simNow
	s.tick(&now)
	note := func(i int) time.Duration {
		start := time.Now()
		if status, n, _ := s.after("other", batch(i, 1, "w2", "d2", "p2", "note", `{"text":"a note"}`)); status != 200 || n != 1 {
			t.Errorf("note %d: %d with %d verdicts", i, status, n)
		}
		return time.Since(start)
	}
	alone := note(1)
	stop := make(chan bool)
	var wg sync.WaitGroup
	var mu sync.Mutex
	stored, next := 0, 0
	for lane := range 8 {
		wg.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				mu.Lock()
				from := 10_000 + 50*next
				next++
				mu.Unlock()
				kind, body := "symptoms", `{"right":{"pain":"severe"}}`
				if lane%2 == 0 {
					kind, body = "care", `{"rub":true}`
				}
				_, n, _ := s.after("family", batch(from, 50, "w1", "d1", "p1", kind, body))
				mu.Lock()
				stored += n
				mu.Unlock()
			}
		})
	}
	var took []time.Duration
	for i := range 20 {
		took = append(took, note(2+i))
	}
	close(stop)
	wg.Wait()
	slices.Sort(took)
	alone = max(alone, note(30), note(31), note(32))
	if usual := took[len(took)/2]; usual > max(time.Second, 50*alone) {
		t.Errorf("a note took %s beside a hostile device, and %s alone", usual, alone)
	}
	if stored == 0 || stored > 1500 {
		t.Errorf("the hostile device stored %d entries, want some and at most 1,500", stored)
	}
}
