package clinic

import (
	"encoding/json"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

type visitList struct {
	Visits []course.Visit `json:"visits"`
	Due    []dueVisit     `json:"due"`
}

type dueVisit struct {
	Kind   string     `json:"kind"`
	Due    civil.Date `json:"due"`
	Booked civil.Date `json:"booked"` // there is an appointment on that day; zero: none
}

type visitReply struct {
	Visit course.Visit `json:"visit"`
}

type visitRequest struct {
	course.Visit
	Sure bool   `json:"sure,omitempty"` // what is unlikely was asked about
	Why  string `json:"why,omitempty"`  // a booked visit is moved, as a word of [course.MoveReasons]
}

// visitKinds and visitStates are the closed lists of package review.
var (
	visitKinds  = []string{"first-morning", "one-week", "two-week", "one-month", "recall", "unscheduled", "suitability"}
	visitStates = []string{"booked", "kept", "missed", "cancelled", "waived"}
)

func (c *call) visits() error {
	var v visitList
	err := c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if v.Visits, err = register.Visits[course.Visit](tx.Chart(), w.ID); err != nil {
			return err
		}
		v.Due, err = recallsDue(tx, w.ID)
		return err
	})
	if err != nil {
		return err
	}
	slices.SortFunc(v.Visits, func(a, b course.Visit) int { return b.Date.Compare(a.Date) })
	c.AuditSeen("read visits", c.Params("id"))
	return c.Reply(v)
}

// check refuses what is no visit.
func (v *visitRequest) check() error {
	switch {
	case v.Date.IsZero():
		return care.Refuse("bad-date", "date", "want the date of the visit as YYYY-MM-DD")
	case !slices.Contains(visitKinds, v.Kind):
		return care.Refuse("bad-kind", "kind", "want one of %s", strings.Join(visitKinds, ", "))
	case len(v.ID) > 64 || strings.ContainsAny(v.ID, "\x00/"):
		return care.Refuse("bad-id", "id", "want the id of a visit, or none for a new one")
	case v.Time != "" && !isClock(v.Time):
		return care.Refuse("bad-time", "time", "want a time as HH:MM, or none")
	case !slices.Contains(visitStates, v.State):
		return care.Refuse("bad-state", "state", "want one of %s", strings.Join(visitStates, ", "))
	}
	return nil
}

func (c *call) saveVisit() error {
	req, err := c.readVisit()
	if err != nil {
		return err
	}
	busy, err := c.busyHours(care.WearerID(c.Params("id")))
	if err != nil {
		return err
	}
	var r visitReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		v := req.Visit // the transaction may run again
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if c.Caller.Person.Role == care.Desk {
			if v, err = deskVisit(tx, w.ID, v); err != nil {
				return err
			}
		}
		if v.Rev, err = nextRev(tx, w.ID, v); err != nil {
			return err
		}
		if v.Moves, err = c.moves(tx, w.ID, &v, req.Why); err != nil {
			return err
		}
		if err := likelyVisit(tx, w, &v, busy, req.Sure); err != nil {
			return err
		}
		if err := tellMoved(tx, c.Caller.Person.Named(), w, &v); err != nil {
			return err
		}
		if err := tx.Chart().PutVisit(w.ID, v.ID, v); err != nil {
			return err
		}
		r.Visit = v
		return tx.Audit().Append(c.Caller.Person.ID, "stored visit", string(w.ID)+" "+v.ID)
	})
}

func (c *call) readVisit() (req visitRequest, err error) {
	if err := c.Read(&req); err != nil {
		return req, err
	}
	if req.Visit.ID == "" {
		req.Visit.ID = access.NewID()
	}
	req.Visit.By = c.Caller.Person.Name
	return req, req.check()
}

// nextRev refuses a save over what its author has not seen: of a visit that somebody
// else saved since.
func nextRev(tx *store.Tx, w care.WearerID, v course.Visit) (int, error) {
	all, err := register.Visits[course.Visit](tx.Chart(), w)
	i := slices.IndexFunc(all, func(x course.Visit) bool { return x.ID == v.ID })
	switch {
	case err != nil:
		return 0, err
	case i < 0 && v.Rev == 0:
		return 1, nil
	case i < 0:
		return 0, care.Errorf(care.Conflict, "visit-changed", "this visit is not there any more; nothing of yours was saved")
	case all[i].Rev != v.Rev:
		return 0, care.Errorf(care.Conflict, "visit-changed", "%s saved this visit since you began: it is %s on %s now; nothing of yours was saved", all[i].By, all[i].State, strings.TrimSpace(all[i].Date.String()+" "+all[i].Time))
	}
	return v.Rev + 1, nil
}

