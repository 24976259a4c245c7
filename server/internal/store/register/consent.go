package register

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Consent records that a person agreed to one version of the consent text, on
// which device and when.
type Consent struct {
	Person  care.PersonID `json:"person"`
	Device  care.DeviceID `json:"device"`
	Version string        `json:"version"`
	At      time.Time     `json:"at"`
}

var consents = pairs.Table[Consent]{Name: "consents"}

// PutConsent stores a consent; a later one to the same version replaces it.
func (tx *Access) PutConsent(c Consent) error {
	return consents.Put(tx.p, pairs.Key(string(c.Person), c.Version), c)
}

// Consents returns what a person has agreed to, by version.
func (tx *Access) Consents(p care.PersonID) ([]Consent, error) {
	return consents.List(tx.p, pairs.Key(string(p), ""))
}
