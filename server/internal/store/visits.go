package store

import (
	"encoding/json"

	"nightkeep/server/internal/care"
)

// visits holds what the practitioner recorded at a visit; the form belongs to
// package review, the store keeps it as it comes.
var visits = table[json.RawMessage]{"visits"}

// PutVisit stores a visit of a wearer under its id.
func (tx *Tx) PutVisit(w care.WearerID, id string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	tx.changed(string(w))
	return visits.put(tx, key(string(w), id), raw)
}

// Visits reads every visit of a wearer, in order of id, into a slice of T.
func Visits[T any](tx *Tx, w care.WearerID) ([]T, error) {
	return table[T](visits).list(tx, key(string(w), ""))
}
