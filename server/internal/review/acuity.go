package review

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/vision"
)

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
