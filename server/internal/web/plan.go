package web

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// planDoc is a care plan as the console writes it and the store keeps it: the
// schedule's plan, what the review needs beside it, and the practitioner's
// remarks.
type planDoc struct {
	review.PlanFacts
	Right  *lensParameters `json:"right,omitempty"`
	Left   *lensParameters `json:"left,omitempty"`
	Remark string          `json:"remark,omitempty"`
	Why    string          `json:"why,omitempty"`
	// Base is the version a save began from, 0 for the first plan; a save that
	// began from another than the newest is a conflict. It is not stored.
	Base      int        `json:"base,omitempty"`
	Sure      bool       `json:"sure,omitempty"` // what is unlikely was asked about; not stored
	ChangedBy string     `json:"changed_by,omitempty"`
	ChangedAt *time.Time `json:"changed_at,omitempty"`
	ReadAt    *time.Time `json:"read_at,omitempty"`
}

// lensParameters are one eye's lens, free of any brand.
type lensParameters struct {
	BaseCurveMM *float64 `json:"base_curve_mm"`
	DiameterMM  *float64 `json:"diameter_mm"`
	Power       *float64 `json:"power"`
	Design      string   `json:"design"`
	Supplied    string   `json:"supplied"`
}

type planList struct {
	Plans  []planDoc  `json:"plans"`
	Usual  planDoc    `json:"usual"`
	Wearer wearerHead `json:"wearer"`
}

type planReply struct {
	Plan planDoc `json:"plan"`
}

// planDocs returns every version of a wearer's plan, oldest first.
func planDocs(tx *store.Tx, w care.WearerID) ([]planDoc, error) {
	records, err := tx.Plans(w)
	if err != nil {
		return nil, err
	}
	out := make([]planDoc, 0, len(records))
	for _, r := range records {
		var d planDoc
		if err := json.Unmarshal(r.Plan, &d); err != nil {
			return nil, err
		}
		at := r.At
		d.Version, d.ChangedBy, d.ChangedAt = r.Version, name(tx, r.By), &at
		out = append(out, d)
	}
	return out, nil
}

func (c *call) plans() error {
	var list planList
	err := c.srv.DB.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		f, err := tx.Family(w.Family)
		if err != nil {
			return err
		}
		list.Wearer = wearerHead{w.ID, w.Name, w.Code, w.Family}
		list.Usual.Plan = schedule.DefaultPlan(civil.Date{}, f.Zone)
		list.Plans, err = planDocs(tx, w.ID)
		return err
	})
	if err != nil {
		return err
	}
	slices.Reverse(list.Plans)
	c.seen("read plan", string(list.Wearer.ID))
	return c.reply(list)
}

func (c *call) savePlan() error {
	var d planDoc
	if err := c.read(&d); err != nil {
		return err
	}
	err := c.update(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		have, err := tx.Plans(w.ID)
		if err != nil {
			return err
		}
		if d.Base != len(have) {
			return care.Errorf(care.Conflict, "plan-changed", "this plan has version %d by now and you began from version %d; nothing of yours was saved", len(have), d.Base)
		}
		today, _, err := practiceToday(tx)
		if err != nil {
			return err
		}
		if err := checkPlan(&d, w, today, d.Sure); err != nil {
			return err
		}
		d.Base, d.Sure = 0, false
		d, err = storePlan(tx, w, c.caller.Person.ID, d)
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(planReply{d})
}

// storePlan checks a plan whole and stores it as the next version.
func storePlan(tx *store.Tx, w care.Wearer, by care.PersonID, d planDoc) (planDoc, error) {
	d.Version = max(1, d.Version)
	if err := d.Check(); err != nil {
		field, _, _ := strings.Cut(err.Error(), ":")
		return d, care.Refuse("bad-plan", field, "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	raw, err := json.Marshal(d)
	if err != nil {
		return d, err
	}
	r, err := tx.PutPlan(w.ID, by, raw)
	if err != nil {
		return d, err
	}
	d.Version, d.ChangedBy, d.ChangedAt = r.Version, name(tx, by), &r.At
	if err := tx.SetDue(w.ID, tx.Now); err != nil {
		return d, err
	}
	return d, tx.Note(by, "stored plan", string(w.ID))
}
