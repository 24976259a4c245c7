package course

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

const (
	farOff       = 60 // days before or after today from which an end of wear is asked about (common practice)
	endLooksIn   = 28 // days after the end by which the eyes are looked at (the last of the usual checks)
	mostWords    = 500
	mostLongNote = 4000
)

type endRequest struct {
	Stopped civil.Date `json:"stopped"` // first night without lenses
	Reason  string     `json:"reason"`
	Note    string     `json:"note,omitempty"`  // for the practice
	Words   string     `json:"words,omitempty"` // to the family
	Base    int        `json:"base"`            // version of the plan it began from
	Sure    bool       `json:"sure,omitempty"`
	Yes     string     `json:"yes,omitempty"` // of the reading of own words that was shown
}

// end ends wear: the plan asks for no lens from that night on, why is kept, and the
// family's log has the stop, which begins with that night on every phone, also on one
// without a network then. An end of today stops at once, in the morning too.
func (c *call) end() error {
	var req endRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if req.Reason == "" {
		return care.Refuse("missing", "reason", "choose why wear ends")
	}
	if !slices.ContainsFunc(course.EndingReasons(), func(r course.EndingReason) bool { return r.Key == req.Reason }) {
		return care.Refuse("bad-reason", "reason", "want one of %s", strings.Join(endingWords(), ", "))
	}
	if err := tooLong(said{"note", req.Note, mostLongNote}, said{"words", req.Words, mostWords}); err != nil {
		return err
	}
	defer c.raised()
	return c.update("ended wear", &transport.Done{OK: true}, func(tx *store.Tx, w care.Wearer, today civil.Date) (string, error) {
		s, err := standing(tx, w, today)
		if err != nil {
			return "", err
		}
		if err := s.mayEnd(tx, &req, today); err != nil {
			return "", err
		}
		d := s.plan
		d.From, d.Stopped, d.Why, d.Remark = req.Stopped, req.Stopped, "Wear ended: "+endingTitle(req.Reason), req.Words
		if err := storeNext(tx, w, c.Caller.Person.ID, d); err != nil {
			return "", err
		}
		cease := map[string]any{"eyes": "both", "reason": "ended", "review_by": req.Stopped.AddDays(endLooksIn), "text": req.Words}
		if req.Stopped.After(intake.Evening(tx, w.ID)) {
			cease["from"] = req.Stopped
		}
		if err := say(tx, c.Caller.Person.Named(), w, intake.Saying{Yes: req.Yes}, care.Cease, cease); err != nil {
			return "", err
		}
		e := course.Ending{ID: access.NewID(), Stopped: req.Stopped, Reason: req.Reason, Note: req.Note, By: c.Caller.Person.Name, On: today}
		return e.ID, tx.Chart().Shelve(register.Endings, w.ID, e.ID, e)
	})
}

func endingWords() (out []string) {
	for _, r := range course.EndingReasons() {
		out = append(out, r.Key)
	}
	return out
}

func endingTitle(key string) string {
	for _, r := range course.EndingReasons() {
		if r.Key == key {
			return strings.ToLower(r.Title)
		}
	}
	return key
}

// mayEnd refuses an end that cannot be, and asks about one that is unlikely.
func (s *stand) mayEnd(tx *store.Tx, req *endRequest, today civil.Date) error {
	if len(s.courses) == 0 {
		return care.Errorf(care.Conflict, "not-started", "wear has not begun: there is nothing to end")
	}
	if s.ended() {
		return care.Errorf(care.Conflict, "ended", "wear was ended already, from the night of %s", s.courses[len(s.courses)-1].Stopped)
	}
	if err := stale(s.plan.Version, req.Base, "plan"); err != nil {
		return err
	}
	if first := s.courses[len(s.courses)-1].First; !req.Stopped.After(first) {
		return care.Refuse("not-possible", "stopped", "want a night after the first one in lenses, %s", first)
	}
	ask, err := s.doubtEnd(tx, req, today)
	if err != nil {
		return err
	}
	return record.AskUnless(req.Sure, ask)
}

// doubtEnd asks about an odd date, one before nights that are logged with a lens, and an
// adverse event of which there is no record.
func (s *stand) doubtEnd(tx *store.Tx, req *endRequest, today civil.Date) (ask []string, err error) {
	if n := req.Stopped.DaysSince(today); n > farOff || n < -farOff {
		ask = append(ask, fmt.Sprintf("The first night without lenses, %s, is more than %d days away.", req.Stopped, farOff))
	}
	nights, err := tx.Log().Nights(s.wearer, req.Stopped, today)
	if err != nil {
		return nil, err
	}
	nights = slices.DeleteFunc(nights, func(n care.Night) bool { return !review.WornIn(&n) })
	if n := len(nights); n > 0 {
		ask = append(ask, fmt.Sprintf("Nights logged with lenses from %s on: %d, the last %s.", req.Stopped, n, nights[n-1].Date))
	}
	if req.Reason == "adverse-event" && len(s.events) == 0 {
		ask = append(ask, "No adverse event of this wearer is written down: write it down under “Lenses”, so that it is counted and stands in the review.")
	}
	return ask, nil
}

type spectaclesRequest struct {
	Ending string     `json:"ending"`
	On     civil.Date `json:"on"` // zero: not yet
	Note   string     `json:"note,omitempty"`
}

// spectacles notes when the wearer had correction for the day after the end.
func (c *call) spectacles() error {
	var req spectaclesRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := tooLong(said{"note", req.Note, mostWords}); err != nil {
		return err
	}
	return c.update("noted spectacles", &transport.Done{OK: true}, func(tx *store.Tx, w care.Wearer, today civil.Date) (string, error) {
		e, err := register.OnShelf[course.Ending](tx.Chart(), register.Endings, w.ID, req.Ending)
		if err != nil {
			return "", err
		}
		if err := notYet("on", req.On, today); err != nil {
			return "", err
		}
		e.Spectacles, e.SpectaclesNote = req.On, req.Note
		return e.ID, tx.Chart().Shelve(register.Endings, w.ID, e.ID, e)
	})
}

// storeNext stores the next version of a plan by the doc of the one before it.
func storeNext(tx *store.Tx, w care.Wearer, by care.PersonID, d record.PlanDoc) error {
	d.Base, d.Sure, d.ChangedBy, d.ChangedAt, d.ReadAt = 0, false, "", nil, nil
	_, err := record.StorePlan(tx, w, by, d)
	return err
}

// say writes one entry of the practice in the family's log; s holds the causes that were
// shown and the yes to own words.
func say(tx *store.Tx, who care.Person, w care.Wearer, s intake.Saying, kind care.EntryKind, body map[string]any) error {
	if body["text"] == "" {
		delete(body, "text")
	}
	raw, err := json.Marshal(body)
	if err != nil {
		return err
	}
	s.Entries = []intake.Draft{{Kind: kind, Body: raw}}
	_, err = intake.Say(tx, who, w, s.Begins())
	return err
}

// word writes free words to the family, when there are any.
func word(tx *store.Tx, who care.Person, w care.Wearer, text, yes string) error {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	return say(tx, who, w, intake.Saying{Yes: yes}, care.Word, map[string]any{"text": text})
}

// raised lets the worker look at once for what is to be sent.
func (c *call) raised() {
	if f := c.Srv.Intake.Raised; f != nil {
		f()
	}
}
