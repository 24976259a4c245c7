package review_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// What a night counts as is one definition for the family and the practice, on
// vectors that both read (pwa/test/progress.test.js).
func TestNightsCountTheSameForFamilyAndPractice(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(filepath.FromSlash("../../../testdata/care/night_counts.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		NumberOfTests int
		Tests         []struct {
			ID          int
			Comment     string
			Eyes        string
			Log         [][2]json.RawMessage
			Right, Left care.Mark
			Want        string
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil || len(file.Tests) != file.NumberOfTests || len(file.Tests) == 0 {
		t.Fatalf("%d of %d vectors, %v", len(file.Tests), file.NumberOfTests, err)
	}
	for _, v := range file.Tests {
		d := newDiary(t)
		for _, line := range v.Log {
			var kind string
			if err := json.Unmarshal(line[0], &kind); err != nil {
				t.Fatal(err)
			}
			d.write("2026-03-10", kind, string(line[1]), "")
		}
		in := d.over("2026-03-10", "2026-03-11", plan("2026-01-01"))
		in.Plans[0].Eyes = v.Eyes
		in.Wear = []care.WearFact{{ID: "marks", Kind: care.Symptoms, Night: civil.MustDate("2026-03-10"), State: "stored", Judged: care.Marks{Right: v.Right, Left: v.Left, Given: true}}}
		row := review.Summarise(in).Nights[0]
		got := map[review.Status]string{review.Worn: "worn", review.Short: "worn", review.Missed: "missed", review.NotLogged: "unknown"}[row.Counted]
		if row.Held != "" {
			got = string(row.Held)
		}
		if got != v.Want {
			t.Errorf("%d, %s: %s, want %s (%+v)", v.ID, v.Comment, got, v.Want, row)
		}
	}
}

// Keeping to a stop is no "missed often". The usual limit is 4 of 14 nights
// (alerts/rules.json, missed_nights).
func TestAStopIsNotMissedOften(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 4 {
		d.missed(nightAfter("2026-03-06", i), "told-to-stop")
	}
	nights := care.Fold(d.entries)
	in := review.CallInput{Wearer: care.Wearer{ID: "w1"}, Plan: plan("2026-01-01"), Nights: nights, Tonight: civil.MustDate("2026-03-10")}
	for i := range nights {
		in.NightSigns = append(in.NightSigns, care.NightSignsOf(nights[i].Date, d.entries[i:i+1]))
	}
	often := func() bool {
		for _, f := range review.Standing(in, in.Tonight) {
			if f.Rule == "missed-often" {
				return true
			}
		}
		return false
	}
	if !often() {
		t.Fatal("four missed nights of fourteen are many")
	}
	in.Wear = []care.WearFact{ceased("2026-03-06", "right")}
	if !often() {
		t.Error("with one eye stopped the other is missed all the same")
	}
	in.Wear = []care.WearFact{ceased("2026-03-06", "right", "left")}
	if often() {
		t.Error("nights under a stop count as missed often")
	}
}

// To the effect model a night that nobody logged under a stop is what it is when
// it is said: a night without lenses. Both logs give the same course.
func TestAnUnloggedStopNightIsNotTakenAsWorn(t *testing.T) {
	t.Parallel()
	course := func(said bool, wear ...care.WearFact) review.EffectRow {
		d := newDiary(t)
		for i := range 30 {
			night := nightAfter("2026-03-01", i)
			d.worn(night, "22:00", "07:00")
			d.write(night, "evening-sight", `{"rating":4,"hours_since_removal":12}`, "")
		}
		for i := 30; said && i < 35; i++ {
			d.missed(nightAfter("2026-03-01", i), "told-to-stop")
		}
		p := plan("2026-03-01")
		p.BaselineRight, p.BaselineLeft = -2, -2
		in := d.over("2026-03-01", nightAfter("2026-03-01", 35), p)
		in.Wear = wear
		return review.Summarise(in).Effect[0]
	}
	stop := ceased(nightAfter("2026-03-01", 30), "right", "left")
	want, got := course(true, stop), course(false, stop)
	if want.Status == "not-enough" {
		t.Fatalf("the course cannot be told: %s", want.Why)
	}
	if got.Status != want.Status || got.Why != want.Why || got.Residual[34] != want.Residual[34] {
		t.Errorf("unlogged: %s %s %+v; said: %s %s %+v", got.Status, got.Why, got.Residual[34], want.Status, want.Why, want.Residual[34])
	}
	if free := course(false); free.Residual[34].D <= want.Residual[34].D {
		t.Errorf("five nights off without a stop, taken as worn, leave %+v; with one %+v", free.Residual[34], want.Residual[34])
	}
}

// By hand: lenses are replaced by a date (rule lens-overdue: one day past it); one that
// was lost is past none.
func TestALostLensIsPastNoDate(t *testing.T) {
	t.Parallel()
	in := review.CallInput{Wearer: care.Wearer{ID: "w1"}, Plan: plan("2025-01-01"), Tonight: civil.MustDate("2026-03-10")}
	in.Due = []schedule.Item{{Rule: "lens", Subject: "right", Due: civil.MustDate("2026-01-01")}}
	overdue := func() bool {
		return slices.ContainsFunc(review.Standing(in, in.Tonight), func(f alerts.Finding) bool { return f.Rule == "lens-overdue" })
	}
	if !overdue() {
		t.Error("a lens past its date is not overdue")
	}
	in.Lost = []care.LostLens{{Eye: "left"}}
	if !overdue() {
		t.Error("the other lens was lost, and the right one is not overdue")
	}
	in.Lost = []care.LostLens{{Eye: "right"}}
	if overdue() {
		t.Error("a lens that was lost is overdue")
	}
}
