package register

import (
	"encoding/json"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// visits holds what the practitioner recorded at a visit; the form belongs to
// package review, the store keeps it as it comes.
var visits = pairs.Table[json.RawMessage]{Name: "visits"}

// PutVisit stores a visit of a wearer under its id.
func (tx *Chart) PutVisit(w care.WearerID, id string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return visits.Put(tx.p, pairs.Key(string(w), id), raw)
}

// Visits reads every visit of a wearer, in order of id, into a slice of T.
func Visits[T any](tx *Chart, w care.WearerID) ([]T, error) {
	return pairs.Table[T](visits).List(tx.p, pairs.Key(string(w), ""))
}
