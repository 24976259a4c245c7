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
	// Authority is the statement on record that this person may decide for the
	// wearers; its basis is empty while nobody has made one.
	Authority authorityView `json:"authority"`
	// Consent is how their consent stands; Given its history, the oldest first.
	Consent record.ConsentOf `json:"consent"`
	Given   []consentLine    `json:"given"`
}

type authorityView struct {
	Basis string    `json:"basis"`
	By    string    `json:"by"` // a name
	At    time.Time `json:"at,omitzero"`
}

// consentLine is one line of a person's history of consent.
type consentLine struct {
	Version   string    `json:"version"`
	At        time.Time `json:"at"`
	Withdrawn bool      `json:"withdrawn"`
	Device    string    `json:"device"` // a name
	For       []string  `json:"for"`    // names of wearers
}

// readConsent fills in what is on record about a person's say.
func (p *familyPerson) readConsent(tx *store.Tx, x care.Person) (err error) {
	if x.Authority.Basis != "" {
		p.Authority = authorityView{x.Authority.Basis, record.Name(tx, x.Authority.By), x.Authority.At}
	}
	if p.Consent, err = record.ConsentStands(tx, x.ID); err != nil {
		return err
	}
	all, err := tx.Access().Consents(x.ID)
	p.Given = []consentLine{}
	for _, c := range all {
		line := consentLine{Version: c.Version, At: c.At, Withdrawn: c.Withdrawn, For: []string{}}
		if d, err := tx.Register().Device(c.Device); err == nil {
			line.Device = d.Name
		}
		for _, id := range c.For {
			if w, err := tx.Register().Wearer(id); err == nil {
				line.For = append(line.For, w.Name)
			}
		}
		p.Given = append(p.Given, line)
	}
	return err
}

type deviceView struct {
	ID       care.DeviceID `json:"id"`
	Name     string        `json:"name"`
	LastSeen time.Time     `json:"last_seen"`
	Revoked  bool          `json:"revoked"`
	Messages bool          `json:"messages"` // takes reminders and words
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
				_, err := tx.Access().Subscription(dev.ID)
				fp.Devices = append(fp.Devices, deviceView{dev.ID, dev.Name, dev.LastSeen, dev.Revoked, !dev.Revoked && err == nil})
			}
		}
		if err := fp.readConsent(tx, p); err != nil {
			return d, err
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
