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
// counts as not set. See [ready.Trials].

// trialNumber is how many characters of a code stand in a trial mail.
const trialNumber = 6

// trialsOf bounds what an administrator may send; our choice.
var trialsOf = quota.Limit{Most: 20, Per: time.Hour}

// reached tells no number: it is read in the mail. A mail to another address than
// the person has now says nothing.
func reached(t ready.Trials, p care.Person) reach {
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
		p, err := mailed(tx, id)
		if err != nil {
			return err
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
		t, err := ready.ReadTrials(tx)
		if err != nil {
			return err
		}
		last := ready.Trial{To: to, Number: number, Sent: tx.Now}
		t.People[id], out = last, reach{to, last.Sent, last.Arrived}
		return tx.Register().SetSetting(ready.TrialMail, t)
	})
	if err != nil {
		return err
	}
	return c.Reply(out)
}

// mailed returns whom a test mail goes to: one of the staff, or the owner.
func mailed(tx *store.Tx, id care.PersonID) (care.Person, error) {
	if id == ready.Owner {
		own, err := tx.Register().Practice()
		return care.Person{ID: id, Name: "The owner", Mail: own.OwnerMail}, err
	}
	p, err := tx.Register().Person(id)
	if err != nil || !p.Role.Staff() || p.Gone {
		return p, care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
	}
	return p, nil
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
		t, err := ready.ReadTrials(tx)
		if err != nil {
			return err
		}
		for id, last := range t.People {
			if strings.EqualFold(strings.Join(strings.Fields(req.Number), ""), last.Number) {
				t.Arrived, last.Arrived = tx.Now, tx.Now
				t.People[id], out = last, reach{last.To, last.Sent, last.Arrived}
				return tx.Register().SetSetting(ready.TrialMail, t)
			}
		}
		return care.Refuse("other-number", "number", "this is not the code in the newest test mail")
	})
	if err != nil {
		return err
	}
	return c.Reply(out)
}
