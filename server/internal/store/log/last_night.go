package log

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// LastNight returns the last night from one date to another, both included, that
// an entry about the wearer tells of; zero when none does. Words about reminders
// and what the practice writes tell nothing of a wearer.
func (tx *Tx) LastNight(w care.WearerID, from, to civil.Date) (civil.Date, error) {
	if err := tx.Flush(); err != nil {
		return civil.Date{}, err
	}
	prefix, start := pairs.Key(string(w), ""), string(pairs.Key(string(w), from.String()))
	for k, raw := range tx.p.Descend("nights", pairs.Key(string(w), to.AddDays(1).String())) {
		if string(k) < start || !pairs.HasPrefix(k, prefix) {
			break
		}
		rec, err := readNight(raw)
		night, bad := civil.ParseDate(string(k[len(prefix):]))
		if err != nil || bad != nil {
			tx.p.Quarantine("nights", k, errNightKey)
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
