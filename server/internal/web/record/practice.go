package record

import (
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Name returns a person's name, or "" when the id is unknown.
func Name(tx *store.Tx, id care.PersonID) string {
	p, err := tx.Register().Person(id)
	if err != nil {
		return ""
	}
	return p.Name
}

// Today returns the date at the practice, and its zone.
func Today(tx *store.Tx) (civil.Date, *time.Location, error) {
	p, err := tx.Register().Practice()
	if err != nil {
		return civil.Date{}, nil, err
	}
	loc, err := civil.LoadZone(p.Zone)
	if err != nil {
		loc = time.UTC
	}
	return civil.DateOf(tx.Now.In(loc)), loc, nil
}

// LeastRules is the setting that holds the version of the rule table which a
// clinician has pressed: apps with an older one say that their advice is old.
const LeastRules = "least_rules"
