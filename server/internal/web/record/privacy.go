package record

import (
	"fmt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/retention"
	"nightkeep/server/internal/store"
)

// ConsentWords is the version of the consent text that comes with the app, CONSENT
// in pwa/app/views/consent.js.
const ConsentWords = "2"

// Privacy is what a practice says of the data it holds, and shows everybody who
// agrees. The points are those of the General Data Protection Regulation (EU)
// 2016/679, article 13(1) and (2).
type Privacy struct {
	Controller string `json:"controller"` // who answers for the data, with an address; empty: the practice's name
	Contact    string `json:"contact"`    // whom to ask about it; empty: the practice's telephone
	Authority  string `json:"authority"`  // whom to complain to beside the practice; empty: not named
	// Own are the practice's own words by language, in place of the app's.
	Own map[string]string `json:"own"`
	// Revision rises with every change, and everybody is asked again.
	Revision int `json:"revision"`
}

// privacySetting is the setting that holds it.
const privacySetting = "privacy"

// ReadPrivacy returns what the practice says, with empty fields filled in.
func ReadPrivacy(tx *store.Tx) (p Privacy, err error) {
	p.Own = map[string]string{}
	return p, tx.Register().Setting(privacySetting, &p)
}

// StorePrivacy stores what the practice says as the next revision.
func StorePrivacy(tx *store.Tx, p Privacy) error {
	have, err := ReadPrivacy(tx)
	if err != nil {
		return err
	}
	p.Revision = have.Revision + 1
	return tx.Register().SetSetting(privacySetting, p)
}

// ConsentText is what somebody agrees to. The words themselves are the app's where
// the practice has none of its own.
type ConsentText struct {
	// Version names the app's words and the practice's revision of what it says.
	Version    string            `json:"version"`
	Words      string            `json:"words"` // the app's version alone
	Controller string            `json:"controller"`
	Contact    string            `json:"contact"`
	Authority  string            `json:"authority"`
	Own        map[string]string `json:"own"`
	Years      int               `json:"years"`     // of keeping after the last activity; 0: for good
	UntilAge   int               `json:"until_age"` // and at least until this age of the youngest wearer; 0: whatever the age
}

// Consent returns the text that is in force.
func Consent(tx *store.Tx) (out ConsentText, err error) {
	p, err := ReadPrivacy(tx)
	if err != nil {
		return out, err
	}
	practice, err := tx.Register().Practice()
	if err != nil {
		return out, err
	}
	var keep retention.Rule
	if err := tx.Register().Setting("retention", &keep); err != nil {
		return out, err
	}
	out = ConsentText{ConsentWords, ConsentWords, p.Controller, p.Contact, p.Authority, p.Own, keep.Years, keep.UntilAge}
	if p.Revision > 0 {
		out.Version = fmt.Sprintf("%s.%d", ConsentWords, p.Revision)
	}
	if out.Controller == "" {
		out.Controller = practice.Name
	}
	if out.Contact == "" {
		out.Contact = practice.Contacts.Phone
	}
	return out, nil
}

// ConsentOf is how somebody's consent stands.
type ConsentOf struct {
	Agreed    string `json:"agreed"` // version agreed to last; empty: none
	At        string `json:"at"`     // RFC 3339; of this or of taking it back
	Withdrawn bool   `json:"withdrawn"`
}

// ConsentStands returns how a person's consent stands.
func ConsentStands(tx *store.Tx, p care.PersonID) (out ConsentOf, err error) {
	last, err := tx.Access().LastConsent(p)
	if err != nil || last.Version == "" {
		return out, err
	}
	out.At, out.Withdrawn = last.At.UTC().Format("2006-01-02T15:04:05Z"), last.Withdrawn
	if !last.Withdrawn {
		out.Agreed = last.Version
	}
	return out, nil
}
