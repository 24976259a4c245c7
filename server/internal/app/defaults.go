package app

import (
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/practice"
)

// startPractice gives a practice that has set nothing a name to be changed. It
// sets no zone: the machine's may be another than the practice's, so whoever sets
// it up is asked first.
func startPractice(db *store.DB) error {
	return db.Update(func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil || p.Name != "" || p.Zone != "" || p.Contacts.Phone != "" {
			return err
		}
		return tx.Register().PutPractice(practice.Usual())
	})
}
