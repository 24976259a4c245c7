package clinic

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

type planList struct {
	Plans  []record.PlanDoc `json:"plans"`
	Usual  record.PlanDoc   `json:"usual"`
	Wearer wearerHead       `json:"wearer"`
	Birth  string           `json:"birth,omitempty"` // YYYY-MM-DD
	Wear   care.Wear        `json:"wear"`            // where the eyes stand: a plan lifts no stop
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
		list.Birth, list.Wear = w.Birth, intake.WearNow(tx, w.ID)
		list.Usual.Plan = schedule.DefaultPlan(civil.Date{}, f.Zone)
		if list.Plans, err = record.PlanDocs(tx, w.ID); err != nil {
			return err
		}
		return readPlans(tx, w.ID, list.Plans)
	})
	if err != nil {
		return err
	}
	slices.Reverse(list.Plans)
	c.AuditSeen("read plan", string(list.Wearer.ID))
	return c.Reply(list)
}

// readPlans says of each version when somebody of the family first said on a phone that
// they had read it, by that phone's clock; one that was taken back does not count.
func readPlans(tx *store.Tx, w care.WearerID, plans []record.PlanDoc) error {
	said, gone := []care.Entry{}, map[care.EntryID]bool{}
	err := tx.Log().WearerEntries(w, civil.Date{}, civil.DateOf(tx.Now).AddDays(2), func(e care.Entry) bool {
		for _, id := range append(e.Supersedes, e.Retracts) {
			gone[id] = true
		}
		if e.Kind == care.PlanAck {
			said = append(said, e)
		}
		return true
	})
	if err != nil {
		return err
	}
	for _, e := range said {
		var body struct{ Plan int }
		at, err := e.Instant()
		if err != nil || gone[e.ID] || json.Unmarshal(e.Body, &body) != nil {
			continue // no time that can be told
		}
		i := slices.IndexFunc(plans, func(p record.PlanDoc) bool { return p.Version == body.Plan })
		if i >= 0 && (plans[i].ReadAt == nil || at.Before(*plans[i].ReadAt)) {
			plans[i].ReadAt = &at
		}
	}
	return nil
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
	r, told := planReply{}, false
	err := c.Update(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		have, err := tx.Chart().Plans(w.ID)
		if err != nil {
			return err
		}
		d, yes := d, d.Yes // the transaction may run again
		if err := fitsPlan(tx, &d, w, len(have)); err != nil {
			return err
		}
		if r.Plan, err = record.StorePlan(tx, w, c.Caller.Person.ID, d); err != nil {
			return err
		}
		if told, err = c.tellRemark(tx, w, d.Remark, yes, have); err != nil || told || len(have) == 0 {
			return err
		}
		told = true
		return intake.TellPlan(tx, w)
	})
	if err != nil {
		return err
	}
	if told && c.Srv.Intake.Raised != nil {
		c.Srv.Intake.Raised() // so that the family's phones hear of it
	}
	return c.Reply(r)
}

// fitsPlan refuses a plan that began from another version than the newest, or asks
// about what is unusual in it, and leaves of it what is stored.
func fitsPlan(tx *store.Tx, d *record.PlanDoc, w care.Wearer, versions int) error {
	if d.Base != versions {
		return care.Errorf(care.Conflict, "plan-changed", "this plan has version %d by now and you began from version %d; nothing of yours was saved", versions, d.Base)
	}
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	if err := checkPlan(d, w, today, intake.WearNow(tx, w.ID)); err != nil {
		return err
	}
	if versions == 0 && d.TakenOver.IsZero() && d.FirstNight.Before(today.AddDays(-midCourse)) {
		d.TakenOver = today
	}
	d.Base, d.Sure, d.Yes = 0, false, ""
	return nil
}

// tellRemark writes a plan's remark to the family into its log, as a word of the
// practice; one that the plan before had already was told with it. yes is of what was
// shown beside it.
func (c *call) tellRemark(tx *store.Tx, w care.Wearer, remark, yes string, before []register.PlanRecord) (bool, error) {
	var last record.PlanDoc
	if n := len(before); n > 0 {
		_ = json.Unmarshal(before[n-1].Plan, &last) // one that cannot be read had no remark that is known
	}
	if remark = strings.TrimSpace(remark); remark == "" || remark == strings.TrimSpace(last.Remark) {
		return false, nil
	}
	body, err := json.Marshal(map[string]string{"text": remark})
	if err != nil {
		return false, err
	}
	_, err = intake.Say(tx, c.Caller.Person.Named(), w, intake.Saying{Yes: yes, Entries: []intake.Draft{{Kind: care.Word, Body: body}}})
	var refused *care.Error
	if errors.As(err, &refused) && refused.Asks == nil { // a question stands by itself, at no field
		refused.Field = "remark"
	}
	return err == nil, err
}
