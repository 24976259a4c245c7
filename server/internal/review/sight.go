package review

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
	"nightkeep/server/internal/vision"
)

// The evening-blur rule: the middle of the last 3 evenings is at least one
// grade below the wearer's own earlier middle, on each of the last 3 evenings
// (common practice; no published limit of evening blur was found, so a wearer
// is compared with their own last 14 evenings only).
const (
	sightRecent = 3
	sightOwn    = 14
	sightDrop   = 1
)

// fading says whether the evening-blur rule holds at the end of the rows, with
// the two middles.
func fading(rows []SightRow) (was, is float64, holds bool) {
	if len(rows) < 2*sightRecent+1 {
		return 0, 0, false
	}
	for back := sightRecent - 1; back >= 0; back-- {
		upto := rows[:len(rows)-back]
		recent := upto[len(upto)-sightRecent:]
		own := rows[max(0, len(rows)-sightOwn-sightRecent) : len(rows)-sightRecent]
		if back > 0 {
			recent = recent[len(recent)-1:] // that evening alone
		}
		was, is = middle(own), middle(recent)
		if was-is < sightDrop {
			return was, is, false
		}
	}
	return was, is, true
}

func middle(rows []SightRow) float64 {
	var x []float64
	for _, r := range rows {
		x = append(x, float64(r.Rating))
	}
	return stats.Median(slices.Clone(x))
}

// acuity scores every run of the range again from its raw trials, so that one
// model judges them all, whatever the phone thought.
func (s *state) acuity() []AcuityRow {
	out := []AcuityRow{}
	for _, d := range s.loggedNights(s.from, s.in.Today) {
		if d.After(s.to) && d != s.in.Today {
			continue
		}
		live(s.all[d], care.AcuityRun, func(id care.EntryID, value json.RawMessage) {
			r := AcuityRow{Entry: id, Night: d}
			if e := s.byID[id]; e != nil {
				r.At, _ = e.Instant()
			}
			if r.score(value) {
				out = append(out, r)
			}
		})
	}
	return out
}

// score fills a row from the body of an acuity run; false when it is no run.
func (r *AcuityRow) score(body json.RawMessage) bool {
	var run struct {
		Eye          string       `json:"eye"`
		DistanceM    float64      `json:"distance_m"`
		Trials       [][2]float64 `json:"trials"`
		Practice     bool         `json:"practice"`
		StoppedEarly bool         `json:"stopped_early"`
	}
	if json.Unmarshal(care.Known(care.AcuityRun, body), &run) != nil {
		return false
	}
	r.Eye, r.DistanceM, r.Trials = run.Eye, run.DistanceM, len(run.Trials)
	a, err := vision.NewAcuity(vision.DefaultAcuity())
	for _, t := range run.Trials {
		if err == nil {
			err = a.Add(vision.Trial{Size: t[0], Correct: t[1] == 1})
		}
	}
	if err != nil {
		r.Note = "could not be scored: " + err.Error()
		return true
	}
	mean, sd := a.Mean(), a.SD()
	r.LogMAR, r.SD = &mean, &sd
	v := a.Verdict()
	notes := v.Reasons
	switch {
	case run.Practice:
		notes = append(notes, "practice run")
	case run.StoppedEarly:
		notes = append(notes, "stopped early")
	case !v.Done:
		notes = append(notes, fmt.Sprintf("ended after %d trials, before the estimate was settled", r.Trials))
	}
	r.Reliable = v.Reliable && v.Done && !run.Practice && !run.StoppedEarly && !math.IsNaN(mean)
	r.Note = strings.Join(notes, "; ")
	return true
}

// How a fall between runs of the sight test at home is told from its spread.
const (
	// fallLeast is a fall worth a call, logMAR: two lines of a letter chart (common
	// practice); measured twice, children's best-corrected sight differs by up to
	// ±0.15 (Manny 2003, 86 children, with the limit from memory).
	fallLeast = 0.2
	// fallBefore is how many earlier runs of the eye are its usual.
	fallBefore = 5
)

// sightFall is an eye whose newest reliable run at home is worse than its usual.
type sightFall struct {
	eye     string
	was, is float64 // logMAR
	before  int     // runs that was is the middle of
	on      civil.Date
}

// sightFalls compares the newest reliable run of each eye with the middle of up to
// five reliable ones before it, from the same distance within half a metre. A fall
// counts from two lines on, and when it is more than the spread of both explains.
func sightFalls(rows []AcuityRow) (out []sightFall) {
	for _, eye := range []string{"right", "left"} {
		mine := slices.DeleteFunc(slices.Clone(rows), func(r AcuityRow) bool { return r.Eye != eye || !r.Reliable })
		slices.SortStableFunc(mine, func(a, b AcuityRow) int { return a.Night.Compare(b.Night) })
		if len(mine) < 2 {
			continue
		}
		last := mine[len(mine)-1]
		var was, spread []float64
		for _, r := range slices.Backward(mine[:len(mine)-1]) {
			if len(was) < fallBefore && math.Abs(r.DistanceM-last.DistanceM) <= 0.5 && r.Night.Before(last.Night) {
				was, spread = append(was, *r.LogMAR), append(spread, *r.SD)
			}
		}
		if len(was) == 0 {
			continue
		}
		n := len(was)
		slices.Sort(was)
		slices.Sort(spread)
		f := sightFall{eye, stats.Median(was), *last.LogMAR, n, last.Night}
		if fall := f.is - f.was; fall >= fallLeast-1e-9 && fall > stats.Z95*math.Hypot(*last.SD, stats.Median(spread)) {
			out = append(out, f)
		}
	}
	return out
}

// sightFell holds when a run of the last four weeks fell.
func sightFell(c *callState) *Reason {
	var found []string
	var since civil.Date
	for _, f := range sightFalls(c.s.acuity()) {
		found = append(found, fmt.Sprintf("%s eye %s logMAR on %s, %s before (%s)", f.eye, course.Minus(fmt.Sprintf("%.2f", f.is)), f.on, course.Minus(fmt.Sprintf("%.2f", f.was)), plural(f.before, "run", "runs")))
		if since.IsZero() || f.on.Before(since) {
			since = f.on
		}
	}
	if len(found) == 0 {
		return nil
	}
	return &Reason{Text: "The sight test at home came out worse than it used to. Is either eye red or sore, and is sight blurred by day? We would like to look at it.",
		Evidence: list(found), Since: since}
}
