package review

import (
	"encoding/json"
	"slices"
	"strings"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
)

// PauseRow is a time in which the nightly routine rests. A pause that the
// family set holds back its reminders and excuses no night; one agreed with the
// practitioner stands in the plan, and its nights are not planned.
type PauseRow struct {
	schedule.Pause              // Reason is away or ill for the family's own
	Agreed         bool         `json:"agreed"`          // in the plan
	By             string       `json:"by,omitempty"`    // who of the family set it
	Entry          care.EntryID `json:"entry,omitempty"` // that set it
}

// pauses returns those that touch the range, hold today or are to come, by
// their first night.
func (s *state) pauses() []PauseRow {
	out := []PauseRow{}
	add := func(r PauseRow) {
		if !r.To.Before(s.from) {
			out = append(out, r)
		}
	}
	for i := range s.in.Nights {
		n := &s.in.Nights[i]
		if n.Wearer != s.in.Wearer.ID {
			continue
		}
		live(n, care.Pause, func(id care.EntryID, value json.RawMessage) {
			r := PauseRow{Entry: id}
			if json.Unmarshal(care.Known(care.Pause, value), &r.Pause) != nil {
				return
			}
			r.From = n.Date
			if e := s.byID[id]; e != nil {
				r.By = s.in.People[e.Author]
			}
			add(r)
		})
	}
	plan, _ := planOn(s.in.Plans, s.in.Today)
	for _, p := range plan.Pauses {
		add(PauseRow{Pause: p, Agreed: true})
	}
	slices.SortStableFunc(out, func(a, b PauseRow) int { return a.From.Compare(b.From) })
	return out
}

// words says a pause on the time axis.
func (r PauseRow) words() string {
	reason, known := map[string]string{"away": "away from home", "ill": "illness"}[r.Reason]
	if !known {
		reason = strings.ReplaceAll(r.Reason, "-", " ")
	}
	what := "reminders paused by the family"
	if r.Agreed {
		what = "no lenses, as agreed,"
	}
	return what + " until " + r.To.String() + " (" + reason + ")"
}

// pauseEvents puts pauses on the time axis; one that began before it stands at
// its beginning.
func (s *state) pauseEvents(rows []PauseRow) []Event {
	var out []Event
	for _, r := range rows {
		at := r.From
		if at.Before(s.from) {
			at = s.from
		}
		out = append(out, Event{at, "pause", r.words(), "", string(r.Entry)})
	}
	return out
}
