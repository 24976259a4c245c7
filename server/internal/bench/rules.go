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
	var ours, base []float64
	for range rounds {
		start := time.Now()
		err := big.each(func(tx *store.Tx, i int) error {
			tx.Log().NightBytes(familyID(i), 1, crowdNights)
			return nil
		})
		if err != nil {
			return err
		}
		base = append(base, time.Since(start).Seconds()*1e6/float64(big.wearers))
		if err := r.ctx.Err(); err != nil {
			return err
		}
		start = time.Now()
		err = big.each(func(tx *store.Tx, i int) error {
			_, err := intake.Findings(tx, wearerID(i))
			return err
		})
		if err != nil {
			return err
		}
		ours = append(ours, time.Since(start).Seconds()*1e6/float64(big.wearers))
	}
	r.atMost(3, Row{Group: 5, Name: fmt.Sprintf("all rules for %d wearers, each", big.wearers), Unit: "µs", Ours: statOf(ours), Base: statOf(base), BaseName: "reading the nights"})
	return nil
}

// each goes through the wearers of a crowd by their number, 500 in one short read.
func (c *crowd) each(do func(tx *store.Tx, i int) error) error {
	const chunk = 500
	for a := 0; a < c.wearers; a += chunk {
		err := c.prog.DB.View(func(tx *store.Tx) error {
			for i := a; i < min(a+chunk, c.wearers); i++ {
				if err := do(tx, i); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}
