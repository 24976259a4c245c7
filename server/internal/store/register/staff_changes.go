package register

import (
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
)

// What may be changed about who reads wearers or runs the practice.
const (
	StaffAdded   = "added"   // a new member of staff, with a sign-in link
	StaffLinked  = "linked"  // a sign-in link for a member there is
	StaffRole    = "role"    // a role that may what the one before may not
	StaffPasskey = "passkey" // a passkey made with a sign-in link; it holds at once
	StaffMail    = "mail"    // another mail address; it holds at once
)

// StaffWait is how long a change made in the console waits, of which everybody is
// told, when no second person confirms it (our choice: a working day for somebody
// to look).
const StaffWait = 24 * time.Hour

// staffNews is how long a change that holds is shown to everybody (our choice).
const staffNews = 7 * 24 * time.Hour

// StaffChange is one change by which somebody may come to read wearers or to run the
// practice. It is made by an administrator alone, so it holds only when a second person
// has confirmed it, or from an instant on of which everybody was told. By is empty for
// one of the command line, which holds at once.
type StaffChange struct {
	ID         string        `json:"id"`
	Kind       string        `json:"kind" enum:"added,linked,role,passkey,mail"`
	Person     care.PersonID `json:"person"`
	Role       care.Role     `json:"role"`
	By         care.PersonID `json:"by,omitempty"`
	At         time.Time     `json:"at"`
	From       time.Time     `json:"from"`                 // it holds from then on
	Invitation string        `json:"invitation,omitempty"` // the link's
}

// Waits reports whether the change does not hold yet.
func (c StaffChange) Waits(now time.Time) bool { return now.Before(c.From) }

// Due reports whether a role's time has come and it was not given yet.
func (c StaffChange) Due(now time.Time) bool {
	return c.Kind == StaffRole && c.Role != "" && !c.Waits(now)
}

const staffChanges = "staff_changes"

// StaffChanges returns what waits, and what came to hold in the last week, the
// oldest first.
func (tx *Tx) StaffChanges() ([]StaffChange, error) {
	var all []StaffChange
	err := tx.Setting(staffChanges, &all)
	return slices.DeleteFunc(all, func(c StaffChange) bool { return tx.p.Now.Sub(c.From) > staffNews }), err
}

// NotInYet returns who of the staff was never let in yet: what lets them in waits for a
// second person or a day, and they have neither a passkey nor a device from before.
func (tx *Access) NotInYet() (map[care.PersonID]bool, error) {
	all, err := tx.register.StaffChanges()
	if err != nil {
		return nil, err
	}
	out := map[care.PersonID]bool{}
	for _, c := range all {
		if !c.Waits(tx.p.Now) || c.Kind == StaffPasskey {
			continue
		}
		keys, errKeys := tx.Passkeys(c.Person)
		devices, errDevices := tx.register.StaffDevices(c.Person)
		if err := errors.Join(errKeys, errDevices); err != nil {
			return nil, err
		}
		out[c.Person] = len(keys)+len(devices) == 0
	}
	return out, nil
}

// AddStaffChange notes a change. An older one of the same person that waits gives
// way, and its link opens nothing.
func (tx *Access) AddStaffChange(c StaffChange) error {
	all, err := tx.register.StaffChanges()
	if err != nil {
		return err
	}
	if c.Kind == StaffPasskey || c.Kind == StaffMail {
		return tx.register.SetSetting(staffChanges, append(all, c)) // takes no place of another
	}
	for _, x := range all {
		if x.Person == c.Person && x.Waits(tx.p.Now) {
			if err := tx.withdrawLink(x); err != nil {
				return err
			}
		}
	}
	all = slices.DeleteFunc(all, func(x StaffChange) bool { return x.Person == c.Person && x.Waits(tx.p.Now) })
	return tx.register.SetSetting(staffChanges, append(all, c))
}

// KeepRole takes back a role that waits for a person who was given another one.
func (tx *Access) KeepRole(p care.PersonID) error {
	all, err := tx.register.StaffChanges()
	if err != nil {
		return err
	}
	rest := slices.DeleteFunc(all, func(c StaffChange) bool { return c.Person == p && c.Kind == StaffRole && c.Role != "" })
	return tx.register.SetSetting(staffChanges, rest)
}

