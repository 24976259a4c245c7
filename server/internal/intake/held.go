package intake

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
)

// ReadHeld takes into the log what was held because it came from a newer app
// and this program can now read. It belongs to every start after an update; what
// still cannot be read stays held. The count is of entries taken in.
func (in *Intake) ReadHeld() (taken int, err error) {
	var waiting []log.Held
	if err := in.DB.View(func(tx *store.Tx) error { waiting = tx.Log().AllHeld(); return nil }); err != nil {
		return 0, err
	}
	for _, h := range waiting {
		e, err := care.DecodeEntry(h.Raw)
		if err != nil {
			continue // still of a later schema, or not well formed: kept as it is
		}
		e.Forget()
		if in.DB.Write(func(tx *store.Tx) error { return takeHeld(tx, h, &e) }) == nil {
			taken++ // else it stays where it is, and stops neither the start nor the others
		}
	}
	return taken, nil
}

func takeHeld(tx *store.Tx, h log.Held, e *care.Entry) error {
	w, err := newComparison(tx, h.Family)
	if err != nil {
		return err
	}
	if err := w.begin(e); err != nil {
		return err
	}
	if err := judge(tx, e); err != nil {
		return err
	}
	stored, err := tx.Log().Append(h.Family, e)
	if err != nil {
		return err
	}
	if stored == log.Added {
		if err := w.added(e); err != nil {
			return err
		}
	}
	if err := w.end(); err != nil {
		return err
	}
	return tx.Log().Release(h)
}
