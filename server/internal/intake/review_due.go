package intake

import (
	"slices"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// StopReview is the rule name of an alert about a stop of which nobody has
// decided anything for today: its date of review has passed, or it never had one.
const StopReview = "stop-review"

// RemindOfStops raises a routine alert for every wearer who is stopped, of whom
// no alert is live, and whose stop was to be looked at again before a date, or
// was never decided on. Nobody is to be stopped and forgotten. It reports whether
// there was any.
func RemindOfStops(tx *store.Tx, today civil.Date) (raised bool, err error) {
	var all []care.Wearer
	if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
		return false, err
	}
	for _, w := range all {
		var about *care.Entry
		_ = tx.Try(func() error { // a record that cannot be read is set aside, and holds up no other's
			if tx.Log().HasWear(w.ID) {
				about = forgotten(tx, w.ID, today)
			}
			return nil
		})
		if about == nil {
			continue
		}
		live, err := tx.Duty().WearerAlerts(w.ID)
		if err != nil {
			return raised, err
		}
		if slices.ContainsFunc(live, func(a escalate.Alert) bool { return a.Live() }) {
			continue // somebody is dealing with the wearer
		}
		if about.Answer("reason") == `"ended"` && slices.ContainsFunc(live, func(a escalate.Alert) bool { return slices.Contains(a.Entries(), about.ID) }) {
			continue // asked once: nobody wears a lens again by being forgotten
		}
		s := escalate.Said{Entry: about.ID, Night: today, Level: escalate.Level(alerts.Routine.String()), Signs: []string{StopReview}}
		rings, err := apply(tx, w.Family, about, StopReview, s, func(a escalate.Alert) bool { return a.Rule == StopReview })
		if err != nil {
			return raised, err
		}
		raised = raised || rings
	}
	return raised, nil
}

// forgotten returns what stops a wearer when nobody has said for how long, or the
// date that was said last has passed; nil when there is nothing to ask about.
func forgotten(tx *store.Tx, w care.WearerID, today civil.Date) *care.Entry {
	wear := WearNow(tx, w)
	held := CausesOf(wear)
	released := func(e *care.EyeWear) bool { return e.State < care.Stop || !e.Until.IsZero() }
	if wear.Worst() < care.Stop || released(&wear.Right) && released(&wear.Left) {
		return nil
	}
	over := !OverSince(tx, w).IsZero()
	var last *care.Entry
	for _, e := range tx.Log().WearEntries(w) {
		if slices.Contains(held, e.ID) && (last == nil || last.Kind != care.Cease || e.Kind == care.Cease) {
			last = e
		}
	}
	if last == nil { // known by its id alone
		return &care.Entry{ID: held[0], Wearer: w, Kind: care.WearStart, Night: today}
	}
	if last.Kind == care.Cease && !last.ReviewBy().Before(today) {
		return nil
	}
	// Of an ended wear only the date that was promised while an alert was closed.
	if over && (last.Kind != care.Cease || last.Answer("alert") == "") {
		return nil
	}
	return last
}
