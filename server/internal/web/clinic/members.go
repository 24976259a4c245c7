package clinic

import (
	"slices"
	"strings"
	"unicode/utf8"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// Who belongs to a family changes over ten years: a brother begins, a second
// parent joins, somebody leaves, a name was typed wrongly.

// maxPeople and maxWearers bound a family, so that its page stays one.
const (
	maxPeople  = 12
	maxWearers = 12
)

type familyHeading struct {
	Name string `json:"name"`
	Zone string `json:"zone"` // IANA, of home
	// Language and Second are as of [care.Family].
	Language string       `json:"language"`
	Second   care.Contact `json:"second"`
}

// check trims the fields and refuses what cannot be stored.
func (f *familyHeading) check() error {
	if _, err := civil.LoadZone(f.Zone); err != nil || f.Zone == "" {
		return care.Refuse("bad-zone", "zone", "want an IANA zone name such as Europe/Lisbon")
	}
	if f.Language != "" && !care.IsLanguage(f.Language) { // people speak one whose texts are a draft
		return care.Refuse("bad-language", "language", "want one of %s, or nothing", strings.Join(care.Languages(), ", "))
	}
	s := &f.Second
	if strings.TrimSpace(s.Name) == "" && s.Phone != "" {
		return care.Refuse("bad-field", "second.name", "a second contact with a telephone needs a name")
	}
	if s.Name != "" {
		if err := record.Trimmed(&s.Name, "second.name"); err != nil {
			return err
		}
	}
	if s.Relation = strings.TrimSpace(s.Relation); utf8.RuneCountInString(s.Relation) > 80 {
		return care.Refuse("bad-field", "second.relation", "want at most 80 characters")
	}
	return record.Trimmed(&f.Name, "name")
}

type wearerForm struct {
	Name  string `json:"name"`
	Code  string `json:"code"`
	Birth string `json:"birth"`          // YYYY-MM-DD, or empty
	Sure  bool   `json:"sure,omitempty"` // that this is not the same child twice
}

// check is as of [familyHeading]; at stands before the names of the fields.
func (w *wearerForm) check(at string) error {
	if err := record.Trimmed(&w.Name, at+"name"); err != nil {
		return err
	}
	if err := record.Trimmed(&w.Code, at+"code"); err != nil {
		return err
	}
	return nil
}

// fits refuses a code that is taken and a date of birth nobody can have, and
// asks about a child the practice already has and about an unusual age.
func (w *wearerForm) fits(tx *store.Tx, x care.Wearer, at string) error {
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	if err := checkBirth(x.Birth, at+"birth", today); err != nil {
		return err
	}
	if err := freeCode(tx, x, at+"code"); err != nil {
		return err
	}
	ask, err := sameChild(tx, x)
	if err != nil {
		return err
	}
	if have, err := tx.Register().Wearer(x.ID); err != nil || have.Birth != x.Birth {
		ask = append(ask, oddAge(x.Birth, today)...)
	}
	return ask.ask(w.Sure)
}

// of returns the wearer with what the form says.
func (w *wearerForm) of(have care.Wearer) care.Wearer {
	have.Name, have.Code, have.Birth = w.Name, w.Code, w.Birth
	return have
}

type personForm struct {
	Name   string        `json:"name"`
	Role   care.Role     `json:"role"`
	Phone  string        `json:"phone"`
	Wearer care.WearerID `json:"wearer,omitempty"` // whom a teen is; of a new family, its wearer
}

func (p *personForm) check(field string) error {
	if record.Trimmed(&p.Name, field) != nil || p.Role != care.Parent && p.Role != care.Teen {
		return care.Refuse("bad-person", field, "each person needs a name of 1 to 80 characters and the role parent or teen")
	}
	return nil
}

// heading returns the family with what the form says of it.
func (f *familyHeading) heading(tx *store.Tx, have care.Family) (care.Family, error) {
	number, err := record.Dialled(tx, "second.phone", f.Second.Phone, have.Second.Phone)
	if err == nil && f.Second.Name != "" && number == "" {
		err = care.Refuse("bad-phone", "second.phone", "want the telephone number of %s", f.Second.Name)
	}
	have.Name, have.Zone, have.Language, have.Second = f.Name, f.Zone, f.Language, f.Second
	have.Second.Phone = number
	return have, err
}

// freeCode refuses a code that another wearer of the practice has: a code on
// the telephone must name one child.
func freeCode(tx *store.Tx, w care.Wearer, field string) error {
	taken := false
	err := tx.Register().AllWearers(func(x care.Wearer) bool {
		taken = x.ID != w.ID && strings.EqualFold(x.Code, w.Code)
		return !taken
	})
	if err == nil && taken {
		return care.Refuse("code-taken", field, "another wearer of the practice has this code; want one that is free")
	}
	return err
}

// changeFamily runs one change of a family, writes down who did it and to whom,
// and answers with the family as it then is.
func (c *call) changeFamily(id care.FamilyID, did string, change func(*store.Tx) (to string, err error)) error {
	if id == care.DrillFamily {
		return isDrill()
	}
	var d familyDetail
	return c.ReplyUpdate(&d, func(tx *store.Tx) error {
		to, err := change(tx)
		if err != nil {
			return err
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, did, to); err != nil {
			return err
		}
		d, err = describeFamily(tx, id)
		return err
	})
}

func (c *call) renameFamily() error {
	var req familyHeading
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	return c.changeFamily(id, "changed family", func(tx *store.Tx) (string, error) {
		f, err := tx.Register().Family(id)
		if err != nil {
			return "", err
		}
		if f, err = req.heading(tx, f); err != nil {
			return "", err
		}
		return string(id), tx.Register().ChangeFamily(id, func(x *care.Family) { x.Name, x.Zone, x.Language, x.Second = f.Name, f.Zone, f.Language, f.Second })
	})
}

func (c *call) addWearer() error {
	var req wearerForm
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(""); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	return c.changeFamily(id, "added wearer", func(tx *store.Tx) (string, error) {
		if _, err := tx.Register().Family(id); err != nil {
			return "", err
		}
		have, err := tx.Register().Wearers(id)
		if err != nil {
			return "", err
		}
		if len(have) >= maxWearers {
			return "", care.Refuse("too-many-wearers", "name", "a family has at most %d wearers", maxWearers)
		}
		w := req.of(care.Wearer{ID: care.WearerID(access.NewID()), Family: id})
		if err := req.fits(tx, w, ""); err != nil {
			return "", err
		}
		return string(w.ID), tx.Register().AddWearer(w)
	})
}

// pathFamily returns the family of the wearer the path names.
func (c *call) pathFamily() (f care.FamilyID, err error) {
	err = c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		f = w.Family
		return err
	})
	return f, err
}

