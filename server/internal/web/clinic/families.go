package clinic

import (
	"errors"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

type familyDetail struct {
	ID   care.FamilyID `json:"id"`
	Name string        `json:"name"`
	Zone string        `json:"zone"`
	// Language and Second are as of [care.Family].
	Language string         `json:"language"`
	Second   care.Contact   `json:"second"`
	People   []familyPerson `json:"people"`
	Wearers  []familyWearer `json:"wearers"`
}

type familyWearer struct {
	ID    care.WearerID `json:"id"`
	Name  string        `json:"name"`
	Code  string        `json:"code"`
	Birth string        `json:"birth"` // YYYY-MM-DD, or empty
}

type familyPerson struct {
	ID           care.PersonID `json:"id"`
	Name         string        `json:"name"`
	Role         care.Role     `json:"role"`
	Phone        string        `json:"phone"`
	Wearer       care.WearerID `json:"wearer"` // who they are, for one who wears; else empty
	InvitedUntil *time.Time    `json:"invited_until"`
	Devices      []deviceView  `json:"devices"`
}

type deviceView struct {
	ID       care.DeviceID `json:"id"`
	Name     string        `json:"name"`
	LastSeen time.Time     `json:"last_seen"`
	Revoked  bool          `json:"revoked"`
}

type wearerHead struct {
	ID     care.WearerID `json:"id"`
	Name   string        `json:"name"`
	Code   string        `json:"code"`
	Family care.FamilyID `json:"family,omitempty"`
}

func (c *call) familyDetail() error {
	var d familyDetail
	err := c.View(func(tx *store.Tx) (err error) {
		d, err = describeFamily(tx, care.FamilyID(c.Params("id")))
		return err
	})
	if err != nil {
		return err
	}
	c.AuditSeen("read family", string(d.ID))
	return c.Reply(d)
}

func describeFamily(tx *store.Tx, id care.FamilyID) (familyDetail, error) {
	f, err := tx.Register().Family(id)
	if err != nil {
		return familyDetail{}, err
	}
	d := familyDetail{ID: f.ID, Name: f.Name, Zone: f.Zone, Language: f.Language, Second: f.Second, People: []familyPerson{}, Wearers: []familyWearer{}}
	devices, err := tx.Register().Devices(id)
	if err != nil {
		return d, err
	}
	people, err := tx.Register().People(id)
	if err != nil {
		return d, err
	}
	invited, err := tx.Access().InvitedUntil()
	if err != nil {
		return d, err
	}
	for _, p := range people {
		if p.Gone {
			continue
		}
		fp := familyPerson{ID: p.ID, Name: p.Name, Role: p.Role, Phone: p.Phone, Wearer: p.Wearer, Devices: []deviceView{}}
		if until, ok := invited[p.ID]; ok {
			fp.InvitedUntil = &until
		}
		for _, dev := range devices {
			if dev.Person == p.ID {
				fp.Devices = append(fp.Devices, deviceView{dev.ID, dev.Name, dev.LastSeen, dev.Revoked})
			}
		}
		d.People = append(d.People, fp)
	}
	wearers, err := tx.Register().Wearers(id)
	for _, w := range wearers {
		d.Wearers = append(d.Wearers, familyWearer{w.ID, w.Name, w.Code, w.Birth})
	}
	return d, err
}

type newFamily struct {
	familyHeading
	Wearer wearerForm   `json:"wearer"`
	People []personForm `json:"people"`
}

func (n *newFamily) check() error {
	if err := n.familyHeading.check(); err != nil {
		return err
	}
	if err := n.Wearer.check("wearer."); err != nil {
		return err
	}
	if len(n.People) < 1 || len(n.People) > maxPeople {
		return care.Refuse("bad-people", "people", "want 1 to %d people", maxPeople)
	}
	for i := range n.People {
		if err := n.People[i].check("people"); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(n.People, func(p personForm) bool { return strings.TrimSpace(p.Phone) != "" }) {
		return care.Refuse("no-phone", "phone", "want at least one telephone number: without one nobody can be called about a sore eye")
	}
	return nil
}

// placed refuses what depends on the zone, the country or the languages of the
// practice while they are not set.
func placed(tx *store.Tx) error {
	p, err := tx.Register().Practice()
	if err != nil || p.Placed() {
		return err
	}
	return care.Errorf(care.Conflict, "place-first", "the practice's time zone, country and languages come first: nights, telephone numbers and words depend on them; an administrator sets them under Settings")
}

func (c *call) newFamily() error {
	var req newFamily
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(); err != nil {
		return err
	}
	id := care.FamilyID(access.NewID())
	return c.changeFamily(id, "made family", func(tx *store.Tx) (string, error) {
		if err := placed(tx); err != nil {
			return "", err
		}
		f, err := req.heading(tx, care.Family{ID: id, Created: tx.Now})
		if err != nil {
			return "", err
		}
		w := req.Wearer.of(care.Wearer{ID: care.WearerID(access.NewID()), Family: f.ID})
		if err := errors.Join(req.Wearer.fits(tx, w, "wearer."), tx.Register().AddFamily(f)); err != nil {
			return "", err
		}
		if err := tx.Register().AddWearer(w); err != nil {
			return "", err
		}
		for _, p := range req.People {
			number, err := record.Dialled(tx, "phone", p.Phone, "")
			if err != nil {
				return "", err
			}
			person := care.Person{ID: care.PersonID(access.NewID()), Family: f.ID, Name: p.Name, Role: p.Role, Phone: number}
			if p.Role == care.Teen {
				person.Wearer = w.ID
			}
			if err := tx.Register().AddPerson(person); err != nil {
				return "", err
			}
		}
		return string(f.ID), nil
	})
}
