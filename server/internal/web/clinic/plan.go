package clinic

import (
	"slices"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

type planList struct {
	Plans  []record.PlanDoc `json:"plans"`
	Usual  record.PlanDoc   `json:"usual"`
	Wearer wearerHead       `json:"wearer"`
}

type planReply struct {
	Plan record.PlanDoc `json:"plan"`
}

func (c *call) plans() error {
	var list planList
	err := c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		f, err := tx.Register().Family(w.Family)
		if err != nil {
			return err
		}
		list.Wearer = wearerHead{w.ID, w.Name, w.Code, w.Family}
		list.Usual.Plan = schedule.DefaultPlan(civil.Date{}, f.Zone)
		list.Plans, err = record.PlanDocs(tx, w.ID)
		return err
	})
	if err != nil {
		return err
	}
	slices.Reverse(list.Plans)
	c.AuditSeen("read plan", string(list.Wearer.ID))
	return c.Reply(list)
}

// midCourse is how many days after the first night a first plan is that of a wearer
// taken over, whose earlier visits were not this practice's to ask for: the
// adaptation visits of the usual plan are over by then.
const midCourse = 31

func (c *call) savePlan() error {
	var d record.PlanDoc
	if err := c.Read(&d); err != nil {
		return err
	}
	var r planReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		have, err := tx.Chart().Plans(w.ID)
		if err != nil {
			return err
		}
		if d.Base != len(have) {
			return care.Errorf(care.Conflict, "plan-changed", "this plan has version %d by now and you began from version %d; nothing of yours was saved", len(have), d.Base)
		}
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		if err := checkPlan(&d, w, today, d.Sure); err != nil {
			return err
		}
		if len(have) == 0 && d.TakenOver.IsZero() && d.FirstNight.Before(today.AddDays(-midCourse)) {
			d.TakenOver = today
		}
		d.Base, d.Sure = 0, false
		r.Plan, err = record.StorePlan(tx, w, c.Caller.Person.ID, d)
		return err
	})
}
