package store

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// LastNight returns the last night from one date to another, both included, that
// an entry about the wearer tells of; zero when none does. Words about reminders
// and what the practice writes tell nothing of a wearer.
func (tx *Tx) LastNight(w care.WearerID, from, to civil.Date) (civil.Date, error) {
	if err := tx.settle(); err != nil {
		return civil.Date{}, err
	}
	prefix, start := key(string(w), ""), string(key(string(w), from.String()))
	for k, raw := range tx.down("nights", key(string(w), to.AddDays(1).String())) {
		if string(k) < start || !hasPrefix(k, prefix) {
			break
		}
		rec, err := readNight(raw)
		night, bad := civil.ParseDate(string(k[len(prefix):]))
		if err != nil || bad != nil {
			tx.aside("nights", k, errNightKey)
			continue
		}
		for _, seq := range rec.seqs {
			if e, err := tx.entryAt(rec.family, seq); err == nil && e.Kind.AboutWearer() {
				return night, nil
			}
		}
	}
	return civil.Date{}, nil
}
