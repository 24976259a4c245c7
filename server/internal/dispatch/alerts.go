// Package dispatch lets the ladder and the reminders act on what is stored, inside
// a transaction of the store: it applies the rules of escalate to stored alerts, and
// is the durable outbox and ledger that the workers go by. The store keeps what
// comes of it and runs no rule.
package dispatch

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// Apply lets an event happen to an alert and stores what comes of it: the
// alert, its indices and its messages, all in this transaction. An alert that
// is Unraised is made.
func Apply(tx *store.Tx, r escalate.Rules, a escalate.Alert, e escalate.Event) (escalate.Alert, error) {
	next, effects, err := r.Apply(a, e, tx.Now)
	if err != nil {
		return a, err
	}
	for _, f := range effects {
		if f.Kind == escalate.Cancel {
			if err := tx.Duty().DropRows(next.ID); err != nil {
				return a, err
			}
		}
	}
	for _, row := range escalate.Rows(next.ID, effects, tx.Now) {
		if err := tx.Duty().PutRow(row); err != nil {
			return a, err
		}
	}
	for _, f := range effects {
		if f.Kind == escalate.Family {
			if next, err = tellStanding(tx, next, f.Delivery); err != nil {
				return a, err
			}
		}
	}
	return next, tx.Duty().PutAlert(next)
}

// tellStanding puts a message about where an alert stands in the outbox for each
// of the family's devices that takes messages. Without one the history says so:
// then the practice phones.
func tellStanding(tx *store.Tx, a escalate.Alert, d escalate.Delivery) (escalate.Alert, error) {
	to, err := tx.Access().Reachable(a.Family)
	if err != nil {
		return a, err
	}
	for _, one := range to {
		d.Target = one.Person
		row := escalate.Row{Delivery: d, Alert: a.ID, Device: one.ID, Created: tx.Now, Due: tx.Now}
		if err := tx.Duty().PutRow(row); err != nil {
			return a, err
		}
	}
	if len(to) > 0 {
		return a, nil
	}
	a, _, err = escalate.Rules{}.Apply(a, escalate.Event{Kind: escalate.FamilyTold, Text: string(d.Kind) + ": no device with notifications"}, tx.Now)
	return a, err
}

// Unown takes every live alert from a person who is gone, or may not have one any
// more.
func Unown(tx *store.Tx, id care.PersonID) error {
	live, err := tx.Duty().LiveAlerts()
	if err != nil {
		return err
	}
	p, err := tx.Register().Person(id)
	if err != nil {
		return err
	}
	rules, err := Rules(tx)
	if err != nil {
		return err
	}
	for _, a := range live {
		if a.Owner != id && a.AckBy != id {
			continue
		}
		if _, err := Apply(tx, rules, a, escalate.Event{Kind: escalate.Gone, By: id, Name: p.Name}); err != nil {
			return err
		}
	}
	return nil
}

// Rules returns what an alert's life depends on in this practice.
func Rules(tx *store.Tx) (escalate.Rules, error) {
	r := escalate.Rules{Policy: escalate.DefaultPolicy(), Names: func(id care.PersonID) string {
		p, err := tx.Register().Person(id)
		if err != nil {
			return ""
		}
		return p.Name
	}}
	p, err := tx.Register().Practice()
	if err != nil {
		p = care.Practice{} // set aside: an alert is raised all the same
	}
	r.Contacts = p.Contacts
	if err := tx.Register().Setting("policy", &r.Policy); err != nil {
		r.Policy = escalate.DefaultPolicy()
	}
	if err := tx.Register().Setting("rota", &r.Rota); err != nil {
		r.Rota = escalate.Rota{}
	}
	if len(r.Rota.Slots) > 0 {
		return r, nil
	}
	r.Rota, err = everybody(tx, p.Zone)
	return r, err
}

// everybody is the rota of a practice that has made none: nobody is on duty,
// so an alert goes to everybody who can answer one, at once. The one minute a
// week makes them part of the rota; the rest of the week is a gap.
func everybody(tx *store.Tx, zone string) (escalate.Rota, error) {
	rota := escalate.Rota{Zone: zone}
	staff, err := tx.Register().Staff()
	for _, p := range staff {
		if !p.Gone && p.Role != care.Administrator {
			rota.Slots = append(rota.Slots, escalate.Slot{To: 1, Person: p.ID})
		}
	}
	return rota, err
}

// recordDelivery writes what became of a message into its alert's history.
func recordDelivery(tx *store.Tx, r escalate.Row, kind escalate.EventKind, note string) error {
	a, err := tx.Duty().Alert(r.Alert)
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
	_, err = Apply(tx, escalate.Rules{}, a, event)
	return err
}
