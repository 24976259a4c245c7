package clinic

import (
	"fmt"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// --- figures of the practice ---

func (c *call) practice() error {
	from, err := c.QueryDate("from")
	if err != nil {
		return err
	}
	to, err := c.QueryDate("to")
	if err != nil {
		return err
	}
	var figures review.PracticeFigures
	return c.ReplyView(&figures, func(tx *store.Tx) error {
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
		in := review.PracticeInput{From: from, To: to, Today: today}
		var all []care.Wearer
		if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
			return err
		}
		left := 0
		for _, w := range all {
			err := tx.Try(func() error {
				f, err := record.OpenFile(tx, w, from, to)
				if err != nil {
					return err
				}
				alerts, err := alertFacts(tx, w.ID, loc)
				if err != nil {
					return err
				}
				in.Alerts = append(in.Alerts, alerts...)
				in.Wearers = append(in.Wearers, review.TallyOf(review.Input{
					Wearer: f.Wearer, From: from, To: to, Today: today, Nights: f.Nights, Plans: f.Plans, Visits: f.Visits, Wear: tx.Log().WearFacts(w.ID),
				}, f.Recalls))
				return nil
			})
			if err != nil {
				left++
			}
		}
		if figures = review.Practice(in); left > 0 {
			figures.Notes = append(figures.Notes, fmt.Sprintf("%d wearers are left out: their records cannot be read.", left))
		}
		return nil
	})
}
