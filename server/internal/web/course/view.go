package course

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// courseView is what becomes of a wearer beside the nightly log.
type courseView struct {
	Wearer  head                  `json:"wearer"`
	Today   civil.Date            `json:"today"`
	Plan    int                   `json:"plan"`    // newest version of the plan; 0: none
	Ended   bool                  `json:"ended"`   // no lens is worn by agreement, as of today
	Ends    civil.Date            `json:"ends"`    // first night without; zero while wear goes on
	Stopped []string              `json:"stopped"` // eyes that are stopped now, right first
	Causes  []cause               `json:"causes"`  // what else holds a lens back, and would have to be lifted first
	Courses []courseRow           `json:"courses"` // oldest first
	Endings []course.Ending       `json:"endings"` // oldest first
	Reasons []course.EndingReason `json:"reasons"`

	Events   []course.AdverseEvent `json:"events"` // newest first
	Alerts   []eventAlert          `json:"alerts"` // that an event can have come by, newest first
	Kinds    []course.Named        `json:"kinds"`
	Actions  []course.Named        `json:"actions"`
	Outcomes []course.Named        `json:"outcomes"`
	Serious  []course.Named        `json:"serious"`
	Lenses   []course.Lens         `json:"lenses"`

	Candidates []course.Candidate `json:"candidates"` // newest first
	Consents   []consentRow       `json:"consents"`
}

// cause is something that holds a lens back beside the end of wear.
type cause struct {
	Eye   string     `json:"eye"`
	Kind  string     `json:"kind"`
	Night civil.Date `json:"night"`
}

// courseRow is one course of wear, and the wash-out after it.
type courseRow struct {
	course.Course
	WashOut *course.WashOut `json:"wash_out"` // nil while wear goes on
}

type eventAlert struct {
	ID     care.AlertID `json:"id"`
	Rule   string       `json:"rule"`
	Opened time.Time    `json:"opened"`
	// Event reports whether it was closed with an outcome that counts as an event.
	Event bool `json:"event"`
}

// consentRow is who of the family agreed to which text, and when.
type consentRow struct {
	Person  string    `json:"person"`
	Role    care.Role `json:"role"`
	Version string    `json:"version"`
	At      time.Time `json:"at"`
	// Withdrawn says that the consent was taken back then.
	Withdrawn bool `json:"withdrawn"`
}

func (c *call) course() error {
	var v courseView
	err := c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err == nil {
			v, err = viewOf(tx, w)
		}
		return err
	})
	if err != nil {
		return err
	}
	c.AuditSeen("read course", string(v.Wearer.ID))
	return c.Reply(v)
}

func viewOf(tx *store.Tx, w care.Wearer) (courseView, error) {
	v := courseView{Wearer: headOf(w), Reasons: course.EndingReasons(), Kinds: course.AdverseKinds(), Actions: course.AdverseActions(),
		Outcomes: course.AdverseOutcomes(), Serious: course.SeriousReasons(), Alerts: []eventAlert{}, Courses: []courseRow{}, Consents: []consentRow{}}
	today, _, err := record.Today(tx)
	if err != nil {
		return v, err
	}
	v.Today = today
	s, err := standing(tx, w, today)
	if err != nil {
		return v, err
	}
	v.Plan, v.Courses, v.Causes, v.Stopped = s.plan.Version, s.stretches(today), s.causes, s.stoppedEyes()
	if s.ended() {
		v.Ends = s.courses[len(s.courses)-1].Stopped
		v.Ended = !v.Ends.After(today)
	}
	if v.Endings, err = register.Shelved[course.Ending](tx.Chart(), register.Endings, w.ID); err != nil {
		return v, err
	}
	slices.SortStableFunc(v.Endings, func(a, b course.Ending) int { return a.Stopped.Compare(b.Stopped) })
	if v.Lenses, err = register.Shelved[course.Lens](tx.Chart(), register.Lenses, w.ID); err != nil {
		return v, err
	}
	v.Events = s.events
	slices.SortStableFunc(v.Events, func(a, b course.AdverseEvent) int { return b.Began.Compare(a.Began) })
	if v.Candidates, err = register.Shelved[course.Candidate](tx.Chart(), register.Candidates, w.ID); err != nil {
		return v, err
	}
	slices.SortStableFunc(v.Candidates, func(a, b course.Candidate) int { return b.At.Compare(a.At) })
	if v.Alerts, err = alertsOf(tx, w.ID); err != nil {
		return v, err
	}
	v.Consents, err = consentsOf(tx, w)
	return v, err
}

