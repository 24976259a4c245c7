package clinic

import (
	"encoding/json"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

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
		v := review.Visit{Date: body.On, Time: body.At, Kind: "unscheduled", State: "booked", By: who.Name}
		if err := bookOnce(tx, who, w, v); err != nil {
			return err
		}
	}
	return nil
}

// bookOnce stores an appointment unless the wearer has one at that hour, or on
// that day when no hour was said. One of that day without an hour takes it.
func bookOnce(tx *store.Tx, who care.Person, w care.Wearer, v review.Visit) error {
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	if err := checkVisit(&v, w, today); err != nil {
		return err
	}
	mine, err := register.Visits[review.Visit](tx.Chart(), w.ID)
	if err != nil {
		return err
	}
	same := func(x review.Visit) bool { return x.State == "booked" && x.Date == v.Date }
	if slices.ContainsFunc(mine, func(x review.Visit) bool { return same(x) && (v.Time == "" || x.Time == v.Time) }) {
		return nil
	}
	v.ID = access.NewID()
	if i := slices.IndexFunc(mine, func(x review.Visit) bool { return same(x) && x.Time == "" }); i >= 0 {
		mine[i].Time = v.Time
		v = mine[i]
	}
	if err := tx.Chart().PutVisit(w.ID, v.ID, v); err != nil {
		return err
	}
	return tx.Audit().Append(who.ID, "stored visit", string(w.ID)+" "+v.ID)
}
