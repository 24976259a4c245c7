package practice

import (
	"strings"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
)

// A mail that the mail server took has not arrived yet. A trial mail carries a
// number, and only who has read it there can enter it here; until then mail
// counts as not set.
const trialSetting = ready.TrialMail

// trialNumber is how many characters of a code stand in a trial mail.
const trialNumber = 6

// trialsOf bounds what an administrator may send; our choice.
var trialsOf = quota.Limit{Most: 20, Per: time.Hour}

// trial is the last trial mail.
type trial struct {
	Person  care.PersonID `json:"person"`
	Number  string        `json:"number"`
	Sent    time.Time     `json:"sent"`
	Arrived time.Time     `json:"arrived,omitzero"`
}

// trialReply tells no number: it is read in the mail.
type trialReply struct {
	Person  care.PersonID `json:"person"` // who it went to last; empty: none was sent yet
	Sent    time.Time     `json:"sent,omitzero"`
	Arrived time.Time     `json:"arrived,omitzero"`
}

func (c *call) trialMail() error {
	if c.Srv.TestMail == nil {
		return care.Errorf(care.Conflict, "no-mail", "no mail server is set: it is set where the server is started, with smtp")
	}
	if err := c.TakeQuota(c.room.trials, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	var to string
	err := c.View(func(tx *store.Tx) error {
		p, err := tx.Register().Person(care.PersonID(c.Params("id")))
		if err != nil || !p.Role.Staff() || p.Gone {
			return care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
		}
		if to = p.Mail; to == "" {
			return care.Refuse("no-address", "mail", "%s has no mail address yet", p.Name)
		}
		return nil
	})
	if err != nil {
		return err
	}
	t := trial{Person: care.PersonID(c.Params("id")), Number: access.NewCode()[:trialNumber]}
	if err := c.Srv.TestMail(to, t.Number); err != nil {
		return &care.Error{Kind: care.Unavailable, Code: "mail-failed", Text: "the mail was not taken: " + err.Error(), Err: err}
	}
	err = c.Update(func(tx *store.Tx) error {
		var was trial
		if err := tx.Register().Setting(trialSetting, &was); err != nil {
			return err
		}
		t.Sent, t.Arrived = tx.Now, was.Arrived // one that arrived before still did
		return tx.Register().SetSetting(trialSetting, t)
	})
	if err != nil {
		return err
	}
	return c.Reply(trialReply{t.Person, t.Sent, t.Arrived})
}

// arrival is what somebody read in a trial mail.
type arrival struct {
	Number string `json:"number"`
}

func (c *call) mailArrived() error {
	var req arrival
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.TakeQuota(c.room.trials, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	var t trial
	err := c.Update(func(tx *store.Tx) error {
		if err := tx.Register().Setting(trialSetting, &t); err != nil {
			return err
		}
		if t.Number == "" || !strings.EqualFold(strings.TrimSpace(req.Number), t.Number) {
			return care.Refuse("other-number", "number", "this is not the number in the newest test mail")
		}
		t.Arrived = tx.Now
		return tx.Register().SetSetting(trialSetting, t)
	})
	if err != nil {
		return err
	}
	return c.Reply(trialReply{t.Person, t.Sent, t.Arrived})
}
