package clinic

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// archivePage is a page of alerts that were closed; they stay findable for good.
type archivePage struct {
	Alerts []alertView `json:"alerts"`
	More   bool        `json:"more"` // there are older ones: ask again with before
	Before *time.Time  `json:"before,omitempty"`
}

// archiveRows is how many alerts one page holds.
const archiveRows = 50

// archiveQuery is what is asked for; empty fields ask for everything.
type archiveQuery struct {
	wearer   care.WearerID
	outcome  string
	from, to civil.Date // of a closing, on the practice's calendar
	before   time.Time
}

func (c *call) archiveQuery() (q archiveQuery, err error) {
	q.wearer, q.outcome = care.WearerID(c.Query("wearer")), c.Query("outcome")
	if q.from, err = c.QueryDate("from"); err != nil {
		return q, err
	}
	if q.to, err = c.QueryDate("to"); err != nil {
		return q, err
	}
	if text := c.Query("before"); text != "" {
		if q.before, err = time.Parse(time.RFC3339Nano, text); err != nil {
			return q, care.Refuse("bad-instant", "before", "want an instant as RFC 3339")
		}
	}
	return q, nil
}

// archive answers closed alerts, and open ones that were closed before, by their
// newest closing that fits, newest first.
func (c *call) archive() error {
	q, err := c.archiveQuery()
	if err != nil {
		return err
	}
	page := archivePage{Alerts: []alertView{}}
	return c.ReplyView(&page, func(tx *store.Tx) error {
		_, loc, err := record.Today(tx)
		if err != nil {
			return err
		}
		all, err := tx.Duty().AlertsSince(time.Time{})
		if err != nil {
			return err
		}
		type hit struct {
			alert escalate.Alert
			at    time.Time
		}
		var hits []hit
		for _, a := range all {
			if a.Drill {
				continue
			}
			if at := q.newest(a, loc); !at.IsZero() {
				hits = append(hits, hit{a, at})
			}
		}
		slices.SortFunc(hits, func(x, y hit) int { return y.at.Compare(x.at) })
		if page.More = len(hits) > archiveRows; page.More {
			hits = hits[:archiveRows]
			page.Before = &hits[archiveRows-1].at
		}
		for _, h := range hits {
			page.Alerts = append(page.Alerts, viewAlert(tx, h.alert))
		}
		return nil
	})
}

// newest returns when an alert was closed last among its closings that fit; zero
// when none does.
func (q *archiveQuery) newest(a escalate.Alert, loc *time.Location) (at time.Time) {
	if q.wearer != "" && a.Wearer != q.wearer {
		return at
	}
	all := a.Closings
	if len(all) == 0 && a.State == escalate.Closed { // closed before closings were kept
		all = []escalate.Closing{{At: a.ClosedAt, Outcome: a.Outcome}}
	}
	for _, k := range all {
		day := civil.DateOf(k.At.In(loc))
		fits := (q.outcome == "" || k.Outcome == q.outcome) && (q.from.IsZero() || !day.Before(q.from)) && (q.to.IsZero() || !day.After(q.to)) &&
			(q.before.IsZero() || k.At.Before(q.before))
		if fits && k.At.After(at) {
			at = k.At
		}
	}
	return at
}

// closedBefore returns the last red flag of a wearer that was closed before
// decisions about wear were kept and holds no lens back, while no clinician has
// confirmed since that lenses may be worn; nil for none.
func closedBefore(tx *store.Tx, w care.WearerID, loc *time.Location) (*review.AlertFact, error) {
	var started time.Time
	for _, e := range tx.Log().WearEntries(w) {
		if e.Kind == care.WearStart {
			started = e.Recv
		}
	}
	wear := intake.WearNow(tx, w)
	if started.IsZero() || wear.Worst() >= care.Rest {
		return nil, nil
	}
	done, err := tx.Chart().FollowUps(w)
	if err != nil {
		return nil, err
	}
	for _, d := range done {
		if p, err := tx.Register().Person(d.By); d.Reason == review.WearBefore && err == nil && p.Role == care.Clinician {
			return nil, nil
		}
	}
	all, err := alertFacts(tx, w, loc)
	var last *review.AlertFact
	for i, a := range all {
		red := escalate.Level(a.Level).RedFlag() && !a.ClosedAt.IsZero() && a.ClosedAt.Before(started) && a.Outcome != "in-error"
		if red && (last == nil || a.ClosedAt.After(last.ClosedAt)) {
			last = &all[i]
		}
	}
	if last != nil {
		named := []review.AlertFact{*last}
		nameAlerts(tx, named)
		last = &named[0]
	}
	return last, err
}