// stand is where a wearer's courses stand.
type stand struct {
	wearer  care.WearerID
	plan    record.PlanDoc // the newest; zero: none
	courses []course.Course
	visits  []course.Visit
	events  []course.AdverseEvent
	wear    care.Wear
	over    []care.EntryID // causes that are the end of wear itself
	causes  []cause        // all others
}

func standing(tx *store.Tx, w care.Wearer, today civil.Date) (stand, error) {
	s := stand{wearer: w.ID, causes: []cause{}}
	f, err := record.OpenFile(tx, w, today, today)
	if err != nil {
		return s, err
	}
	s.courses, s.visits = review.Courses(f.Plans), f.Visits
	docs, err := record.PlanDocs(tx, w.ID)
	if err != nil {
		return s, err
	}
	if len(docs) > 0 {
		s.plan = docs[len(docs)-1]
	}
	if s.events, err = register.Shelved[course.AdverseEvent](tx.Chart(), register.Events, w.ID); err != nil {
		return s, err
	}
	s.wear = intake.WearNow(tx, w.ID)
	for _, fact := range tx.Log().WearFacts(w.ID) {
		if fact.Over {
			s.over = append(s.over, fact.ID)
		}
	}
	for _, eye := range []string{"right", "left"} {
		for _, k := range s.wear.Eye(eye).Causes {
			if !slices.Contains(s.over, k.ID) {
				s.causes = append(s.causes, cause{eye, string(k.Kind), k.Night})
			}
		}
	}
	return s, nil
}

// ended reports whether the newest course was stopped, or is to be.
func (s *stand) ended() bool {
	return len(s.courses) > 0 && !s.courses[len(s.courses)-1].Stopped.IsZero()
}

func (s *stand) eyes() []string {
	if e := s.plan.Eyes; e == "right" || e == "left" {
		return []string{e}
	}
	return []string{"right", "left"}
}

// stoppedEyes are the eyes that a stop holds a lens back from now, whatever its cause.
func (s *stand) stoppedEyes() []string {
	out := []string{}
	for _, eye := range []string{"right", "left"} {
		if s.wear.Eye(eye).State == care.Stop {
			out = append(out, eye)
		}
	}
	return out
}

func (s *stand) stretches(today civil.Date) []courseRow {
	out := []courseRow{}
	for i, c := range s.courses {
		x := courseRow{Course: c}
		if !c.Stopped.IsZero() && !c.Stopped.After(today) {
			var next civil.Date
			if i+1 < len(s.courses) {
				next = s.courses[i+1].First
			}
			w := course.WashOutOf(c, next, s.eyes(), s.visits, today)
			x.WashOut = &w
		}
		out = append(out, x)
	}
	return out
}

func alertsOf(tx *store.Tx, w care.WearerID) ([]eventAlert, error) {
	out := []eventAlert{}
	list, err := tx.Duty().WearerAlerts(w)
	for _, a := range list {
		o, _ := episode.OutcomeOf(a.Outcome)
		out = append(out, eventAlert{a.ID, a.Rule, a.Opened, o.Event})
	}
	slices.SortStableFunc(out, func(a, b eventAlert) int { return b.Opened.Compare(a.Opened) })
	return out, err
}

// consentsOf is the history of consent about a wearer, oldest first; a line of before
// it was asked whose care it is about counts for each.
func consentsOf(tx *store.Tx, w care.Wearer) ([]consentRow, error) {
	out := []consentRow{}
	people, err := tx.Register().People(w.Family)
	for _, p := range people {
		var list []register.Consent
		if list, err = tx.Access().Consents(p.ID); err != nil {
			return out, err
		}
		for _, k := range list {
			out = append(out, consentRow{p.Name, p.Role, k.Version, k.At, k.Withdrawn})
		}
	}
	slices.SortStableFunc(out, func(a, b consentRow) int { return a.At.Compare(b.At) })
	return out, err
}
