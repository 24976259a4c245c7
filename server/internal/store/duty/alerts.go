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

// ApplyAlert lets an event happen to an alert and stores what comes of it: the
// alert, its indices and its messages, all in this transaction. An alert that
// is Unraised is made.
func (tx *Tx) ApplyAlert(r escalate.Rules, a escalate.Alert, e escalate.Event) (escalate.Alert, error) {
	next, effects, err := r.Apply(a, e, tx.p.Now)
	if err != nil {
		return a, err
	}
	for _, f := range effects {
		if f.Kind == escalate.Cancel {
			if err := tx.DropRows(next.ID); err != nil {
				return a, err
			}
		}
	}
	for _, row := range escalate.Rows(next.ID, effects, tx.p.Now) {
		if err := tx.PutRow(row); err != nil {
			return a, err
		}
	}
	for _, f := range effects {
		if f.Kind == escalate.Family {
			if next, err = tx.tellStanding(next, f.Delivery); err != nil {
				return a, err
			}
		}
	}
	return next, tx.putAlert(next)
}

// tellStanding puts a message about where an alert stands in the outbox for each
// of the family's devices that takes messages. Without one the history says so:
// then the practice phones.
func (tx *Tx) tellStanding(a escalate.Alert, d escalate.Delivery) (escalate.Alert, error) {
	to, err := tx.access.Reachable(a.Family)
	if err != nil {
		return a, err
	}
	for _, one := range to {
		d.Target = one.Person
		row := escalate.Row{Delivery: d, Alert: a.ID, Device: one.ID, Created: tx.p.Now, Due: tx.p.Now}
		if err := tx.PutRow(row); err != nil {
			return a, err
		}
	}
	if len(to) > 0 {
		return a, nil
	}
	a, _, err = escalate.Rules{}.Apply(a, escalate.Event{Kind: escalate.FamilyTold, Text: string(d.Kind) + ": no device with notifications"}, tx.p.Now)
	return a, err
}

// Unown takes every live alert from a person who is gone, or may not have one any
// more.
func (tx *Tx) Unown(id care.PersonID) error {
	live, err := tx.LiveAlerts()
	if err != nil {
		return err
	}
	p, err := tx.register.Person(id)
	if err != nil {
		return err
	}
	rules, err := tx.EscalationRules()
	if err != nil {
		return err
	}
	for _, a := range live {
		if a.Owner != id && a.AckBy != id {
			continue
		}
		if _, err := tx.ApplyAlert(rules, a, escalate.Event{Kind: escalate.Gone, By: id, Name: p.Name}); err != nil {
			return err
		}
	}
	return nil
}

// PutAlert stores an alert about which the same was said again: nobody is told,
// and nothing else follows.
func (tx *Tx) PutAlert(a escalate.Alert) error { return tx.putAlert(a) }

func (tx *Tx) putAlert(a escalate.Alert) error {
	tx.p.StampChanged(string(a.Wearer))
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
	return pairs.Resolve(WearerAlerts.Members(tx.p, string(w)), func(id string) (escalate.Alert, error) {
		return tx.Alert(care.AlertID(id))
	})
}

// LiveAlerts returns every alert somebody still has to deal with.
func (tx *Tx) LiveAlerts() ([]escalate.Alert, error) {
	var ids []string
	for k := range tx.p.Ascend("live_alerts", nil) {
		ids = append(ids, string(k))
	}
	return pairs.Resolve(ids, func(id string) (escalate.Alert, error) { return tx.Alert(care.AlertID(id)) })
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

// EscalationRules returns what an alert's life depends on in this practice.
func (tx *Tx) EscalationRules() (escalate.Rules, error) {
	r := escalate.Rules{Policy: escalate.DefaultPolicy(), Names: func(id care.PersonID) string {
		p, err := tx.register.Person(id)
		if err != nil {
			return ""
		}
		return p.Name
	}}
	p, err := tx.register.Practice()
	if err != nil {
		p = care.Practice{} // set aside: an alert is raised all the same
	}
	r.Contacts = p.Contacts
	if err := tx.p.Setting("policy", &r.Policy); err != nil {
		r.Policy = escalate.DefaultPolicy()
	}
	if err := tx.p.Setting("rota", &r.Rota); err != nil {
		r.Rota = escalate.Rota{}
	}
	if len(r.Rota.Slots) > 0 {
		return r, nil
	}
	r.Rota, err = tx.everybody(p.Zone)
	return r, err
}

// everybody is the rota of a practice that has made none: nobody is on duty,
// so an alert goes to everybody who can answer one, at once. The one minute a
// week makes them part of the rota; the rest of the week is a gap.
func (tx *Tx) everybody(zone string) (escalate.Rota, error) {
	rota := escalate.Rota{Zone: zone}
	staff, err := tx.register.Staff()
	for _, p := range staff {
		if !p.Gone && p.Role != care.Administrator {
			rota.Slots = append(rota.Slots, escalate.Slot{To: 1, Person: p.ID})
		}
	}
	return rota, err
}

// RecordDelivery writes what became of a message into its alert's history.
func (tx *Tx) RecordDelivery(r escalate.Row, kind escalate.EventKind, note string) error {
	a, err := tx.Alert(r.Alert)
	if care.KindOf(err) == care.NotFound {
		return nil // a canary
	}
	if err != nil {
		return err
	}
	event := escalate.Event{Kind: kind, To: r.Target, Text: string(r.Channel) + ": " + note}
	if r.Kind.OfFamily() { // no failure of it may hurry the ladder, and no success slow it
		event.Kind, event.Text = escalate.FamilyTold, string(r.Kind)+": "+note
	}
	_, err = tx.ApplyAlert(escalate.Rules{}, a, event)
	return err
}

const WearerAlerts = pairs.Index("wearer_alerts")

// MoveAlerts takes a wearer's alerts to the wearer's family.
func (tx *Tx) MoveAlerts(w care.Wearer) error {
	all, err := tx.WearerAlerts(w.ID)
	if err != nil {
		return err
	}
	for _, a := range all {
		a.Family = w.Family
		if err := tx.putAlert(a); err != nil {
			return err
		}
	}
	return nil
}
