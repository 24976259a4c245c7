package duty

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store/pairs"
)

var alerts = pairs.Table[escalate.Alert]{Name: "alerts"}

// Alert returns one alert, or a not-found error.
func (tx *Tx) Alert(id care.AlertID) (escalate.Alert, error) { return alerts.Get(tx.p, []byte(id)) }

// PutAlert stores an alert and its indices. What follows from a change of it, and
// whether it may be made, is the caller's to apply.
func (tx *Tx) PutAlert(a escalate.Alert) error {
	if err := WearerAlerts.Put(tx.p, string(a.Wearer), string(a.ID)); err != nil {
		return err
	}
	if a.Live() {
		if err := tx.p.Put("live_alerts", []byte(a.ID), nil); err != nil {
			return err
		}
	} else if err := tx.p.Delete("live_alerts", []byte(a.ID)); err != nil {
		return err
	}
	return alerts.Put(tx.p, []byte(a.ID), a)
}

// WearerAlerts returns every alert of a wearer.
func (tx *Tx) WearerAlerts(w care.WearerID) ([]escalate.Alert, error) {
	return pairs.Resolve(tx.p, WearerAlerts.Members(tx.p, string(w)), func(id string) (escalate.Alert, error) {
		return tx.Alert(care.AlertID(id))
	})
}

// LiveAlerts returns every alert somebody still has to deal with.
func (tx *Tx) LiveAlerts() ([]escalate.Alert, error) {
	var ids []string
	for k := range tx.p.All("live_alerts") {
		ids = append(ids, string(k))
	}
	return pairs.Resolve(tx.p, ids, func(id string) (escalate.Alert, error) { return tx.Alert(care.AlertID(id)) })
}

// AlertsSince returns live alerts and those closed at or after an instant.
func (tx *Tx) AlertsSince(t time.Time) ([]escalate.Alert, error) {
	var out []escalate.Alert
	err := alerts.Scan(tx.p, nil, func(_ []byte, a escalate.Alert) bool {
		if a.Live() || !a.ClosedAt.Before(t) {
			out = append(out, a)
		}
		return true
	})
	return out, err
}

// WearerAlerts lists the alerts of each wearer.
const WearerAlerts = pairs.Index("wearer_alerts")

// MoveAlerts takes a wearer's alerts to the wearer's family.
func (tx *Tx) MoveAlerts(w care.Wearer) error {
	all, err := tx.WearerAlerts(w.ID)
	if err != nil {
		return err
	}
	for _, a := range all {
		a.Family = w.Family
		if err := tx.PutAlert(a); err != nil {
			return err
		}
	}
	return nil
}
