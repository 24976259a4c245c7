package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/figures"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

func (c *call) review() error {
	sum, err := c.reviewed()
	if err != nil {
		return err
	}
	if err := c.Audit("read review", c.Params("id")); err != nil {
		return err
	}
	return c.Reply(sum)
}

// markOfReview says by which mark a page knows that what it shows of a wearer still holds.
type markOfReview struct {
	Mark string `json:"mark"`
}

// reviewMark answers the mark of the review as it would be now. A page asks it again
// and again, and reads the review, which goes into the audit log, only when it changed.
func (c *call) reviewMark() error {
	sum, err := c.reviewed()
	if err != nil {
		return err
	}
	return c.Reply(markOfReview{sum.Mark})
}

// reviewed makes the review of the wearer and the range that are asked for.
func (c *call) reviewed() (sum review.Summary, err error) {
	from, err := c.QueryDate("from")
	if err != nil {
		return sum, err
	}
	to, err := c.QueryDate("to")
	if err != nil {
		return sum, err
	}
	var in review.Input
	var taken bool
	var phones []review.Phone
	err = c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if in, err = reviewInput(tx, w, from, to); err != nil {
			return err
		}
		if len(care.LensesHeld(in.Call.LensesIn)) > 0 {
			if _, _, phones, err = numbersOf(tx, w.Family); err != nil {
				return err
			}
		}
		taken, err = tx.Access().Withdrawn(w.Family)
		return err
	})
	if err != nil {
		return sum, err
	}
	sum = review.Summarise(in)
	sum.ConsentWithdrawn, sum.Phones = taken, phones
	text, err := json.Marshal(sum)
	if err != nil {
		return sum, err
	}
	of := sha256.Sum256(text)
	sum.Mark = hex.EncodeToString(of[:markBytes])
	return sum, nil
}

// markBytes is how much of a review's SHA-256 a page compares: two states of one wearer
// have the same by chance once in 2^64.
const markBytes = 8

func reviewInput(tx *store.Tx, w care.Wearer, from, to civil.Date) (review.Input, error) {
	today, loc, err := record.Today(tx)
	if err != nil {
		return review.Input{}, err
	}
	f, err := record.OpenFile(tx, w, record.LongAgo, today)
	if err != nil {
		return review.Input{}, err
	}
	in := review.Input{Wearer: w, From: from, To: to, Today: today, Nights: f.Nights, Plans: f.Plans, Visits: f.Visits, Wear: tx.Log().WearFacts(w.ID), People: map[care.PersonID]string{}}
	err = tx.Log().WearerEntries(w.ID, record.LongAgo, today, func(e care.Entry) bool { in.Entries = append(in.Entries, &e); return true })
	if err != nil {
		return in, err
	}
	// Also of those who left, and who wrote before the wearer had a family of
	// their own; an erased person has no name.
	for _, e := range in.Entries {
		if _, known := in.People[e.Author]; known {
			continue
		}
		p, err := tx.Register().Person(e.Author)
		if err != nil && care.KindOf(err) != care.NotFound {
			return in, err
		}
		in.People[e.Author] = p.Name
	}
	if in.Events, err = register.Shelved[course.AdverseEvent](tx.Chart(), register.Events, w.ID); err != nil {
		return in, err
	}
	if in.Endings, err = register.Shelved[course.Ending](tx.Chart(), register.Endings, w.ID); err != nil {
		return in, err
	}
	if in.Lenses, err = lensWords(tx, w.ID); err != nil {
		return in, err
	}
	if in.Alerts, err = alertFacts(tx, w.ID, loc); err != nil {
		return in, err
	}
	nameAlerts(tx, in.Alerts)
	in.Call, err = reviewCall(tx, f)
	return in, err
}

// nameAlerts gives each alert the name of its card.
func nameAlerts(tx *store.Tx, facts []review.AlertFact) {
	for i := range facts {
		if a, err := tx.Duty().Alert(facts[i].ID); err == nil {
			v := viewAlert(tx, a)
			facts[i].Title, facts[i].Eye = v.Title, v.Eye
		}
	}
}

// reviewCall is what Today goes by, for the review to say the same.
func reviewCall(tx *store.Tx, f record.File) (*review.CallInput, error) {
	day, loc, err := practiceDayOf(tx)
	if err != nil {
		return nil, err
	}
	heard, err := lastHeard(tx, f.Wearer.ID, day.today, loc)
	if err != nil {
		return nil, err
	}
	in, err := callInput(tx, f, day, loc, heard)
	return &in, err
}

// lensWords are the lenses of the newest plan, by eye.
func lensWords(tx *store.Tx, w care.WearerID) (map[string]string, error) {
	docs, err := record.PlanDocs(tx, w)
	if err != nil || len(docs) == 0 {
		return nil, err
	}
	d := docs[len(docs)-1]
	return map[string]string{"right": d.Right.Words(), "left": d.Left.Words()}, nil
}

// practice answers the figures of the practice over a range.
func (c *call) practice() error {
	from, err := c.QueryDate("from")
	if err != nil {
		return err
	}
	to, err := c.QueryDate("to")
	if err != nil {
		return err
	}
	var out figures.PracticeFigures
	return c.ReplyView(&out, func(tx *store.Tx) error {
		today, loc, err := record.Today(tx)
		if err != nil {
			return err
		}
		if to.IsZero() {
			to = today.AddDays(-1)
		}
		if from.IsZero() {
			from = to.AddDays(-89)
		}
		if to.Before(from) {
			return care.Refuse("bad-range", "to", "want a last date that is not before the first")
		}
		in := figures.Input{From: from, To: to, Today: today, Whole: c.Caller.Person.Role != care.Administrator}
		var all []care.Wearer
		if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
			return err
		}
		left := 0
		for _, w := range all {
			err := tx.Try(func() error { return addTo(&in, tx, w, loc) })
			if err != nil {
				left++
			}
		}
		if out = figures.Of(in); left > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("%d wearers are left out: their records cannot be read.", left))
		}
		return nil
	})
}

// addTo adds one wearer to what the figures of a practice are made of.
func addTo(in *figures.Input, tx *store.Tx, w care.Wearer, loc *time.Location) error {
	f, err := record.OpenFile(tx, w, in.From, in.To)
	if err != nil {
		return err
	}
	alerts, err := alertFacts(tx, w.ID, loc)
	if err != nil {
		return err
	}
	in.Alerts = append(in.Alerts, alerts...)
	events, err := register.Shelved[course.AdverseEvent](tx.Chart(), register.Events, w.ID)
	if err != nil {
		return err
	}
	for i := range events {
		in.Adverse = append(in.Adverse, events[i].Fact())
	}
	if taken, err := tx.Access().Withdrawn(w.Family); err != nil || taken {
		return err // alerts and harm are counted all the same: they say how safe the practice is
	}
	in.Wearers = append(in.Wearers, review.TallyOf(review.Input{
		Wearer: f.Wearer, From: in.From, To: in.To, Today: in.Today, Nights: f.Nights, Plans: f.Plans, Visits: f.Visits,
		Wear: tx.Log().WearFacts(w.ID),
	}, f.Recalls))
	return nil
}
