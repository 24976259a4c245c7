package course

import (
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// againRequest is a new start, or the taking back of an end, which has only base,
// words and sure.
type againRequest struct {
	First         civil.Date `json:"first"`                    // first night of the new course
	BaselineRight float64    `json:"baseline_right,omitempty"` // spherical equivalent before it, dioptres
	BaselineLeft  float64    `json:"baseline_left,omitempty"`
	Why           string     `json:"why,omitempty"`   // for the practice
	Words         string     `json:"words,omitempty"` // to the family
	Base          int        `json:"base"`            // version of the plan it began from
	Sure          bool       `json:"sure,omitempty"`
	Yes           string     `json:"yes,omitempty"` // of the reading of own words that was shown
}

// startOver begins a new course after an end. What was measured before stays with
// the course before; visits, rates, adherence and the effect begin anew.
func (c *call) startOver() error {
	return c.again("started over", func(tx *store.Tx, w care.Wearer, s *stand, req *againRequest, today civil.Date) error {
		if err := s.mayStart(req, today); err != nil {
			return err
		}
		if err := s.closed(tx, w, c.Caller.Person.ID); err != nil {
			return err
		}
		d := s.plan
		d.From, d.FirstNight, d.Stopped, d.RecallsFrom, d.TakenOver = req.First, req.First, civil.Date{}, civil.Date{}, civil.Date{}
		d.BaselineRight, d.BaselineLeft, d.Why, d.Remark = req.BaselineRight, req.BaselineLeft, "Started over. "+req.Why, req.Words
		if err := record.CheckNumbers(d, record.PlanFields, "", ""); err != nil {
			return err
		}
		if err := storeNext(tx, w, c.Caller.Person.ID, d); err != nil {
			return err
		}
		return s.release(tx, c.Caller.Person.Named(), w, req.First, "examined", req)
	})
}

// goOn takes an end back that was written by mistake: the course goes on. Whatever else
// holds a lens back goes on too.
func (c *call) goOn() error {
	return c.again("took the end of wear back", func(tx *store.Tx, w care.Wearer, s *stand, req *againRequest, today civil.Date) error {
		if !s.ended() {
			return notEnded()
		}
		stopped := s.courses[len(s.courses)-1].Stopped
		ask := course.UnsettledSaid(s.events)
		if n := today.DaysSince(stopped); n >= 7 {
			ask = append(ask, fmt.Sprintf("Wear was ended %d days ago. If no lens was worn since, this is a new start: begin a new course with a new baseline.", n))
		}
		if err := record.AskUnless(req.Sure, ask); err != nil {
			return err
		}
		d := s.plan
		d.From, d.Stopped, d.Why, d.Remark = stopped, civil.Date{}, "The end of wear was written by mistake. "+req.Why, req.Words
		if err := storeNext(tx, w, c.Caller.Person.ID, d); err != nil {
			return err
		}
		if err := takeBack(tx, w.ID, stopped, today); err != nil {
			return err
		}
		return s.release(tx, c.Caller.Person.Named(), w, intake.Tonight(tx, w.ID), "in-error", req)
	})
}

// again does what a new start and the taking back of an end have in common.
func (c *call) again(did string, f func(tx *store.Tx, w care.Wearer, s *stand, req *againRequest, today civil.Date) error) error {
	var req againRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := tooLong(said{"why", req.Why, mostWords}, said{"words", req.Words, mostWords}); err != nil {
		return err
	}
	defer c.raised()
	return c.update(did, &transport.Done{OK: true}, func(tx *store.Tx, w care.Wearer, today civil.Date) (string, error) {
		s, err := standing(tx, w, today)
		if err != nil {
			return "", err
		}
		if err := stale(s.plan.Version, req.Base, "plan"); err != nil {
			return "", err
		}
		return "", f(tx, w, &s, &req, today)
	})
}

// freeToStart refuses a start while wear goes on, and while something else than its
// end holds a lens back: that has its own way out, which names what it lifts.
func (s *stand) freeToStart() error {
	if !s.ended() {
		return notEnded()
	}
	if len(s.causes) > 0 {
		return care.Errorf(care.Conflict, "held", "something else holds a lens back, since %s: a clinician lifts that first, under “Write to the family” or with its alert", s.causes[0].Night)
	}
	return nil
}

func notEnded() error {
	return care.Errorf(care.Conflict, "not-ended", "wear was not ended: there is nothing to start over from")
}

// mayStart refuses a new start that cannot be, and asks about one while an adverse
// event is not settled or after too short a wash-out.
func (s *stand) mayStart(req *againRequest, today civil.Date) error {
	if err := s.freeToStart(); err != nil {
		return err
	}
	c := s.courses[len(s.courses)-1]
	switch {
	case req.First.Before(c.Stopped) || req.First.IsZero():
		return care.Refuse("not-possible", "first", "want a first night from %s on, the first one without lenses", c.Stopped)
	case req.First.DaysSince(today) > care.MaxResumeDays:
		return care.Refuse("not-possible", "first", "want a first night within %d days", care.MaxResumeDays)
	case req.First.Before(today.AddDays(-farOff)):
		return care.Refuse("not-possible", "first", "want a first night within the last %d days", farOff)
	}
	w := course.WashOutOf(c, req.First, s.eyes(), s.visits, today)
	ask := course.UnsettledSaid(s.events)
	for _, e := range w.Eyes {
		baseline := req.BaselineRight
		if e.Eye == "left" {
			baseline = req.BaselineLeft
		}
		if !e.Steady {
			ask = append(ask, fmt.Sprintf("The refraction of the %s eye is not known to be steady after the end: %s.", e.Eye, e.Word))
		}
		if baseline == 0 {
			ask = append(ask, fmt.Sprintf("No new baseline is given for the %s eye: what the lenses do cannot be followed without one.", e.Eye))
		}
	}
	return record.AskUnless(req.Sure, ask)
}

// closed writes the end of a course into the plan where only the family's log has
// it, so that the next first night begins a new course and corrects no old one.
func (s *stand) closed(tx *store.Tx, w care.Wearer, by care.PersonID) error {
	if !s.plan.Stopped.IsZero() {
		return nil
	}
	d := s.plan
	d.Stopped = s.courses[len(s.courses)-1].Stopped
	d.From, d.Why, d.Remark = d.Stopped, "Wear ended, as the family was told", ""
	return storeNext(tx, w, by, d)
}

// release tells the family's phones that lenses are worn again from a night on, when
// the end of wear holds them back or is to, and lifts that alone; without it, what the clinician wrote to
// them.
func (s *stand) release(tx *store.Tx, who care.Person, w care.Wearer, from civil.Date, basis string, req *againRequest) error {
	holding := intake.CausesOf(s.wear)
	answers := slices.Concat(holding, care.Ahead(tx.Log().WearFacts(w.ID), intake.Tonight(tx, w.ID)))
	answers = slices.DeleteFunc(answers, func(id care.EntryID) bool { return !slices.Contains(s.over, id) })
	if len(answers) == 0 {
		return word(tx, who, w, req.Words, req.Yes)
	}
	return say(tx, who, w, intake.Saying{Causes: holding, Yes: req.Yes}, care.Resume, map[string]any{"eyes": "both", "answers": answers, "from": from, "basis": basis, "text": req.Words})
}

// takeBack marks the ending of that night as a mistake.
func takeBack(tx *store.Tx, w care.WearerID, stopped, today civil.Date) error {
	all, err := register.Shelved[course.Ending](tx.Chart(), register.Endings, w)
	for _, e := range all {
		if e.Stopped == stopped && e.TakenBack.IsZero() && err == nil {
			e.TakenBack = today
			err = tx.Chart().Shelve(register.Endings, w, e.ID, e)
		}
	}
	return err
}
