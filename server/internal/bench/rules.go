package bench

import (
	"fmt"
	"time"

	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// rules is row group 5: all rules for every wearer, against a loop that only
// reads the same nights from the same file.
func (r *run) rules() error {
	big, err := r.crowd()
	if err != nil {
		return err
	}
	const chunk = 500 // wearers in one short read
	var ours, base []float64
	found := 0
	for range rounds {
		start := time.Now()
		bytes := 0
		for a := 0; a < big.wearers; a += chunk {
			err := big.prog.DB.View(func(tx *store.Tx) error {
				for i := a; i < min(a+chunk, big.wearers); i++ {
					bytes += tx.Log().NightBytes(familyID(i), 1, crowdNights)
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		base = append(base, time.Since(start).Seconds()*1e6/float64(big.wearers))
		if err := r.ctx.Err(); err != nil {
			return err
		}
		start, found = time.Now(), 0
		for a := 0; a < big.wearers; a += chunk {
			err := big.prog.DB.View(func(tx *store.Tx) error {
				for i := a; i < min(a+chunk, big.wearers); i++ {
					list, err := intake.Findings(tx, wearerID(i))
					if err != nil {
						return err
					}
					found += len(list)
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		ours = append(ours, time.Since(start).Seconds()*1e6/float64(big.wearers))
	}
	r.atMost(3, Row{Group: 5, Name: fmt.Sprintf("all rules for %d wearers, each", big.wearers), Unit: "µs", Ours: statOf(ours), Base: statOf(base), BaseName: "reading the nights"})
	return nil
}
