package family

import (
	"strings"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// remindersRequest is what a family chooses about one wearer's reminders.
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
