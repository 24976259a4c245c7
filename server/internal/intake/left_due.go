package intake

import (
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// CheckLeft is the rule of the table about an eye check that was begun and left.
const CheckLeft = "check-left"

// leftFor is how long a check that was left is offered again on the phone before
// the practice is asked to look (our choice: from late evening to the morning).
const leftFor = 6 * time.Hour

// left reports whether an entry is a check that somebody began and left, with
// nothing said yet that a rule heeds.
func left(e *care.Entry) bool {
	return e.Kind == care.CheckOpen && e.Answer("left") == "true"
}

// RemindOfLeft raises a routine alert for each check that was left and that
// nobody has finished by the morning after, once. It reports whether there was any.
func RemindOfLeft(tx *store.Tx) (raised bool, err error) {
	var all []care.Wearer
	if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
		return false, err
	}
	for _, w := range all {
		var e *care.Entry
		_ = tx.Try(func() error { // a record that cannot be read is set aside, and holds up no other's
			if tx.Log().HasWear(w.ID) {
				e = unfinished(tx, w.ID)
			}
			return nil
		})
		if e == nil {
			continue
		}
		s := said(e, alerts.Routine, eyeOf(e.Judged, care.Rest), time.Time{}, []string{CheckLeft})
		rings, err := apply(tx, w.Family, e, CheckLeft, s, ofEpisode)
		if err != nil {
			return raised, err
		}
		raised = raised || rings
	}
	return raised, nil
}

// unfinished returns the newest check of a wearer that was left long enough ago,
// still keeps a lens out, and of which no alert tells yet; nil for none.
func unfinished(tx *store.Tx, w care.WearerID) (last *care.Entry) {
	held := CausesOf(WearNow(tx, w))
	have, err := tx.Duty().WearerAlerts(w)
	if err != nil {
		return nil // said where the alerts are shown
	}
	for _, e := range tx.Log().WearEntries(w) {
		at, err := e.ServerTime()
		if !left(e) || err != nil || tx.Now.Sub(at) < leftFor || !slices.Contains(held, e.ID) {
			continue
		}
		told := func(a escalate.Alert) bool { return slices.Contains(familyAlert(a).Entries, e.ID) }
		if !slices.ContainsFunc(have, told) && (last == nil || e.Night.After(last.Night)) {
			last = e
		}
	}
	return last
}