// changeWearer corrects a wearer's name, code or date of birth; who writes
// entries as that wearer is called the same.
func (c *call) changeWearer() error {
	var req wearerForm
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check(""); err != nil {
		return err
	}
	family, err := c.pathFamily()
	if err != nil {
		return err
	}
	return c.changeFamily(family, "changed wearer", func(tx *store.Tx) (string, error) {
		w, err := c.pathWearer(tx)
		if err != nil {
			return "", err
		}
		w = req.of(w)
		if err := req.fits(tx, w, ""); err != nil {
			return "", err
		}
		people, err := tx.Register().People(w.Family)
		if err != nil {
			return "", err
		}
		for _, p := range people {
			if p.Wearer != w.ID || p.Name == w.Name {
				continue
			}
			if err := tx.Register().ChangePerson(p.ID, func(p *care.Person) { p.Name = w.Name }); err != nil {
				return "", err
			}
		}
		return string(w.ID), tx.Register().ChangeWearer(w.ID, func(w *care.Wearer) { *w = req.of(*w) })
	})
}

// dropWearer takes out a wearer enrolled by mistake, of whom nothing is stored.
func (c *call) dropWearer() error {
	family, err := c.pathFamily()
	if err != nil {
		return err
	}
	return c.changeFamily(family, "removed wearer", func(tx *store.Tx) (string, error) {
		all, err := tx.Register().Wearers(family)
		if err != nil {
			return "", err
		}
		if len(all) < 2 {
			return "", care.Errorf(care.Conflict, "last-wearer", "this is the family's only wearer; correct the name, or let an administrator erase the family")
		}
		w, err := c.pathWearer(tx)
		if err != nil {
			return "", err
		}
		return string(w.ID), tx.Archive().DropWearer(w.ID)
	})
}

