package web_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"

	careplan "nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// bigPractice has 5,000 wearers with a plan and six visits each, the size a
// practice's lists must stay quick for.
func bigPractice(tb testing.TB) *store.DB {
	tb.Helper()
	db, err := store.Open(filepath.Join(tb.TempDir(), "n.db"), func() time.Time { return simNow })
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { db.Close() })
	plan, err := json.Marshal(review.PlanFacts{Plan: careplan.DefaultPlan(civil.MustDate("2025-06-01"), "Europe/Lisbon")})
	if err != nil {
		tb.Fatal(err)
	}
	err = db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().PutPractice(care.Practice{Name: "P", Zone: "Europe/Lisbon"}),
			tx.Register().AddPerson(care.Person{ID: "k1", Name: "K", Role: care.Desk}),
			tx.Register().AddDevice(care.Device{ID: "dk", Person: "k1", Created: tx.Now}),
			tx.Access().AddCredential("desk", register.Credential{Device: "dk", Created: tx.Now, Seen: tx.Now}),
		} {
			if err != nil {
				return err
			}
		}
		for i := range 5000 {
			w := care.Wearer{ID: care.WearerID(fmt.Sprintf("w%05d", i)), Family: care.FamilyID(fmt.Sprintf("f%05d", i)), Name: "W", Code: fmt.Sprintf("W-%04d", i)}
			if err := tx.Register().AddFamily(care.Family{ID: w.Family, Name: "F", Zone: "Europe/Lisbon", Created: tx.Now}); err != nil {
				return err
			}
			if err := tx.Register().AddWearer(w); err != nil {
				return err
			}
			if _, err := tx.Chart().PutPlan(w.ID, "k1", plan); err != nil {
				return err
			}
			for v := range 6 {
				id := fmt.Sprintf("v%d", v)
				if err := tx.Chart().PutVisit(w.ID, id, course.Visit{ID: id, Kind: "recall", Date: civil.MustDate("2025-07-01").AddMonths(v), State: "kept"}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
	return db
}

// withLogs gives every wearer of it four weeks of nights in lenses, as a family logs
// them: 280,000 entries.
func withLogs(tb testing.TB, db *store.DB) {
	tb.Helper()
	for from := 0; from < 5000; from += 250 {
		err := db.Update(func(tx *store.Tx) error {
			for i := from; i < from+250; i++ {
				family, wearer := care.FamilyID(fmt.Sprintf("f%05d", i)), care.WearerID(fmt.Sprintf("w%05d", i))
				for n := range 56 {
					night := civil.DateOf(simNow).AddDays(n/2 - 28)
					e := &care.Entry{
						ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%06d%06d", i, n)), Wearer: wearer, Device: "d1", DSeq: uint64(n + 1), Author: "p1",
						Kind: care.Insertion, Night: night, Wall: night.String() + "T21:30:00", Zone: "Europe/Lisbon",
						HLC: fmt.Sprintf("%013d-0000", 1774734000000+int64(n)), V: 1, Body: json.RawMessage(`{"at":"21:30"}`),
					}
					if n%2 == 1 {
						e.Kind, e.Wall, e.Body = care.Removal, night.AddDays(1).String()+"T07:00:00", json.RawMessage(`{"at":"07:00"}`)
					}
					if _, err := tx.Log().Append(family, e); err != nil {
						return err
					}
				}
			}
			return nil
		})
		if err != nil {
			tb.Fatal(err)
		}
	}
}

// BenchmarkListsWithLogs is what a desk waits for at a practice of 5,000 wearers who
// log every night: Today, the list, a search by name and one by telephone.
func BenchmarkListsWithLogs(b *testing.B) {
	db := bigPractice(b)
	withLogs(b, db)
	srv := testServer(db)
	app := srv.App()
	if err := srv.RefreshLists(); err != nil {
		b.Fatal(err)
	}
	for name, path := range map[string]string{"today": "today", "wearers": "wearers", "name": "wearers?q=w-4999", "telephone": "wearers?q=07700+900123", "fewest": "wearers?sort=worn"} {
		b.Run(name, func(b *testing.B) { benchmarkOf(b, app, "/api/clinic/"+path) })
	}
}

func BenchmarkRecalls(b *testing.B) { benchmarkGet(b, "/api/clinic/recalls") }

func BenchmarkToday(b *testing.B) { benchmarkGet(b, "/api/clinic/today") }

func BenchmarkWearers(b *testing.B) { benchmarkGet(b, "/api/clinic/wearers") }

func BenchmarkWearersBySilence(b *testing.B) {
	benchmarkGet(b, "/api/clinic/wearers?sort=heard&filter=silent")
}

// BenchmarkRollFromNothing is the work after a start and after midnight, which
// nobody waits for.
func BenchmarkRollFromNothing(b *testing.B) {
	db := bigPractice(b)
	for b.Loop() {
		if err := testServer(db).RefreshLists(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPracticeFeed(b *testing.B) {
	benchmarkGet(b, "/calendar/secret.ics")
}

func benchmarkGet(b *testing.B, path string) {
	db := bigPractice(b)
	if err := db.Update(func(tx *store.Tx) error {
		return tx.Access().SetCalendar("secret", register.Calendar{By: "k1", Created: tx.Now})
	}); err != nil {
		b.Fatal(err)
	}
	srv := testServer(db)
	app := srv.App()
	if err := srv.RefreshLists(); err != nil { // as the running server does every minute
		b.Fatal(err)
	}
	benchmarkOf(b, app, path)
}

func benchmarkOf(b *testing.B, app *fiber.App, path string) {
	for b.Loop() {
		req := httptest.NewRequest("GET", path, nil)
		req.AddCookie(&http.Cookie{Name: "nightkeep_staff", Value: "desk"})
		res, err := app.Test(req, -1)
		if err != nil || res.StatusCode != 200 {
			b.Fatal(err, res.StatusCode)
		}
		_, _ = io.Copy(io.Discard, res.Body)
	}
}
