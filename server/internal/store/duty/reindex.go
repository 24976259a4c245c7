package duty

import (
	"errors"
	"time"

	"nightkeep/server/internal/care"
)

// Reindex writes the lists of alerts and messages again from what can be read of
// them, and lets the next tick look at every one of these wearers.
func (tx *Tx) Reindex(planned []care.WearerID) error {
	as, e1 := alerts.List(tx.p, nil)
	rows, e2 := outbox.List(tx.p, nil)
	err := errors.Join(e1, e2, tx.p.Drop("live_alerts", string(WearerAlerts), "outbox_due", "due", "due_at"))
	for _, a := range as {
		err = errors.Join(err, tx.PutAlert(a))
	}
	for _, r := range rows {
		r.LeaseUntil = time.Time{} // whoever was sending it is gone
		err = errors.Join(err, tx.SetRow(r))
	}
	for _, w := range planned {
		err = errors.Join(err, tx.SetDue(w, tx.p.Now))
	}
	return err
}
