package store

import (
	"time"

	"nightkeep/server/internal/care"
)

// Consent records that a person agreed to one version of the consent text, on
// which device and when.
type Consent struct {
	Person  care.PersonID `json:"person"`
	Device  care.DeviceID `json:"device"`
	Version string        `json:"version"`
	At      time.Time     `json:"at"`
}

var consents = table[Consent]{"consents"}

// PutConsent stores a consent; a later one to the same version replaces it.
func (tx *Tx) PutConsent(c Consent) error {
	return consents.put(tx, key(string(c.Person), c.Version), c)
}

// Consents returns what a person has agreed to, by version.
func (tx *Tx) Consents(p care.PersonID) ([]Consent, error) {
	return consents.list(tx, key(string(p), ""))
}
