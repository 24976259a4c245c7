package review_test

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/stats"
)

// ceased is the practice's stop of some eyes from a night on.
func ceased(night string, eyes ...string) care.WearFact {
	return care.WearFact{ID: care.EntryID("cease-" + night + strings.Join(eyes, "")), Kind: care.Cease, Night: civil.MustDate(night), State: "stored", Eyes: eyes}
}

// resumed frees both eyes from a night on.
func resumed(from string, of ...care.WearFact) care.WearFact {
	f := care.WearFact{ID: care.EntryID("resume-" + from), Kind: care.Resume, Night: of[0].Night, State: "stored", Eyes: []string{"right", "left"}, From: civil.MustDate(from)}
	for _, c := range of {
		f.Answers = append(f.Answers, c.ID)
	}
	return f
}

// rested is a report that asks for a rest of both eyes from a night on.
func rested(night string) care.WearFact {
	return care.WearFact{ID: care.EntryID("rest-" + night), Kind: care.NotWorn, Night: civil.MustDate(night), State: "stored",
		Judged: care.Marks{Right: care.Rest, Left: care.Rest, Given: true}}
}

func same(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// The family's own progress leaves the same nights out (pwa/test/day.test.js,
// "a night on which lenses were stopped"): of the 8th to the 11th with a stop
// from the 9th, worn on the 8th and all the same on the 10th, 2 of 2 are worn
// and 2 count nowhere.
func TestAStopNightLeavesTheDenominator(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-03-08", "22:00", "07:00")
	d.worn("2026-03-10", "22:00", "07:00")
	d.missed("2026-03-11", "told-to-stop")
	in := d.over("2026-03-08", "2026-03-12", plan("2026-01-01"))
	in.Wear = []care.WearFact{ceased("2026-03-09", "right", "left")}
	sum := review.Summarise(in)
	if w := sum.Wear; w.Done != 2 || w.NotDone != 0 || w.Unknown != 0 || w.Rest != 0 || w.Share != 1 || w.BoundLow != 1 || w.BoundHigh != 1 {
		t.Errorf("%+v", w)
	}
	c := sum.Counts
	if c.Nights != 4 || c.Worn != 2 || c.Stopped != 2 || c.Missed != 0 || c.NotLogged != 0 || len(c.Reasons) != 0 || c.LongestMissed != 0 {
		t.Errorf("%+v", c)
	}
	if sum.Nights[3].Status != review.Missed || sum.Nights[3].Held != review.HeldStop {
		t.Errorf("what was logged stays said: %+v", sum.Nights[3])
	}
	if sum.Trust.Unlogged.Done != 0 || sum.Trust.Unlogged.Answered() != 3 { // the 9th asked for no entry
		t.Errorf("%+v", sum.Trust.Unlogged)
	}
	if g := sum.Glance.Last.Wear; g.NotDone != 0 || g.Done != 2 {
		t.Errorf("the last 14: %+v", g)
	}
}

// Ten nights: 6 worn, 1 missed, 1 not logged, 2 missed at rest.
// Without the rest 6 of 7 answered (6/7), with 1 unknown; with it between 6 of
// 10 (0.6) and 9 of 10 (0.9).
func TestARestStandsApartInTheBounds(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 6 {
		d.worn(nightAfter("2026-03-01", i), "22:00", "07:00")
	}
	d.missed("2026-03-07", "tired")
	d.missed("2026-03-09", "sore-eye")
	d.missed("2026-03-10", "sore-eye")
	in := d.over("2026-03-01", "2026-03-11", plan("2026-01-01"))
	in.Wear = []care.WearFact{rested("2026-03-09")}
	sum := review.Summarise(in)
	w := sum.Wear
	if w.Done != 6 || w.NotDone != 1 || w.Unknown != 1 || w.Rest != 2 || !same(w.Share, 6.0/7) || !same(w.BoundLow, 0.6) || !same(w.BoundHigh, 0.9) {
		t.Errorf("%+v", w)
	}
	if c := sum.Counts; c.Rest != 2 || c.Missed != 1 || c.NotLogged != 1 || c.Worn != 6 || c.LongestMissed != 1 || c.Reasons["sore-eye"] != 0 {
		t.Errorf("%+v", c)
	}
	sore := slices.IndexFunc(sum.Glance.Raise, func(r review.Raise) bool { return slices.Contains(r.Rules, "sore-eye-nights") })
	if sore < 0 || sum.Glance.Raise[sore].Text != "No lens for a sore eye on 2 nights." {
		t.Errorf("%+v", sum.Glance.Raise)
	}
	in.Wear = append(in.Wear, ceased("2026-03-10", "right", "left"))
	if w := review.Summarise(in).Wear; w.Rest != 1 || w.NotDone != 1 || !same(w.BoundLow, 6.0/9) || !same(w.BoundHigh, 8.0/9) {
		t.Errorf("a stop leaves the bounds too: %+v", w)
	}
}

// With one eye stopped the night is the other's: worn there is worn, and missed
// there is missed.
func TestWithOneEyeStoppedTheOtherDecides(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.write("2026-03-01", "insertion", `{"at":"22:00","eyes":"left"}`, "")
	d.write("2026-03-01", "removal", `{"at":"07:00","eyes":"left"}`, "")
	d.write("2026-03-01", "not-worn", `{"reason":"told-to-stop","eyes":"right"}`, "")
	d.missed("2026-03-02", "tired")
	in := d.over("2026-03-01", "2026-03-03", plan("2026-01-01"))
	in.Wear = []care.WearFact{ceased("2026-03-01", "right")}
	sum := review.Summarise(in)
	if sum.Nights[0].Counted != review.Worn || sum.Nights[1].Counted != review.Missed || sum.Nights[1].Held != "" {
		t.Errorf("%+v", sum.Nights)
	}
	in.Plans[0].Eyes = "right"
	if sum := review.Summarise(in); sum.Counts.Stopped != 2 {
		t.Errorf("the only planned eye was stopped: %+v", sum.Counts)
	}
}

// Fourteen nights under a stop are no slip: the list of calls has no word of them.
func TestAStopIsNoSlip(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	for i := range 21 {
		d.worn(nightAfter("2026-03-01", i), "22:00", "07:00")
	}
	in := review.CallInput{Wearer: care.Wearer{ID: "w1"}, Plan: plan("2025-01-01"), Nights: care.Fold(d.entries), LastNight: civil.MustDate("2026-04-04")}
	slips := func() bool {
		call, _ := review.CallOf(civil.MustDate("2026-04-05"), in)
		for _, r := range call.Reasons {
			if r.Rule == "slipping" {
				return true
			}
		}
		return false
	}
	if !slips() {
		t.Fatal("fourteen nights without an entry are a slip")
	}
	in.Wear = []care.WearFact{ceased("2026-03-22", "right", "left")}
	if slips() {
		t.Error("a stop counts as a slip")
	}
	in.Wear = append(in.Wear, resumed("2026-03-25", in.Wear[0]))
	if !slips() {
		t.Error("eleven nights after the stop ended are a slip")
	}
}

// Once the practice lets a lens in again, the review says from when and which stop that
// lifted: of the eye it names, and not once something newer holds it back.
func TestAReleaseSaysWhichStopItLifted(t *testing.T) {
	t.Parallel()
	in := newDiary(t).over("2026-03-01", "2026-04-01", plan("2025-01-01"))
	early, stop, left := ceased("2026-02-02", "right", "left"), ceased("2026-03-12", "right", "left"), ceased("2026-03-14", "left")
	free := resumed("2026-03-20", stop, left)
	free.Eyes = []string{"right"}
	in.Wear = []care.WearFact{early, resumed("2026-02-09", early), stop, left, free}
	stand := review.Summarise(in).Glance.Stand
	if len(stand) != 2 || stand[0].State != "none" || stand[0].Lifted == nil || stand[1].State != "stop" || stand[1].Lifted != nil {
		t.Fatalf("%+v", stand)
	}
	want := review.Lift{From: civil.MustDate("2026-03-20"), Of: []review.Lifted{{On: civil.MustDate("2026-03-12"), Why: "by the practice"}}}
	if got := *stand[0].Lifted; !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	in.Wear = append(in.Wear, ceased("2026-03-30", "right"))
	if got := review.Summarise(in).Glance.Stand[0]; got.State != "stop" || got.Lifted != nil {
		t.Errorf("stopped again: %+v", got)
	}
}

// Whatever the log says, a stop lowers no share, of the whole or of a weekday,
// nor its lower bound, and makes no run of missed nights longer; the line of the
// list agrees, and the counts add up.
func TestAStopNeverLowersAShare(t *testing.T) {
	t.Parallel()
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 22))
		d := newDiary(t)
		for i := range 28 {
			night := nightAfter("2026-03-01", i)
			switch eye := []string{"both", "right", "left"}[rng.IntN(3)]; rng.IntN(5) {
			case 0:
				d.write(night, "not-worn", `{"reason":"tired","eyes":"`+eye+`"}`, "")
			case 1, 2:
				d.write(night, "insertion", `{"at":"22:00","eyes":"`+eye+`"}`, "")
				d.write(night, "removal", `{"at":"07:00","eyes":"`+eye+`"}`, "")
			case 3:
				d.worn(night, "02:00", "05:00")
			}
		}
		in := d.over("2026-03-01", "2026-03-29", plan("2026-01-01"))
		in.Wear = []care.WearFact{}
		if rng.IntN(2) == 0 {
			in.Wear = append(in.Wear, rested(nightAfter("2026-03-01", rng.IntN(28))))
		}
		was := review.Summarise(in)
		eyes := [][]string{{"right"}, {"left"}, {"right", "left"}}[rng.IntN(3)]
		from := rng.IntN(28)
		stop := ceased(nightAfter("2026-03-01", from), eyes...)
		in.Wear = append(in.Wear, stop, resumed(nightAfter("2026-03-01", from+rng.IntN(10)), stop))
		is := review.Summarise(in)
		lower := func(was, is stats.Share) bool {
			return is.Answered() > 0 && (is.Share < was.Share-1e-9 || is.BoundLow < was.BoundLow-1e-9)
		}
		if lower(was.Wear, is.Wear) || is.Counts.LongestMissed > was.Counts.LongestMissed {
			t.Errorf("seed %d: a stop made %+v of %+v", seed, is.Wear, was.Wear)
		}
		for i := range is.Weekdays {
			if lower(was.Weekdays[i].Wear, is.Weekdays[i].Wear) {
				t.Errorf("seed %d: %+v of %+v", seed, is.Weekdays[i], was.Weekdays[i])
			}
		}
		c := is.Counts
		if n := c.Worn + c.Short + c.Missed + c.NotLogged + c.Differ + c.Stopped + c.Rest; n != c.Nights {
			t.Errorf("seed %d: %d of %d nights are counted", seed, n, c.Nights)
		}
		if _, wear := review.StripOf("w1", in.Wear, in.Nights, nil, in.Plans, in.Today, 28); wear != is.Wear {
			t.Errorf("seed %d: the list counts %+v, the review %+v", seed, wear, is.Wear)
		}
	}
}
