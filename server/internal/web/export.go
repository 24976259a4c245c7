package web

import (
	"io"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/store"
)

// writeNights writes the nights of every wearer.
func writeNights(tx *store.Tx, w io.Writer) error {
	var all []care.Wearer
	if err := tx.AllWearers(func(x care.Wearer) bool { all = append(all, x); return true }); err != nil {
		return err
	}
	out := interop.NewNightsCSV(w)
	for _, x := range all {
		nights, err := tx.Nights(x.ID, longAgo, civil.DateOf(tx.Now).AddDays(1))
		if err != nil {
			return err
		}
		if err := out.Write(x.Code, nights); err != nil {
			return err
		}
	}
	return out.Flush()
}
