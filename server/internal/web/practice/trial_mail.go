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

// trials are the last trial mails, by person. Arrived is when the last one did, to
// whomever.
type trials struct {
	Arrived time.Time               `json:"arrived,omitzero"`
	People  map[care.PersonID]trial `json:"people,omitempty"`
}

// trial is the last trial mail to somebody.
type trial struct {
	To      string    `json:"to"` // address
	Number  string    `json:"number"`
	Sent    time.Time `json:"sent"`
	Arrived time.Time `json:"arrived,omitzero"`
}

func readTrials(tx *store.Tx) (t trials, err error) {
	err = tx.Register().Setting(trialSetting, &t)
	if t.People == nil {
		t.People = map[care.PersonID]trial{}
	}
	return t, err
}

// reach tells no number: it is read in the mail. A mail to another address than
// the person has now says nothing.
func (t trials) reach(p care.Person) reach {
	last := t.People[p.ID]
	if last.To != p.Mail {
		return reach{Name: p.Mail}
	}
	return reach{p.Mail, last.Sent, last.Arrived}
}

func (c *call) trialMail() error {
	if c.Srv.TestMail == nil {
		return care.Errorf(care.Conflict, "no-mail", "no mail server is set: it is set where the server is started, with smtp")
	}
	if err := c.TakeQuota(c.room.trials, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	var to string
	id := care.PersonID(c.Params("id"))
	err := c.View(func(tx *store.Tx) error {
		p, err := tx.Register().Person(id)
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
	number := access.NewCode()[:trialNumber]
	if err := c.Srv.TestMail(to, number); err != nil {
		return &care.Error{Kind: care.Unavailable, Code: "mail-failed", Text: "the mail was not taken: " + err.Error(), Err: err}
	}
	var out reach
	err = c.Update(func(tx *store.Tx) error {
		t, err := readTrials(tx)
		if err != nil {
			return err
		}
		last := trial{to, number, tx.Now, time.Time{}}
		t.People[id], out = last, reach{to, last.Sent, last.Arrived}
		return tx.Register().SetSetting(trialSetting, t)
	})
	if err != nil {
		return err
	}
	return c.Reply(out)
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
	var out reach
	err := c.Update(func(tx *store.Tx) error {
		t, err := readTrials(tx)
		if err != nil {
			return err
		}
		for id, last := range t.People {
			if strings.EqualFold(strings.Join(strings.Fields(req.Number), ""), last.Number) {
				t.Arrived, last.Arrived = tx.Now, tx.Now
				t.People[id], out = last, reach{last.To, last.Sent, last.Arrived}
				return tx.Register().SetSetting(trialSetting, t)
			}
		}
		return care.Refuse("other-number", "number", "this is not the number in the newest test mail")
	})
	if err != nil {
		return err
	}
	return c.Reply(out)
}
