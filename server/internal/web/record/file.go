// Package record reads what more than one room of the HTTP face shows of a
// wearer and of the practice, and checks what more than one of them is told. It
// answers no request.
package record

import (
	"encoding/json"
	"slices"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// lensNights is how many nights back a new pair of lenses is looked for; its
// first-morning visit is settled by any later visit kept, and by then one was.
const lensNights = 120

// File is everything the practitioner's side looks at about one wearer.
type File struct {
	Wearer  care.Wearer
	Plans   []review.PlanFacts
	Visits  []course.Visit
	Nights  []care.Night
	Recalls []schedule.Recall
	Lenses  []civil.Date // first nights of lenses later than the plan's first night
	today   civil.Date
}

// LongAgo is before any log.
var LongAgo = civil.MustDate("2000-01-01")

// OpenFile reads a wearer's file with the nights from a date on.
func OpenFile(tx *store.Tx, w care.Wearer, from, today civil.Date) (File, error) {
	f, err := OnlyPlans(tx, w)
	if err != nil {
		return f, err
	}
	f.today = today
	if f.Visits, err = register.Visits[course.Visit](tx.Chart(), w.ID); err != nil {
		return f, err
	}
	slices.SortFunc(f.Visits, func(a, b course.Visit) int { return a.Date.Compare(b.Date) })
	if f.Nights, err = tx.Log().Nights(w.ID, from, today); err != nil {
		return f, err
	}
	over := intake.OverSince(tx, w.ID)
	if p := f.Plan(); p != nil {
		// An end agreed in the morning is in the log of the night before, which was worn.
		over = endsFrom(tx, w.ID, over)
		if !over.IsZero() && (p.Stopped.IsZero() || over.Before(p.Stopped)) {
			p.Stopped = over
		}
		supplied, err := tx.Log().SupplyNights(w.ID, today.AddDays(-lensNights), today)
		if err != nil {
			return f, err
		}
		log := care.ScheduleLog(supplied, course.ScheduleVisits(f.Visits))
		if f.Recalls = schedule.Recalls(p.Plan, log.Visits, log.LensStarts, today); !over.IsZero() || hasEnded(p.Plan, today) {
			f.Recalls = booked(f.Recalls)
		}
		f.Lenses = slices.DeleteFunc(log.LensStarts, func(l civil.Date) bool { return !l.After(p.FirstNight) })
	}
	return f, nil
}

// endsFrom returns the first night that is none of wear: that of the end, and of an end
// which was written on the morning after its night the next one.
func endsFrom(tx *store.Tx, w care.WearerID, over civil.Date) civil.Date {
	for _, e := range tx.Log().WearEntries(w) {
		if e.Kind == care.Cease && e.Night == over && e.Answer("reason") == `"ended"` && e.WearFact().Begins.IsZero() && civil.DateOf(episode.WrittenAt(e)).After(over) {
			return over.AddDays(1)
		}
	}
	return over
}

// OnlyPlans reads of a wearer's file the plans alone.
func OnlyPlans(tx *store.Tx, w care.Wearer) (File, error) {
	f := File{Wearer: w}
	docs, err := PlanDocs(tx, w.ID)
	for _, d := range docs {
		f.Plans = append(f.Plans, d.PlanFacts)
	}
	return f, err
}

// Plan returns the plan in force, or nil.
func (f *File) Plan() *review.PlanFacts {
	if len(f.Plans) == 0 {
		return nil
	}
	return &f.Plans[len(f.Plans)-1]
}

// Open returns the recalls somebody still has to see to.
func (f *File) Open() []schedule.Recall {
	return stillOpen(f.Recalls, course.ScheduleVisits(f.Visits), f.today)
}

// Overdue returns those of them that are past their date, the longest first.
func (f *File) Overdue() []schedule.Recall {
	return review.Overdue(f.Recalls, course.ScheduleVisits(f.Visits), f.today)
}

// ForNewLens reports whether a visit is the first morning of a new lens.
func (f *File) ForNewLens(r schedule.Recall) bool {
	return r.Kind == "first-morning" && slices.Contains(f.Lenses, r.Due.AddDays(-1))
}

func stillOpen(all []schedule.Recall, visits []schedule.Visit, today civil.Date) (open []schedule.Recall) {
	late := review.OpenRecalls(all, visits, today)
	for _, r := range all {
		ahead := r.State == "due" || r.State == "booked"
		if ahead && !r.Passed || slices.Contains(late, r) {
			open = append(open, r)
		}
	}
	return open
}

// Appointment is a visit without what was found.
type Appointment struct {
	schedule.Visit
	Time string `json:"time"`
	By   string `json:"by"`
}

// Diary is what of a wearer's file decides about visits: every list of the
// whole practice reads it for everybody, so it holds nothing else.
type Diary struct {
	Visits  []Appointment
	Recalls []schedule.Recall // those somebody still has to see to
}

// OpenDiary reads the diary of a wearer as of today.
func OpenDiary(tx *store.Tx, w care.WearerID, today civil.Date) (Diary, error) {
	var d Diary
	var err error
	if d.Visits, err = register.Visits[Appointment](tx.Chart(), w); err != nil {
		return d, err
	}
	stored, err := tx.Chart().Plan(w)
	if care.KindOf(err) == care.NotFound {
		return d, nil
	}
	if err != nil {
		return d, err
	}
	var plan schedule.Plan
	if err := json.Unmarshal(stored.Plan, &plan); err != nil {
		return d, err
	}
	visits := make([]schedule.Visit, 0, len(d.Visits))
	for _, v := range d.Visits {
		visits = append(visits, v.Visit)
	}
	nights, err := tx.Log().SupplyNights(w, today.AddDays(-lensNights), today)
	if err != nil {
		return d, err
	}
	log := care.ScheduleLog(nights, visits)
	d.Recalls = stillOpen(schedule.Recalls(plan, log.Visits, log.LensStarts, today), visits, today)
	if !intake.OverSince(tx, w).IsZero() || hasEnded(plan, today) {
		d.Recalls = booked(d.Recalls)
	}
	return d, nil
}

// hasEnded reports whether the plan asks for no lens any more, as of today.
func hasEnded(p schedule.Plan, today civil.Date) bool {
	return !p.Stopped.IsZero() && !p.Stopped.After(today)
}

// booked leaves of the recalls those with an appointment: after the end of the
// treatment nobody asks for another.
func booked(all []schedule.Recall) []schedule.Recall {
	return slices.DeleteFunc(all, func(r schedule.Recall) bool { return r.State != "booked" })
}
