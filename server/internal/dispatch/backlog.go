package dispatch

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// clearBacklog makes little of the mails that have waited while no mail server
// took any, of which rows are those to be sent now. After a day the ladder has left
// one about each alert for every quarter of an hour, all saying the same: only the
// last stays, and each red flag is mailed once, to each person. Everything else
// that waits for a person becomes one summary. What stands for others goes now
// too, even where its own turn was later. It returns the rows to send.
func clearBacklog(tx *store.Tx, rows []escalate.Row, now time.Time) ([]escalate.Row, error) {
	if !slices.ContainsFunc(rows, func(r escalate.Row) bool { return r.Channel == escalate.Mail }) {
		return rows, nil
	}
	groups := map[backlog][]escalate.Row{}
	err := tx.Duty().EachRow(func(r escalate.Row) {
		if r.Channel == escalate.Mail && !now.Before(r.LeaseUntil) && (r.Attempt > 0 || r.Ready(now)) {
			k := backlogOf(r)
			groups[k] = append(groups[k], r)
		}
	})
	if err != nil {
		return nil, err
	}
	rows = slices.DeleteFunc(slices.Clone(rows), func(r escalate.Row) bool { return r.Channel == escalate.Mail })
	for k, waiting := range groups {
		if k.alert == "" && !slices.ContainsFunc(waiting, func(r escalate.Row) bool { return r.Attempt > 0 }) {
			rows = append(rows, waiting...) // mail works: each says its own
			continue
		}
		one, err := oneOf(tx, k, waiting)
		if err != nil {
			return nil, err
		}
		if one.Ready(now) {
			rows = append(rows, one)
		}
	}
	return rows, nil
}

// backlog is what one mail can stand for: an alert that is a red flag, or, without
// one, all the rest, for one person.
type backlog struct {
	to    care.PersonID
	alert care.AlertID
}

func backlogOf(r escalate.Row) backlog {
	if r.Level.RedFlag() {
		return backlog{r.Target, r.Alert}
	}
	return backlog{to: r.Target}
}

// oneOf keeps the last of the mails that wait, which stands for all of them.
func oneOf(tx *store.Tx, k backlog, waiting []escalate.Row) (escalate.Row, error) {
	slices.SortFunc(waiting, func(a, b escalate.Row) int {
		return cmp.Or(a.Created.Compare(b.Created), cmp.Compare(a.Step, b.Step))
	})
	last := waiting[len(waiting)-1]
	if len(waiting) == 1 {
		return last, nil
	}
	for _, r := range waiting {
		if err := tx.Duty().DropRow(r.Key()); err != nil {
			return last, err
		}
		if r.Due.Before(last.Due) {
			last.Due = r.Due
		}
		if r.Key() != last.Key() {
			last.StandsFor += 1 + r.StandsFor
		}
	}
	if k.alert == "" {
		last.Kind = escalate.KindSummary
	}
	return last, tx.Duty().SetRow(last)
}
