package family

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

type consentRequest struct {
	Version string `json:"version"`
}

// consentText answers with what is agreed to. Whoever has a code reads it before
// they have a credential; it holds nothing of a family.
func (c *call) consentText() error {
	var out record.ConsentText
	return c.ReplyView(&out, func(tx *store.Tx) (err error) {
		out, err = record.Consent(tx)
		return err
	})
}

// contacts answers with whom to call. A phone that has not joined, or whose storage was
// cleared, asks for them beside the advice; they are on the page /plain for anybody.
func (c *call) contacts() error {
	var out care.Contacts
	return c.ReplyView(&out, func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		out = p.Contacts
		return err
	})
}

// inForce refuses agreement to anything but the text that is in force.
func inForce(tx *store.Tx, version string) error {
	now, err := record.Consent(tx)
	if err != nil {
		return err
	}
	if version != now.Version {
		return care.Refuse("bad-consent", "consent", "want the version of the consent text that the person agreed to, which is now %s", now.Version)
	}
	return nil
}

func consentOf(tx *store.Tx, p care.PersonID) (out consent, err error) {
	now, err := record.Consent(tx)
	if err != nil {
		return out, err
	}
	out.Version = now.Version
	out.ConsentOf, err = record.ConsentStands(tx, p)
	return out, err
}

// about returns the wearers that a person agrees for: a teen for themself, anybody
// else for all of the family.
func about(tx *store.Tx, p care.Person) (out []care.WearerID, err error) {
	if p.Role == care.Teen && p.Wearer != "" {
		return []care.WearerID{p.Wearer}, nil
	}
	all, err := tx.Register().Wearers(p.Family)
	for _, w := range all {
		out = append(out, w.ID)
	}
	return out, err
}

// agree adds to a person's history that they agreed.
func agree(tx *store.Tx, p care.Person, d care.DeviceID, version string) error {
	wearers, err := about(tx, p)
	if err != nil {
		return err
	}
	return tx.Access().PutConsent(register.Consent{Person: p.ID, Device: d, Version: version, At: tx.Now, For: wearers})
}

// agree takes the caller's word that they agree to the text in force.
func (c *call) agree() error {
	var req consentRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		if err := inForce(tx, req.Version); err != nil {
			return err
		}
		p, err := tx.Register().Person(c.Caller.Person.ID)
		if err != nil {
			return err
		}
		last, err := tx.Access().LastConsent(p.ID)
		if err != nil || last.Version == req.Version && !last.Withdrawn {
			return err // said twice
		}
		if last.Withdrawn {
			if err := c.tellConsent(tx, register.ConsentAgain); err != nil {
				return err
			}
		}
		if err := tx.Audit().Append(p.ID, "agreed to consent", req.Version); err != nil {
			return err
		}
		return agree(tx, p, c.Caller.Device.ID, req.Version)
	})
}

// withdraw takes the caller's consent back: nothing they write is taken from now
// on but reports of a sore eye, and they are reminded of nothing. What the practice
// holds it keeps as its record of the treatment, until its time of keeping is over
// or the family is erased.
func (c *call) withdraw() error {
	return c.DoneUpdate(func(tx *store.Tx) error {
		p, err := tx.Register().Person(c.Caller.Person.ID)
		if err != nil {
			return err
		}
		last, err := tx.Access().LastConsent(p.ID)
		if err != nil || last.Withdrawn {
			return err
		}
		wearers, err := about(tx, p)
		if err != nil {
			return err
		}
		if last.Version == "" {
			last.Version = record.ConsentWords // joined before consent was written down
		}
		line := register.Consent{Person: p.ID, Device: c.Caller.Device.ID, Version: last.Version, At: tx.Now, For: wearers, Withdrawn: true}
		if err := tx.Access().PutConsent(line); err != nil {
			return err
		}
		if err := c.tellConsent(tx, register.ConsentEnded); err != nil {
			return err
		}
		return tx.Audit().Append(p.ID, "withdrew consent", string(p.Family))
	})
}

// tellConsent tells the practice, whose console shows it.
func (c *call) tellConsent(tx *store.Tx, kind string) error {
	return tx.Access().AddFamilyNews(register.FamilyNews{Family: c.Caller.Person.Family, Kind: kind, Person: c.Caller.Person.ID, Device: c.Caller.Device.ID, At: tx.Now})
}
