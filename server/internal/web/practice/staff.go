package practice

import (
	"strings"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

// waitedLinkLife is how long a link is good for that had to wait for its time:
// nobody knows beforehand when the two meet (our choice).
const waitedLinkLife = 12 * time.Hour

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
		mails, err := ready.ReadTrials(tx)
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
			out.Staff = append(out.Staff, staffMember{p.ID, p.Name, p.Role, p.Mail, p.Phone, p.Gone, len(keys), len(sessions), reached(mails, p), devices})
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

// raises reports whether a role may what another may not: a clinician reads more than
// the desk, both read wearers, whom an administrator never sees, and only an
// administrator decides about staff, settings and erasure. So all but one change does.
func raises(from, to care.Role) bool {
	return from != to && (from != care.Clinician || to != care.Desk)
}

// changeStaff corrects a name or a mail address, or gives another role. One that
// may nothing new counts from the next request on; any other waits, see
// [register.StaffChange]. Nobody changes their own role, so that there
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
		role, err := c.roleFor(tx, p, req.Role)
		if err != nil {
			return err
		}
		set := func(p *care.Person) { p.Name, p.Role, p.Mail, p.Phone = req.Name, role, req.Mail, number }
		if err := tx.Register().ChangePerson(p.ID, set); err != nil {
			return err
		}
		if err := c.afterChange(tx, p, req.Mail, role); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "changed staff", string(p.ID))
	})
}

// afterChange does what follows from another address and another role of somebody who
// was p.
func (c *call) afterChange(tx *store.Tx, p care.Person, mail string, role care.Role) error {
	if !strings.EqualFold(p.Mail, mail) {
		if err := dispatch.MailChanged(tx, p.ID, p.Mail, register.StaffChange{ID: access.NewID(), By: c.Caller.Person.ID}); err != nil {
			return err
		}
	}
	if p.Role == care.Clinician && role != care.Clinician {
		return dispatch.Unown(tx, p.ID)
	}
	return nil
}

// roleFor returns the role that somebody has from now on who is to get another: one
// that raises their rights waits.
func (c *call) roleFor(tx *store.Tx, p care.Person, wanted care.Role) (care.Role, error) {
	if raises(p.Role, wanted) {
		return p.Role, dispatch.NoteStaffChange(tx, register.StaffChange{
			ID: access.NewID(), Kind: register.StaffRole, Person: p.ID, Role: wanted,
			By: c.Caller.Person.ID, At: tx.Now, From: tx.Now.Add(register.StaffWait),
		})
	}
	if wanted != p.Role {
		return wanted, tx.Access().KeepRole(p.ID)
	}
	return wanted, nil
}

// staffLink is a one-time link; it is shown once.
type staffLink struct {
	ID      care.PersonID `json:"id"`
	URL     string        `json:"url"`  // the code stands after '#', which no server sees
	From    time.Time     `json:"from"` // unless a second person confirms it before
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
	return c.link(p.ID, register.StaffAdded, "added staff", func(tx *store.Tx) (err error) {
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
	return c.link(care.PersonID(c.Params("id")), register.StaffLinked, "made sign-in link", func(*store.Tx) error { return nil })
}

// lostStaff ends what a lost device could still do, and makes the link with which its
// owner comes back.
func (c *call) lostStaff() error {
	id := care.PersonID(c.Params("id"))
	if id == c.Caller.Person.ID {
		return care.Errorf(care.Conflict, "not-oneself", "nobody can remove themselves; ask another administrator")
	}
	defer c.room.ceremonies.drop(id)
	return c.link(id, register.StaffLinked, "ended sign-ins, made sign-in link", func(tx *store.Tx) error { return tx.Access().RevokeGrants(id) })
}

// link makes a one-time link for a member of staff after first has run. It opens
// when a second person has confirmed it or its time has come: an administrator,
// who reads no wearer, could else sign in as somebody who does.
func (c *call) link(id care.PersonID, kind, did string, first func(*store.Tx) error) error {
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
		out.From = tx.Now.Add(register.StaffWait)
		out.Expires = out.From.Add(waitedLinkLife)
		inv := register.Invitation{ID: access.NewID(), Person: id, By: c.Caller.Person.ID, Created: tx.Now, From: out.From, Expires: out.Expires}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		wait := register.StaffChange{ID: access.NewID(), Kind: kind, Person: id, Role: p.Role, By: c.Caller.Person.ID, At: tx.Now, From: out.From, Invitation: inv.ID}
		if err := dispatch.NoteStaffChange(tx, wait); err != nil {
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
