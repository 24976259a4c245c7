package register

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Consent is one line of a person's history of consent: to which version of the
// consent text they agreed, for whom, when and on which device, or that they took
// it back.
type Consent struct {
	Person  care.PersonID   `json:"person"`
	Device  care.DeviceID   `json:"device"`
	Version string          `json:"version"`
	At      time.Time       `json:"at"`
	For     []care.WearerID `json:"for,omitempty"` // whose care it was about; empty in lines of before this was asked
	// Withdrawn says that the consent was taken back, to whatever version.
	Withdrawn bool `json:"withdrawn,omitempty"`
	N         int  `json:"n,omitempty"` // counts the lines of one person; 0 in those of before there was a history
}

var consents = pairs.Table[Consent]{Name: "consents"}

// PutConsent adds a line to a person's history. None is ever replaced.
func (tx *Access) PutConsent(c Consent) error {
	have, err := tx.Consents(c.Person)
	if err != nil {
		return err
	}
	c.N = len(have) + 1
	return consents.Put(tx.p, pairs.Key(string(c.Person), fmt.Sprintf("%06d", c.N)), c)
}

// Consents returns a person's history of consent, the oldest line first.
// A damaged part of the file is an error and ends nothing else.
func (tx *Access) Consents(p care.PersonID) (all []Consent, err error) {
	err = tx.p.Try(func() (err error) { all, err = consents.List(tx.p, pairs.Key(string(p), "")); return err })
	slices.SortStableFunc(all, func(a, b Consent) int { return cmp.Or(cmp.Compare(a.N, b.N), a.At.Compare(b.At)) })
	return all, err
}

// LastConsent returns the newest line of a person's history; zero when there is
// none.
func (tx *Access) LastConsent(p care.PersonID) (Consent, error) {
	all, err := tx.Consents(p)
	if err != nil || len(all) == 0 {
		return Consent{}, err
	}
	return all[len(all)-1], nil
}

// Withdrawn reports whether everybody of a family who was ever asked has taken
// their consent back, so that nothing of it is processed but what they report
// themselves.
func (tx *Access) Withdrawn(f care.FamilyID) (bool, error) {
	all, err := tx.register.People(f)
	taken := false
	for _, p := range all {
		last, fault := tx.LastConsent(p.ID)
		if fault != nil || !p.Gone && last.Version != "" && !last.Withdrawn {
			return false, fault
		}
		taken = taken || !p.Gone && last.Withdrawn
	}
	return taken, err
}