// waiting takes a change that waits out of the list.
func (tx *Access) waiting(id string) (c StaffChange, rest []StaffChange, err error) {
	all, err := tx.register.StaffChanges()
	if err != nil {
		return c, nil, err
	}
	i := slices.IndexFunc(all, func(c StaffChange) bool { return c.ID == id && c.Waits(tx.p.Now) })
	if i < 0 {
		return c, nil, care.Errorf(care.NotFound, "no-such-change", "nothing of this waits any more: it was confirmed, refused, or its time came")
	}
	return all[i], slices.Delete(slices.Clone(all), i, i+1), nil
}

// ConfirmStaffChange lets a change hold from now on. Whoever made it or is
// concerned cannot: it takes a second person.
func (tx *Access) ConfirmStaffChange(id string, by care.PersonID) (StaffChange, error) {
	c, rest, err := tx.waiting(id)
	if err != nil {
		return c, err
	}
	if by == c.By || by == c.Person {
		return c, care.Errorf(care.Conflict, "second-person", "somebody else of the practice confirms this, or it holds when its time has come")
	}
	c.From = tx.p.Now
	kept := c
	if c.Kind == StaffRole {
		if err := tx.setRole(c); err != nil {
			return c, err
		}
		kept.Role = "" // given
	} else if err := tx.openLink(c); err != nil {
		return c, err
	}
	return c, tx.register.SetSetting(staffChanges, append(rest, kept))
}

// RefuseStaffChange takes a change back that waits: its link opens nothing, and
// whoever was new is not of the practice.
func (tx *Access) RefuseStaffChange(id string) (StaffChange, error) {
	c, rest, err := tx.waiting(id)
	if err != nil {
		return c, err
	}
	if err := tx.withdrawLink(c); err != nil {
		return c, err
	}
	if c.Kind == StaffAdded {
		if err := tx.Leave(c.Person); err != nil {
			return c, err
		}
	}
	return c, tx.register.SetSetting(staffChanges, rest)
}

// ApplyStaffChanges gives the roles whose time has come, and returns to whom. A link
// opens by itself.
func (tx *Access) ApplyStaffChanges() (given []StaffChange, err error) {
	all, err := tx.register.StaffChanges()
	if err != nil {
		return nil, err
	}
	for i, c := range all {
		if !c.Due(tx.p.Now) {
			continue
		}
		if err := tx.setRole(c); err != nil {
			return nil, err
		}
		given = append(given, c)
		all[i].Role = "" // given; a later role is not undone
	}
	return given, tx.register.SetSetting(staffChanges, all)
}

func (tx *Access) setRole(c StaffChange) error {
	p, err := tx.register.Person(c.Person)
	if err != nil || p.Gone || !p.Role.Staff() {
		return nil // left meanwhile
	}
	return tx.register.ChangePerson(c.Person, func(p *care.Person) { p.Role = c.Role })
}

// changeLink changes the invitation that a change came with.
func (tx *Access) changeLink(c StaffChange, f func(*Invitation)) error {
	if c.Invitation == "" {
		return nil
	}
	var at []byte
	var found Invitation
	err := invitations.Scan(tx.p, nil, func(k []byte, inv Invitation) bool {
		if inv.ID == c.Invitation {
			at, found = slices.Clone(k), inv
		}
		return at == nil
	})
	if err != nil || at == nil {
		return err
	}
	f(&found)
	return invitations.Put(tx.p, at, found)
}

func (tx *Access) withdrawLink(c StaffChange) error {
	return tx.changeLink(c, func(inv *Invitation) { inv.Revoked = true })
}

// openLink lets a link in from now on, as long as it was meant to be good.
func (tx *Access) openLink(c StaffChange) error {
	return tx.changeLink(c, func(inv *Invitation) {
		inv.Expires = tx.p.Now.Add(inv.Expires.Sub(inv.From))
		inv.From = tx.p.Now
	})
}
