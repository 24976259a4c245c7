package family

import (
	"slices"
	"strings"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// remindersRequest is what a family chooses about one wearer's reminders. Without
// own times those chosen before stand.
type remindersRequest struct {
	Wearer care.WearerID `json:"wearer"`
	schedule.Choices
}

// saveReminders stores who is reminded first and what a locked phone shows. A
// teen chooses for their own wear only. The reminders of today follow it from
// the next tick on.
func (c *call) saveReminders() error {
	var req remindersRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.Choices.Check(); err != nil {
		field, _, _ := strings.Cut(err.Error(), ":")
		return care.Refuse("bad-choice", field, "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	me := c.Caller.Person
	return c.DoneUpdate(func(tx *store.Tx) error {
		w, err := tx.Register().Wearer(req.Wearer)
		if err != nil || w.Family != me.Family || me.Role == care.Teen && me.Wearer != w.ID {
			return care.Refuse("foreign-wearer", "wearer", "want a wearer whose reminders you may choose")
		}
		if req.Own == nil {
			req.Own = w.Reminders.Own
		} else if err := fits(tx, w.ID, req.Own); err != nil {
			return err
		}
		if err := tx.Register().ChangeWearer(w.ID, func(w *care.Wearer) { w.Reminders = req.Choices }); err != nil {
			return err
		}
		if err := tx.Audit().Append(me.ID, "chose reminders", string(w.ID)); err != nil {
			return err
		}
		if _, err := tx.Chart().Plan(w.ID); care.KindOf(err) == care.NotFound {
			return nil // nothing is due before there is a plan
		} else if err != nil {
			return err
		}
		return tx.Duty().SetDue(w.ID, tx.Now)
	})
}

// fits refuses own times that the plan in force leaves no room for.
func fits(tx *store.Tx, w care.WearerID, own *schedule.Own) error {
	plan, err := tx.Chart().PlanInForce(w)
	if err != nil {
		return err
	}
	if plan.FirstNight.IsZero() {
		return care.Refuse("no-plan", "own", "want a plan of the clinic first: own times lie within it")
	}
	if err := own.Check(plan); err != nil {
		field, _, _ := strings.Cut(err.Error(), ":")
		return care.Refuse("bad-time", field, "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return nil
}

// muteRequest names the reminders that the caller leaves to the others.
type muteRequest struct {
	Off []string `json:"off"` // ids of [schedule.MayBeMuted]
}

// mute stores which reminders the caller leaves to the others of the family.
func (c *call) mute() error {
	var req muteRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	for i, id := range req.Off {
		if !slices.Contains(schedule.MayBeMuted(), id) || slices.Contains(req.Off[:i], id) {
			return care.Refuse("bad-choice", "off", "off: want each at most once of %v", schedule.MayBeMuted())
		}
	}
	me := c.Caller.Person.ID
	return c.DoneUpdate(func(tx *store.Tx) error {
		if err := tx.Register().ChangePerson(me, func(p *care.Person) { p.Mute = req.Off }); err != nil {
			return err
		}
		return tx.Audit().Append(me, "chose own reminders", string(me))
	})
}
