package store

import (
	"errors"
	"os"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/store/archive"
)

// waiting is a live alert of the file that a backup replaces, with what it takes to go
// on waiting in the restored one.
type waiting struct {
	alert   escalate.Alert
	entries []care.Entry   // that raised it, as far as they can be read
	held    []care.Entry   // the same, kept as they came
	raw     [][]byte       // of each held one
	family  []archive.Pair // of one that the restored file does not hold
}

// waitingIn returns the live alerts of the file at path, which a backup replaces. known
// is false where the file, or what is live in it, cannot be read.
func (tx *Tx) waitingIn(path string) (out []waiting, known bool) {
	known = lookInto(path, func(k kv.Tx) error {
		old := reading(k)
		have, errLayout := layoutOf(k)
		live, err := old.duty.LiveAlerts()
		for _, a := range live {
			if a.Wearer == care.DrillWearer {
				continue
			}
			w := waiting{alert: a} // of another layout its entries may be written otherwise
			if have == Layout {
				_, missing := tx.register.Wearer(a.Wearer)
				w = old.waitingOn(a, missing != nil)
			}
			out = append(out, w)
		}
		return errors.Join(err, errLayout)
	})
	return out, known
}

// waitingInAny is waitingIn also for a damaged file, of which what a repair reads, made
// at tmp, is returned; known is false then, and where a file stood and is gone.
func (tx *Tx) waitingInAny(path, tmp string) (live []waiting, known bool) {
	live, known = tx.waitingIn(path)
	if durable.Missing(path) { // in a new folder nothing stood
		known = durable.Missing(markOf(path))
	} else { // a page that is lost reads as empty
		known = known && sound(path) == nil
	}
	if !known {
		live = tx.waitingInDamaged(path, tmp, live)
	}
	return live, known
}

// waitingInDamaged returns the live alerts of a file that cannot be read as it is: those
// of what a repair of it, made at tmp, can read, else those already found.
func (tx *Tx) waitingInDamaged(path, tmp string, found []waiting) []waiting {
	defer os.Remove(tmp)
	if _, err := Repair(path, tmp, tx.Now); err != nil {
		return found
	}
	if all, _ := tx.waitingIn(tmp); len(all) >= len(found) {
		return all
	}
	return found
}

// waitingOn reads what belongs to an alert, the whole family's where it is asked for.
// What cannot be read of it is left out: the alert is what must not be lost.
func (tx *Tx) waitingOn(a escalate.Alert, whole bool) waiting {
	w := waiting{alert: a}
	for _, id := range a.Entries() {
		if raw := tx.log.HeldRaw(a.Family, id); raw != nil {
			if e, err := care.ParseEntry(raw); err == nil {
				w.held, w.raw = append(w.held, e), append(w.raw, raw)
			}
		} else if e, err := tx.log.Entry(a.Family, id); err == nil && !e.Kind.Clinical() {
			w.entries = append(w.entries, e)
		}
	}
	if whole {
		w.family, _ = tx.archive.Pairs(a.Family)
	}
	return w
}

// carryOver puts alerts that were live in the file that was replaced into this one, and
// returns how many it put and how many it could not. An alert that this file knows a
// later part of stays as it is here. A family that this file does not hold comes with
// all that is its own.
func (tx *Tx) carryOver(all []waiting) (carried, left int, err error) {
	for _, w := range all {
		own, came, err := tx.ownerOf(w)
		if err != nil {
			left++
			continue
		}
		if have, err := tx.duty.Alert(w.alert.ID); err == nil && !came && !lastOf(have).Before(lastOf(w.alert)) {
			continue
		}
		if err := tx.carryAlert(w, own.Family); err != nil {
			return carried, left, err
		}
		carried++
	}
	return carried, left, nil
}

// lastOf returns when an alert last changed.
func lastOf(a escalate.Alert) (at time.Time) {
	if n := len(a.History); n > 0 {
		at = a.History[n-1].At
	}
	return at
}

// ownerOf returns the wearer of an alert. One whom this file does not hold, or whose
// family is among those that are leaving it, came with the family.
func (tx *Tx) ownerOf(w waiting) (own care.Wearer, came bool, err error) {
	own, err = tx.register.Wearer(w.alert.Wearer)
	if care.KindOf(err) != care.NotFound {
		return own, false, err
	}
	err = tx.archive.PutBack(w.alert.Family, "")
	if care.KindOf(err) == care.NotFound && len(w.family) > 0 {
		err = tx.archive.TakeIn(w.family)
	}
	if err != nil {
		return own, false, err
	}
	own, err = tx.register.Wearer(w.alert.Wearer)
	return own, true, err
}

func (tx *Tx) carryAlert(w waiting, family care.FamilyID) error {
	var err error
	for i := range w.entries {
		_, errOne := tx.log.Append(family, &w.entries[i])
		err = errors.Join(err, errOne)
	}
	for i := range w.held {
		err = errors.Join(err, tx.log.KeepHeld(family, &w.held[i], w.raw[i]))
	}
	a := w.alert.Carried(tx.there(w.alert.Owner), tx.Now)
	a.Family = family
	return errors.Join(err, tx.duty.PutAlert(a),
		tx.audit.Append("", "carried over an open alert", string(a.ID)))
}

// there reports whether somebody is of the practice by this file.
func (tx *Tx) there(id care.PersonID) bool {
	staff, err := tx.register.Staff()
	return err == nil && slices.ContainsFunc(staff, func(p care.Person) bool { return p.ID == id && !p.Gone })
}
