package web

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// --- figures of the practice ---

func (c *call) practice() error {
	from, err := c.queryDate("from")
	if err != nil {
		return err
	}
	to, err := c.queryDate("to")
	if err != nil {
		return err
	}
	var figures review.PracticeFigures
	err = c.srv.DB.View(func(tx *store.Tx) error {
		today, loc, err := practiceToday(tx)
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
		if err := tx.AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
			return err
		}
		for _, w := range all {
			f, err := openFile(tx, w, from, to)
			if err != nil {
				return err
			}
			alerts, err := alertFacts(tx, w.ID, loc)
			if err != nil {
				return err
			}
			in.Alerts = append(in.Alerts, alerts...)
			in.Wearers = append(in.Wearers, review.TallyOf(review.Input{Wearer: f.wearer, From: from, To: to, Today: today, Nights: f.nights, Plans: f.plans, Visits: f.visits}, f.recalls))
		}
		figures = review.Practice(in)
		return nil
	})
	if err != nil {
		return err
	}
	return c.reply(figures)
}