// moves are the appointments a visit was before, with the one that it is moved from
// now; a move says why.
func (c *call) moves(tx *store.Tx, w care.WearerID, v *course.Visit, why string) ([]course.Move, error) {
	all, err := register.Visits[course.Visit](tx.Chart(), w)
	i := slices.IndexFunc(all, func(x course.Visit) bool { return x.ID == v.ID })
	if err != nil || i < 0 {
		return nil, err
	}
	old := all[i]
	if old.State != "booked" || v.State != "booked" || old.Date == v.Date && (old.Time == v.Time || old.Time == "") {
		return old.Moves, nil
	}
	if why == "" {
		return nil, care.Refuse("no-reason", "why", "the visit of %s is moved: choose why", old.Date)
	}
	if !slices.Contains(course.MoveReasons(), why) {
		return nil, care.Refuse("bad-reason", "why", "want one of %s", strings.Join(course.MoveReasons(), ", "))
	}
	today, _, err := record.Today(tx)
	return append(old.Moves, course.Move{Date: old.Date, Time: old.Time, Why: why, By: c.Caller.Person.Name, On: today}), err
}

// likelyVisit refuses what cannot be, and asks about what is unlikely.
func likelyVisit(tx *store.Tx, w care.Wearer, v *course.Visit, busy []bookedAt, sure bool) error {
	today, loc, err := record.Today(tx)
	if err != nil {
		return err
	}
	if err := checkVisit(v, w, today); err != nil {
		return err
	}
	p, err := tx.Register().Practice()
	if err != nil {
		return err
	}
	mine, err := register.Visits[course.Visit](tx.Chart(), w.ID)
	if err != nil {
		return err
	}
	if err := wearUndecided(tx, w, v, mine, today); err != nil {
		return err
	}
	return doubtVisit(v, p, mine, busy, tx.Now.In(loc)).ask(sure)
}

// deskVisit is a visit as the desk may store it: an appointment. What was found,
// whether it was kept and whether it may be left out is the practitioner's word.
func deskVisit(tx *store.Tx, w care.WearerID, v course.Visit) (course.Visit, error) {
	all, err := register.Visits[course.Visit](tx.Chart(), w)
	if err != nil {
		return v, err
	}
	var old course.Visit
	if i := slices.IndexFunc(all, func(x course.Visit) bool { return x.ID == v.ID }); i >= 0 {
		old = all[i]
	}
	for _, state := range []string{v.State, old.State} {
		if state == "kept" || state == "waived" {
			return v, care.Errorf(care.Forbidden, "not-allowed", "a clinician records that a visit was kept or is left out; the desk books, moves and cancels, and notes who did not come")
		}
	}
	v.Right, v.Left, v.Scale, v.Instrument, v.Advice = old.Right, old.Left, old.Scale, old.Instrument, old.Advice
	v.Cycloplegia, v.Note = old.Cycloplegia, old.Note
	return v, nil
}

func isClock(s string) bool {
	_, err := civil.ParseClock(s)
	return err == nil
}

// recallsDue are the visits the plan asks for that are neither kept nor over.
func recallsDue(tx *store.Tx, w care.WearerID) ([]dueVisit, error) {
	today, _, err := record.Today(tx)
	if err != nil {
		return nil, err
	}
	f, err := record.OpenFile(tx, care.Wearer{ID: w}, today, today)
	out := []dueVisit{}
	for _, r := range f.Open() {
		d := dueVisit{Kind: r.Kind, Due: r.Due}
		if r.State == "booked" {
			d.Booked = r.Date
		}
		out = append(out, d)
	}
	return out, err
}

