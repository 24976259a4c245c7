package app

import (
	"encoding/json"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

// drillEvery is how long after the last drill the next is due where a practice
// wants one each month: four weeks, so that it comes on the same weekday (our
// choice).
const drillEvery = 28 * 24 * time.Hour

// monthlyDrill starts a drill that is due, an hour after the practice opened and
// while it is open, when no child waits.
func (a *App) monthlyDrill() error {
	if a.opt.Rehearsal {
		return nil
	}
	var due bool
	err := a.DB.View(func(tx *store.Tx) (err error) { due, err = drillDue(tx); return err })
	if err != nil || !due {
		return err
	}
	var report json.RawMessage
	err = a.DB.Write(func(tx *store.Tx) error {
		if due, err = drillDue(tx); err != nil || !due {
			return err
		}
		report, err = intake.PrepareDrill(tx, care.Person{})
		return err
	})
	if err != nil || !due {
		return err
	}
	return a.Server.Intake.Drill(report, care.Person{})
}

func drillDue(tx *store.Tx) (bool, error) {
	p, err := tx.Register().Practice()
	if err != nil || !p.Monthly || !escalate.OpenAt(p.Contacts, tx.Now) || !escalate.OpenAt(p.Contacts, tx.Now.Add(-time.Hour)) {
		return false, err
	}
	all, err := intake.Drills(tx)
	if err != nil || len(all) > 0 && tx.Now.Sub(all[0].Opened) < drillEvery {
		return false, err
	}
	return intake.MayDrill(tx) == nil, nil
}
