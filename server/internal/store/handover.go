package store

import (
	"crypto/rand"
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
)

// SplitWearer makes a wearer of a shared record a family of their own: the
// wearer, the people who are that wearer, their devices, and everything stored
// about the wearer go to the new family, whose id must be new. The others and
// their records stay. Both logs are numbered anew, so both get a life of their
// own in the epoch, and devices read them again. The old family's calendar
// address ends, because somebody who has left may know it.
func (tx *Tx) SplitWearer(id care.WearerID, to care.Family) error {
	w, err := tx.Wearer(id)
	if err != nil {
		return err
	}
	from, err := tx.Family(w.Family)
	if err != nil {
		return err
	}
	if err := tx.settle(); err != nil {
		return err
	}
	from.Life, to.Life = rand.Text(), rand.Text()
	w.Family = to.ID
	for _, step := range []func() error{
		func() error { return tx.putFamily(from) },
		func() error { return tx.putFamily(to) },
		func() error { return familyWearers.drop(tx, string(from.ID), string(id)) },
		func() error { return tx.putWearer(w) },
		func() error { return tx.movePeople(w, from.ID) },
		func() error { return tx.moveAlerts(w) },
		func() error { return tx.moveHeld(w, from.ID) },
		func() error { return tx.moveEvents(w, from.ID) },
		func() error { return tx.DropCalendar(from.ID) },
		func() error { return tx.splitLog(w, from.ID) },
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// movePeople takes those who are the wearer, and their devices, to the
// wearer's family.
func (tx *Tx) movePeople(w care.Wearer, from care.FamilyID) error {
	all, err := tx.People(from)
	if err != nil {
		return err
	}
	devices, err := tx.Devices(from)
	if err != nil {
		return err
	}
	for _, p := range all {
		if p.Wearer != w.ID {
			continue
		}
		if err := familyPeople.drop(tx, string(from), string(p.ID)); err != nil {
			return err
		}
		p.Family = w.Family
		if err := tx.putPerson(p); err != nil {
			return err
		}
		for _, d := range devices {
			if d.Person != p.ID {
				continue
			}
			if err := familyDevices.drop(tx, string(from), string(d.ID)); err != nil {
				return err
			}
			if err := tx.moveHeard(d.ID, from, w.Family); err != nil {
				return err
			}
			d.Family = w.Family
			if err := tx.putDevice(d); err != nil {
				return err
			}
		}
	}
	return nil
}

func (tx *Tx) moveAlerts(w care.Wearer) error {
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

// moveHeld moves the entries kept raw that say they are about the wearer.
func (tx *Tx) moveHeld(w care.Wearer, from care.FamilyID) error {
	for _, h := range tx.AllHeld() {
		var about struct {
			Wearer care.WearerID `json:"wearer"`
		}
		if h.Family != from || json.Unmarshal(h.Raw, &about) != nil || about.Wearer != w.ID {
			continue
		}
		if err := tx.Release(h); err != nil {
			return err
		}
		at := append(key(string(w.Family), ""), h.key[len(key(string(from), "")):]...)
		if err := held.put(tx, at, h.Raw); err != nil {
			return err
		}
	}
	return nil
}

// moveEvents moves what the old family's calendar has shown of the wearer.
func (tx *Tx) moveEvents(w care.Wearer, from care.FamilyID) error {
	var keys [][]byte
	var events []CalendarEvent
	err := calendarEvents.scan(tx, key(string(from), string(w.ID), ""), func(k []byte, e CalendarEvent) bool {
		keys, events = append(keys, slices.Clone(k)), append(events, e)
		return true
	})
	if err != nil {
		return err
	}
	for i, e := range events {
		if err := calendarEvents.delete(tx, keys[i]); err != nil {
			return err
		}
		if err := tx.PutCalendarEvent(w.Family, e); err != nil {
			return err
		}
	}
	return nil
}

// splitLog parts a log in two, each in the order it had, numbered from 1.
func (tx *Tx) splitLog(w care.Wearer, from care.FamilyID) error {
	if err := tx.settle(); err != nil {
		return err
	}
	all, err := tx.wholeLog(from)
	if err != nil {
		return err
	}
	for i := range all {
		if err := tx.dropEntry(from, &all[i]); err != nil {
			return err
		}
	}
	seq, sum := map[care.FamilyID]uint64{}, map[care.FamilyID]string{}
	for i := range all {
		e, family := &all[i], from
		if e.Wearer == w.ID {
			family = w.Family
		}
		seq[family]++
		sum[family] = NextChecksum(sum[family], e.ID)
		e.FSeq = seq[family]
		if err := tx.putEntry(family, e, sum[family]); err != nil {
			return err
		}
	}
	return tx.settle()
}

func (tx *Tx) wholeLog(f care.FamilyID) ([]care.Entry, error) {
	var out []care.Entry
	for seq, raw := range tx.logFrom(f, 0) {
		e, err := tx.readEntry(f, seq, raw)
		if err != nil {
			return nil, care.Errorf(care.Conflict, "unreadable-entry", "entry %d of this family's log cannot be read; until it has been mended the log cannot be parted, so that nothing is lost", seq)
		}
		out = append(out, e)
	}
	return out, nil
}

// EpochOf names this life of a family's log. It changes with a restore, and
// when entries left the log because a wearer became a family of their own.
func (tx *Tx) EpochOf(f care.FamilyID) (string, error) {
	epoch, err := tx.Epoch()
	if err != nil {
		return "", err
	}
	family, err := tx.Family(f)
	if err != nil || family.Life == "" {
		return epoch, err
	}
	return epoch + "." + family.Life, nil
}

// Leave shuts a person out: no device of theirs opens anything or gets a
// message from now on, and no invitation lets them back.
func (tx *Tx) Leave(id care.PersonID) error {
	if err := tx.ChangePerson(id, func(p *care.Person) { p.Gone = true }); err != nil {
		return err
	}
	return tx.EndOpened(id)
}
