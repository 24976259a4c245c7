package review

import (
	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// TallyOf makes one wearer's part of the practice's figures. The input needs
// From and To set, and the nights and plans of that stretch; recalls are those
// the schedule computes for the wearer.
func TallyOf(in Input, recalls []schedule.Recall) Tally {
	s := newState(in)
	t := Tally{Wearer: in.Wearer.ID, Courses: Courses(in.Plans), Counts: Counts{Reasons: map[string]int{}}}
	if len(t.Courses) == 0 || t.Courses[0].First.After(s.to) {
		return t
	}
	s.allCourses(t.Courses)
	rows := rowsOf(s.nights)
	t.Counts, t.Wear = count(rows), wearShare(rows)
	_, t.Care = careFigures(s.nights, s.plan.careItems())
	var kept, not int
	for _, r := range recalls {
		if r.Due.Before(s.from) || r.Due.After(s.to) || r.State == "waived" {
			continue
		}
		switch {
		case r.State == "kept" && !r.Date.After(r.To):
			kept++
		case r.State == "kept", r.To.Before(in.Today):
			not++
		}
	}
	t.Recalls = stats.ShareOf(kept, not, 0)
	return t
}

// allCourses takes the nights of every course in the range, not only those of the
// newest one, which one wearer's review is about.
func (s *state) allCourses(courses []course.Course) {
	if len(courses) < 2 || s.in.From.IsZero() || !s.in.From.Before(s.from) {
		return
	}
	if s.from = s.in.From; courses[0].First.After(s.from) {
		s.from = courses[0].First
	}
	s.nights = s.between(s.from, s.to)
}

// Tally is one wearer's part in the practice's figures.
type Tally struct {
	Wearer  care.WearerID
	Courses []course.Course // stretches of wear; empty when not started
	Counts  Counts          // in the range
	Wear    stats.Share     // nights with lenses in the range
	Care    stats.Share     // all-items composite in the range
	// Recalls counts the visits due in the range: done are those kept within
	// the days the schedule still calls on time.
	Recalls stats.Share
}
