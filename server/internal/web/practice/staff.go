package practice

import (
	"strings"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// staffLinkLife is how long a one-time link for the staff is good for: it opens
// the whole console, so it is handed over at once or made anew.
const staffLinkLife = time.Hour

type staffList struct {
	Staff []staffMember `json:"staff"`
}

type staffMember struct {
	ID       care.PersonID `json:"id"`
	Name     string        `json:"name"`
	Role     care.Role     `json:"role"`
	Mail     string        `json:"mail"`
	Phone    string        `json:"phone"`
	Gone     bool          `json:"gone"`
	Passkeys int           `json:"passkeys"`
	Sessions int           `json:"sessions"`
	// MailTest is the last test of the mail address, Devices those with notifications
	// on, each with its last test.
	MailTest reach   `json:"mail_test"`
	Devices  []reach `json:"devices"`
}

func (c *call) staff() error {
	out := staffList{[]staffMember{}}
	return c.ReplyView(&out, func(tx *store.Tx) error {
		all, err := tx.Register().Staff()
		if err != nil {
			return err
		}
		mails, err := readTrials(tx)
		if err != nil {
			return err
		}
		for _, p := range all {
			keys, err := tx.Access().Passkeys(p.ID)
			if err != nil {
				return err
			}
			sessions, err := tx.Access().Sessions(p.ID)
			if err != nil {
				return err
			}
			devices, err := reaches(tx, p.ID)
			if err != nil {
				return err
			}
			out.Staff = append(out.Staff, staffMember{p.ID, p.Name, p.Role, p.Mail, p.Phone, p.Gone, len(keys), len(sessions), mails.reach(p), devices})
		}
		return nil
	})
}

type newStaff struct {
	Name string    `json:"name"`
	Role care.Role `json:"role" enum:"clinician,desk,administrator"`
	Mail string    `json:"mail"`
	// Phone is for colleagues, in international form; empty for none.
	Phone string `json:"phone"`
}

// check trims the fields and refuses what cannot be stored.
func (n *newStaff) check() error {
	if err := record.Trimmed(&n.Name, "name"); err != nil {
		return err
	}
	if !n.Role.Staff() {
		return care.Refuse("bad-role", "role", "want a role of %v", care.StaffRoles)
	}
	n.Mail = strings.TrimSpace(n.Mail)
	if n.Mail != "" && !record.PlainMail(n.Mail) {
		return care.Refuse("bad-mail", "mail", "want a plain mail address, or nothing")
	}
	return nil
}

// changeStaff corrects a name or a mail address, or gives another role, which
// counts from the next request on. Nobody changes their own role, so that there
// is always an administrator.
func (c *call) changeStaff() error {
	var req newStaff
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	if err := req.check(); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		p, err := tx.Register().Person(care.PersonID(c.Params("id")))
		if err != nil || !p.Role.Staff() || p.Gone {
			return care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
		}
		if p.ID == c.Caller.Person.ID && p.Role != req.Role {
			return care.Errorf(care.Conflict, "not-oneself", "nobody changes their own role; ask another administrator")
		}
		number, err := record.Dialled(tx, "phone", req.Phone, p.Phone)
		if err != nil {
			return err
		}
		if err := freeMail(tx, p.ID, req.Mail); err != nil {
			return err
		}
		set := func(p *care.Person) { p.Name, p.Role, p.Mail, p.Phone = req.Name, req.Role, req.Mail, number }
		if err := tx.Register().ChangePerson(p.ID, set); err != nil {
			return err
		}
		if p.Role == care.Clinician && req.Role != care.Clinician {
			if err := dispatch.Unown(tx, p.ID); err != nil {
				return err
			}
		}
		return tx.Audit().Append(c.Caller.Person.ID, "changed staff", string(p.ID))
	})
}

// staffLink is a one-time link; it is shown once.
type staffLink struct {
	ID      care.PersonID `json:"id"`
	URL     string        `json:"url"` // the code stands after '#', which no server sees
	Expires time.Time     `json:"expires"`
}

func (c *call) addStaff() error {
	var req newStaff
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(); err != nil {
		return err
	}
	p := care.Person{ID: care.PersonID(access.NewID()), Name: req.Name, Role: req.Role, Mail: req.Mail}
	return c.link(p.ID, "added staff", func(tx *store.Tx) (err error) {
		if p.Phone, err = record.Dialled(tx, "phone", req.Phone, ""); err != nil {
			return err
		}
		if err := freeMail(tx, p.ID, p.Mail); err != nil {
			return err
		}
		return tx.Register().AddPerson(p)
	})
}

// freeMail refuses the mail address of a colleague: alerts for one would reach
// the other.
func freeMail(tx *store.Tx, id care.PersonID, mail string) error {
	staff, err := tx.Register().Staff()
	for _, p := range staff {
		if mail != "" && p.ID != id && !p.Gone && strings.EqualFold(p.Mail, mail) {
			return care.Refuse("mail-taken", "mail", "%s has this mail address; alerts need one of each person's own", p.Name)
		}
	}
	return err
}

func (c *call) linkStaff() error {
	return c.link(care.PersonID(c.Params("id")), "made sign-in link", func(*store.Tx) error { return nil })
}

// link makes a one-time link for a member of staff after first has run.
func (c *call) link(id care.PersonID, did string, first func(*store.Tx) error) error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	code := access.NewCode()
	out := staffLink{ID: id, URL: c.Srv.BaseURL + "/staff#" + code}
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		if err := first(tx); err != nil {
			return err
		}
		p, err := tx.Register().Person(id)
		if err != nil || !p.Role.Staff() || p.Gone {
			return care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
		}
		out.Expires = tx.Now.Add(staffLinkLife)
		inv := register.Invitation{ID: access.NewID(), Person: id, By: c.Caller.Person.ID, Created: tx.Now, Expires: out.Expires}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, did, string(id))
	})
}

// dropStaff lets a member of staff go. The person's name stays with what they
// did.
func (c *call) dropStaff() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	id := care.PersonID(c.Params("id"))
	defer c.room.ceremonies.drop(id)
	if id == c.Caller.Person.ID {
		return care.Errorf(care.Conflict, "not-oneself", "nobody can remove themselves; ask another administrator")
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		p, err := tx.Register().Person(id)
		if err != nil || !p.Role.Staff() {
			return care.Errorf(care.NotFound, "no-such-staff", "there is no such member of staff")
		}
		if err := tx.Access().Leave(id); err != nil {
			return err
		}
		if err := dispatch.Unown(tx, id); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "removed staff", string(id))
	})
}
