package archive

import (
	"errors"
	"slices"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
)

// SplitWearer makes a wearer of a shared record a family of their own: the
// wearer, the people who are that wearer, their devices, and everything stored
// about the wearer go to the new family, whose id must be new. The others and
// their records stay. Both logs are numbered anew, so both get a life of their
// own in the epoch, and devices read them again. The old family's calendar
// address ends, because somebody who has left may know it.
func (tx *Tx) SplitWearer(id care.WearerID, to care.Family) error {
	w, err := tx.register.Wearer(id)
	if err != nil {
		return err
	}
	from, err := tx.register.Family(w.Family)
	if err != nil {
		return err
	}
	if err := tx.log.Flush(); err != nil {
		return err
	}
	if err := errors.Join(tx.log.NameLife(&from), tx.log.NameLife(&to)); err != nil {
		return err
	}
	moved, err := tx.register.SplitFamily(w, from, to)
	if err != nil {
		return err
	}
	w.Family = to.ID
	for _, d := range moved {
		if err := tx.log.MoveWatermark(d, from.ID, to.ID); err != nil {
			return err
		}
	}
	for _, step := range []func() error{
		func() error { return tx.duty.MoveAlerts(w) },
		func() error { return tx.log.MoveHeld(w, from.ID) },
		func() error { return tx.chart.MoveEvents(w, from.ID) },
		func() error { return tx.access.DropCalendar(from.ID) },
		func() error { return tx.duty.DropWaitingOf(from.ID) }, // to both of them together
		func() error { return tx.log.SplitLog(w, from.ID) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// DropWearer takes out a wearer of whom nothing is stored, enrolled by mistake;
// whoever is that wearer leaves. Anything stored is a [care.Conflict] error: a
// record goes with its family only.
func (tx *Tx) DropWearer(id care.WearerID) error {
	w, err := tx.register.Wearer(id)
	if err != nil {
		return err
	}
	stored, err := tx.holdsOf(w)
	if err != nil {
		return err
	}
	if stored {
		return care.Errorf(care.Conflict, "has-record", "something is stored about this wearer: entries, a plan or visits; it is kept, and goes only when the family is erased")
	}
	people, err := tx.register.People(w.Family)
	if err != nil {
		return err
	}
	for _, p := range people {
		if p.Wearer != id || p.Gone {
			continue
		}
		if err := tx.access.Leave(p.ID); err != nil {
			return err
		}
	}
	return tx.register.DeleteWearer(w)
}

// holdsOf reports whether anything is stored about a wearer, as the table of
// ownership has it: under the wearer's own id, or in the family's log, read or
// not.
func (tx *Tx) holdsOf(w care.Wearer) (bool, error) {
	for name, o := range owners() {
		if name == "wearers" || o.first == nil || !o.first(&memberIDs{wearers: map[string]bool{string(w.ID): true}})[string(w.ID)] {
			continue
		}
		if tx.p.Has(name, []byte(w.ID)) || tx.p.Any(name, pairs.Key(string(w.ID), "")) {
			return true, nil
		}
	}
	all, err := tx.log.WholeLog(w.Family)
	if err != nil || slices.ContainsFunc(all, func(e care.Entry) bool { return e.Wearer == w.ID }) {
		return true, err
	}
	return slices.ContainsFunc(tx.log.AllHeld(), func(h log.Held) bool { return h.Family == w.Family && strings.Contains(string(h.Raw), string(w.ID)) }), nil
}
