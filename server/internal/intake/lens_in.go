package intake

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// WornStill is the rule name of an alert about a lens that is still in at noon after its
// night, in an eye that is stopped.
const WornStill = "worn-still"

// lensInBack is how many nights are looked through for a lens that nobody logged out, as
// on the phone (inSince in pwa/app/model/day.js; our choice).
const lensInBack = 90

// lensInNear is how many of them are read first: they nearly always say it.
const lensInNear = 3

// LensesIn returns the lenses of a wearer that are in by the last word of the log, or of
// the practice, which says of one that was stuck or not found that it is out.
func LensesIn(tx *store.Tx, w care.WearerID) ([]care.LensIn, error) {
	tonight := Tonight(tx, w)
	var nights []care.Night
	var err error
	for _, back := range []int{lensInNear, lensInBack} {
		// Where the family is it may be tomorrow.
		nights, err = tx.Log().Nights(w, tonight.AddDays(-back), tonight.AddDays(1))
		if err != nil || care.TellOfLenses(nights) {
			break
		}
	}
	in := care.LensesIn(nights, tx.Log().WearFacts(w), tonight)
	return slices.DeleteFunc(in, func(l care.LensIn) bool { return saidOut(tx, w, l) }), err
}

// saidOut reports whether the practice has said that a lens is out since it went in
// (cameOut in pwa/app/model/day.js).
func saidOut(tx *store.Tx, w care.WearerID, l care.LensIn) bool {
	all := tx.Log().WearEntries(w)
	if !slices.ContainsFunc(all, func(e *care.Entry) bool { return saysOut(e, l.Eye) }) {
		return false
	}
	of, err := tx.Register().Wearer(w)
	if err != nil {
		return false
	}
	into, err := tx.Log().Entry(of.Family, l.Entry)
	if err != nil {
		return false
	}
	since, err := into.ServerTime()
	return err == nil && slices.ContainsFunc(all, func(e *care.Entry) bool {
		said, err := e.ServerTime()
		return err == nil && saysOut(e, l.Eye) && said.After(since)
	})
}

// saysOut reports whether an entry is the word of the practice that the lens of an eye is out.
func saysOut(e *care.Entry, eye string) bool {
	var b struct{ Eyes, Lens string }
	return e.Kind == care.Cease && json.Unmarshal(e.Body, &b) == nil && b.Lens == "out" && bothOr(b.Eyes, eye)
}

// RemindOfLenses raises an alert for every wearer of whom a lens is still in at noon after
// its night, in an eye that is stopped by more than a decision of the practice alone: once
// a lens, and while no alert is live, which would say it. Closing an alert leaves nobody
// who looks after a lens that is in. It reports whether there was any. Common practice:
// a lens is out in the morning, and one that is not keeps its oxygen from a sick eye.
func RemindOfLenses(tx *store.Tx) (raised bool, err error) {
	var all []care.Wearer
	if err := tx.Register().AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
		return false, err
	}
	for _, w := range all {
		var in []care.LensIn
		_ = tx.Try(func() error { // a record that cannot be read is set aside, and holds up no other's
			if tx.Log().HasWear(w.ID) {
				in, err = stillIn(tx, w.ID)
			}
			return err
		})
		if len(in) == 0 {
			continue
		}
		rings, err := remindOf(tx, w, in)
		if err != nil {
			return raised, err
		}
		raised = raised || rings
	}
	return raised, nil
}

// stillIn returns the lenses of earlier nights that are in stopped eyes.
func stillIn(tx *store.Tx, w care.WearerID) ([]care.LensIn, error) {
	in, err := LensesIn(tx, w)
	tonight := Tonight(tx, w)
	return slices.DeleteFunc(in, func(l care.LensIn) bool {
		return l.Held < care.Stop || !l.Told || !l.Night.Before(tonight)
	}), err
}

func remindOf(tx *store.Tx, w care.Wearer, in []care.LensIn) (bool, error) {
	have, err := tx.Duty().WearerAlerts(w.ID)
	if err != nil {
		return false, err
	}
	var signs []string
	for _, l := range in {
		signs = append(signs, WornStill+" "+l.Eye+" "+l.Night.String())
	}
	for _, a := range have {
		if a.Live() {
			return false, nil // somebody is dealing with the wearer
		}
		signs = slices.DeleteFunc(signs, func(s string) bool { return slices.Contains(a.Signs, s) })
	}
	if len(signs) == 0 {
		return false, nil
	}
	e, err := tx.Log().Entry(w.Family, in[0].Entry)
	if err != nil {
		return false, err
	}
	eye := in[0].Eye
	if len(in) == 2 {
		eye = "both"
	}
	s := said(&e, alerts.Urgent, eye, time.Time{}, signs)
	// An alert of its own: what was decided on stays decided, and this heads its card.
	return apply(tx, w.Family, &e, WornStill, s, func(escalate.Alert) bool { return false })
}