// bookSaid books the visits that were told to the family, in the caller's
// transaction, so that every list has them. One that is booked already stays.
func bookSaid(tx *store.Tx, who care.Person, w care.Wearer, said []*care.Entry) error {
	for _, e := range said {
		if e.Kind != care.Visit {
			continue
		}
		var body struct {
			On        civil.Date `json:"on"`
			At        string     `json:"at"`
			Cancelled bool       `json:"cancelled"`
		}
		if err := json.Unmarshal(e.Body, &body); err != nil {
			return err
		}
		if body.Cancelled {
			continue
		}
		v := course.Visit{Date: body.On, Time: body.At, Kind: "unscheduled", State: "booked", By: who.Name}
		if err := bookOnce(tx, who, w, v); err != nil {
			return err
		}
	}
	return nil
}

// tellMoved tells a family of a visit that is off, or on another day or at another hour,
// where it was told of it: else their phones go on saying that it is booked. It comes
// before v is stored.
func tellMoved(tx *store.Tx, who care.Person, w care.Wearer, v *course.Visit) error {
	mine, err := register.Visits[course.Visit](tx.Chart(), w.ID)
	i := slices.IndexFunc(mine, func(x course.Visit) bool { return x.ID == v.ID })
	if err != nil || i < 0 || mine[i].State != "booked" {
		return err
	}
	old := mine[i]
	off := v.State == "cancelled"
	if !off && (v.State != "booked" || v.Date == old.Date && v.Time == old.Time) {
		return nil
	}
	told := toldOf(tx, w.ID, old.Date)
	if told == "" {
		return nil
	}
	body := map[string]any{"on": v.Date, "moves": told}
	if off {
		body["on"], body["cancelled"] = old.Date, true
	}
	if v.Time != "" {
		body["at"] = v.Time
	}
	raw, err := json.Marshal(body)
	if err != nil {
		return err
	}
	_, err = intake.Say(tx, who, w, intake.Saying{Entries: []intake.Draft{{Kind: care.Visit, Body: raw}}})
	return err
}

// toldOf is the entry by which a family was told last of a visit on a day; "" where it was
// not, or was told since that it is off or moved.
func toldOf(tx *store.Tx, w care.WearerID, on civil.Date) (told care.EntryID) {
	for _, e := range tx.Log().WearEntries(w) {
		var b struct {
			On        civil.Date   `json:"on"`
			Moves     care.EntryID `json:"moves"`
			Cancelled bool         `json:"cancelled"`
		}
		if e.Kind != care.Visit || json.Unmarshal(e.Body, &b) != nil {
			continue
		}
		if b.Moves == told || b.Cancelled && b.On == on {
			told = ""
		}
		if b.On == on && !b.Cancelled {
			told = e.ID
		}
	}
	return told
}

// bookOnce stores an appointment unless the wearer has one at that hour, or on
// that day when no hour was said. One of that day without an hour takes it.
func bookOnce(tx *store.Tx, who care.Person, w care.Wearer, v course.Visit) error {
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	if err := checkVisit(&v, w, today); err != nil {
		return err
	}
	mine, err := register.Visits[course.Visit](tx.Chart(), w.ID)
	if err != nil {
		return err
	}
	same := func(x course.Visit) bool { return x.State == "booked" && x.Date == v.Date }
	if slices.ContainsFunc(mine, func(x course.Visit) bool { return same(x) && (v.Time == "" || x.Time == v.Time) }) {
		return nil
	}
	v.ID = access.NewID()
	if i := slices.IndexFunc(mine, func(x course.Visit) bool { return same(x) && x.Time == "" }); i >= 0 {
		mine[i].Time = v.Time
		v = mine[i]
		v.Rev++
	}
	if err := tx.Chart().PutVisit(w.ID, v.ID, v); err != nil {
		return err
	}
	return tx.Audit().Append(who.ID, "stored visit", string(w.ID)+" "+v.ID)
}

// nextBooked is the day of a wearer's next visit, today or later; zero when none is
// booked.
func nextBooked(tx *store.Tx, w care.WearerID) (on civil.Date, err error) {
	today, _, err := record.Today(tx)
	if err != nil {
		return on, err
	}
	mine, err := register.Visits[course.Visit](tx.Chart(), w)
	for _, v := range mine {
		if v.State == "booked" && !v.Date.Before(today) && (on.IsZero() || v.Date.Before(on)) {
			on = v.Date
		}
	}
	return on, err
}
