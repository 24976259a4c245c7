package store

import (
	"bytes"
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
)

// Held is an entry kept raw because it was of a later schema when it came.
type Held struct {
	Family care.FamilyID
	Raw    json.RawMessage
	key    []byte
}

// AllHeld returns every entry kept raw.
func (tx *Tx) AllHeld() []Held {
	var out []Held
	c := held.bucket(tx).Cursor()
	for k, raw := c.First(); k != nil; k, raw = c.Next() {
		family, _, _ := bytes.Cut(k, []byte{sep})
		out = append(out, Held{care.FamilyID(family), slices.Clone(raw), slices.Clone(k)})
	}
	return out
}

// Release forgets an entry kept raw, once it stands in the log.
func (tx *Tx) Release(h Held) error { return held.delete(tx, h.key) }