func (c *call) addPerson() error {
	var req personForm
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := req.check("name"); err != nil {
		return err
	}
	id := care.FamilyID(c.Params("id"))
	return c.changeFamily(id, "added person", func(tx *store.Tx) (string, error) {
		people, err := present(tx, id)
		if err != nil {
			return "", err
		}
		if len(people) >= maxPeople {
			return "", care.Refuse("too-many-people", "name", "a family has at most %d people", maxPeople)
		}
		number, err := record.Dialled(tx, "phone", req.Phone, "")
		if err != nil {
			return "", err
		}
		p := care.Person{ID: care.PersonID(access.NewID()), Family: id, Name: req.Name, Role: req.Role, Phone: number}
		if p.Role == care.Teen {
			w, err := tx.Register().Wearer(req.Wearer)
			if err != nil || w.Family != id || slices.ContainsFunc(people, func(x care.Person) bool { return x.Wearer == w.ID }) {
				return "", care.Refuse("bad-wearer", "wearer", "want a wearer of this family who does not write entries yet")
			}
			p.Wearer, p.Name = w.ID, w.Name
		}
		return string(p.ID), tx.Register().AddPerson(p)
	})
}

// present returns the people of a family that is there, without those who left.
func present(tx *store.Tx, id care.FamilyID) ([]care.Person, error) {
	if _, err := tx.Register().Family(id); err != nil {
		return nil, err
	}
	people, err := tx.Register().People(id)
	return slices.DeleteFunc(people, func(p care.Person) bool { return p.Gone }), err
}

// pathPerson returns the person of the family that the path names both of.
func (c *call) pathPerson(tx *store.Tx) (care.Person, error) {
	p, err := tx.Register().Person(care.PersonID(c.Params("person")))
	if err != nil || p.Gone || p.Family == "" || string(p.Family) != c.Params("id") {
		return p, care.Errorf(care.NotFound, "no-such-person", "there is no such person in this family")
	}
	return p, nil
}

type personChange struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
}

// changePerson corrects a name or a telephone number. Who is a wearer too is
// called as the wearer is.
func (c *call) changePerson() error {
	var req personChange
	if err := c.Read(&req); err != nil {
		return err
	}
	form := personForm{Name: req.Name, Role: care.Parent, Phone: req.Phone}
	if err := form.check("name"); err != nil {
		return err
	}
	return c.changeFamily(care.FamilyID(c.Params("id")), "changed person", func(tx *store.Tx) (string, error) {
		p, err := c.pathPerson(tx)
		if err != nil {
			return "", err
		}
		if p.Wearer != "" && form.Name != p.Name {
			return "", care.Refuse("name-of-wearer", "name", "this person is a wearer too; change the wearer's name")
		}
		if form.Phone, err = record.Dialled(tx, "phone", form.Phone, p.Phone); err != nil {
			return "", err
		}
		if form.Phone == "" && p.Phone != "" && onlyNumber(tx, p) {
			return "", care.Refuse("no-phone", "phone", "this is the only telephone number of the family; want another one first")
		}
		return string(p.ID), tx.Register().ChangePerson(p.ID, func(p *care.Person) { p.Name, p.Phone = form.Name, form.Phone })
	})
}

// onlyNumber reports whether nobody else of a family can be phoned.
func onlyNumber(tx *store.Tx, p care.Person) bool {
	people, err := present(tx, p.Family)
	return err == nil && !slices.ContainsFunc(people, func(x care.Person) bool { return x.ID != p.ID && x.Phone != "" })
}

// dropPerson takes somebody out of a family: their devices open nothing from
// now on, and the calendar address, which they may know, ends. What they wrote
// stays, with their name.
func (c *call) dropPerson() error {
	id := care.FamilyID(c.Params("id"))
	return c.changeFamily(id, "removed person", func(tx *store.Tx) (string, error) {
		p, err := c.pathPerson(tx)
		if err != nil {
			return "", err
		}
		people, err := present(tx, id)
		if err != nil {
			return "", err
		}
		if len(people) < 2 {
			return "", care.Errorf(care.Conflict, "last-person", "nobody else of this family writes entries; add somebody first")
		}
		if err := tx.Access().Leave(p.ID); err != nil {
			return "", err
		}
		return string(p.ID), tx.Access().DropCalendar(id)
	})
}
