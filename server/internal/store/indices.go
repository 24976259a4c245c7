package store

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// checkIndices holds every index against what it lists, both ways: a live alert
// that no list holds is one that nobody sees, and a list that holds one there is
// none of cannot be read.
func (tx *Tx) checkIndices() []error {
	tx.readEach()
	return slices.Concat(tx.checkPeople(), tx.checkAlerts(), tx.checkRows(), tx.checkDue(), tx.checkReceived())
}

// readEach reads every record that is kept as JSON; one that cannot be read is
// set aside, and so named.
func (tx *Tx) readEach() {
	readAll(tx, meta)
	readAll(tx, families)
	readAll(tx, people)
	readAll(tx, wearers)
	readAll(tx, devices)
	readAll(tx, plans)
	readAll(tx, visits)
	readAll(tx, invitations)
	readAll(tx, credentials)
	readAll(tx, subscriptions)
	readAll(tx, calendars)
	readAll(tx, calendarEvents)
	readAll(tx, consents)
	readAll(tx, passkeys)
	readAll(tx, tombstones)
	readAll(tx, followups)
	readAll(tx, alertTable)
	readAll(tx, outbox)
}

func readAll[T any](tx *Tx, t table[T]) {
	_ = t.scan(tx, nil, func([]byte, T) bool { return true }) // what cannot be read is set aside, never an error
}

// faults gathers what is wrong.
type faults []error

func (f *faults) unless(ok bool, format string, args ...any) {
	if !ok {
		*f = append(*f, fmt.Errorf(format, args...))
	}
}

// eachKey calls f for every key of a bucket.
func (tx *Tx) eachKey(bucket string, f func(k []byte)) {
	for k := range tx.up(bucket, nil) {
		f(k)
	}
}

// has reports whether a bucket has a key.
func (tx *Tx) has(bucket string, k []byte) bool { return tx.get(bucket, k) != nil }

// lists checks an index: each pair of it stands for something that belongs to
// the owner.
func (tx *Tx) lists(f *faults, ix index, belongs func(owner, member string) bool) {
	tx.eachKey(string(ix), func(k []byte) {
		owner, member, ok := bytes.Cut(k, []byte{sep})
		f.unless(ok && belongs(string(owner), string(member)), "%s: %q has no %q", ix, owner, member)
	})
}

// unread reports whether a record is there and cannot be read, which is said
// once for each record and not of every list it is on.
func unread(err error) bool { return err != nil && care.KindOf(err) != care.NotFound }

// checkPeople checks people, wearers and devices against the lists of their
// families and of the staff.
func (tx *Tx) checkPeople() (f faults) {
	staff, err := tx.staffIDs()
	f.unless(err == nil, "list of staff: %v", err)
	for _, id := range staff {
		_, err := tx.Person(care.PersonID(id))
		f.unless(unread(err) || err == nil, "list of staff: there is no person %s", id)
	}
	err = errors.Join(
		people.scan(tx, nil, func(_ []byte, p care.Person) bool {
			f.unless(p.Family == "" || tx.has(string(familyPeople), key(string(p.Family), string(p.ID))), "person %s: not in the list of the family", p.ID)
			f.unless(!p.Role.Staff() || slices.Contains(staff, string(p.ID)), "person %s: not in the list of staff", p.ID)
			return true
		}),
		wearers.scan(tx, nil, func(_ []byte, w care.Wearer) bool {
			f.unless(tx.has(string(familyWearers), key(string(w.Family), string(w.ID))), "wearer %s: not in the list of the family", w.ID)
			return true
		}),
		devices.scan(tx, nil, func(_ []byte, d care.Device) bool {
			k, by := key(string(d.Family), string(d.ID)), familyDevices
			if d.Family == "" {
				k, by = key(string(d.Person), string(d.ID)), staffDevices
			}
			f.unless(tx.has(string(by), k), "device %s: not in %s", d.ID, by)
			return true
		}),
	)
	f.unless(err == nil, "people and devices: %v", err)
	tx.lists(&f, familyPeople, func(owner, member string) bool {
		p, err := tx.Person(care.PersonID(member))
		return unread(err) || err == nil && string(p.Family) == owner
	})
	tx.lists(&f, familyWearers, func(owner, member string) bool {
		w, err := tx.Wearer(care.WearerID(member))
		return unread(err) || err == nil && string(w.Family) == owner
	})
	tx.lists(&f, familyDevices, func(owner, member string) bool {
		d, err := tx.Device(care.DeviceID(member))
		return unread(err) || err == nil && string(d.Family) == owner
	})
	tx.lists(&f, staffDevices, func(_, member string) bool {
		_, err := tx.Device(care.DeviceID(member))
		return unread(err) || err == nil
	})
	return f
}

func (tx *Tx) checkAlerts() (f faults) {
	err := alertTable.scan(tx, nil, func(_ []byte, a escalate.Alert) bool {
		f.unless(tx.has(string(wearerAlerts), key(string(a.Wearer), string(a.ID))), "alert %s: not in the list of the wearer", a.ID)
		f.unless(tx.has("live_alerts", []byte(a.ID)) == a.Live(), "alert %s: is %s, and the list of live alerts says otherwise", a.ID, a.State)
		return true
	})
	f.unless(err == nil, "alerts: %v", err)
	tx.eachKey("live_alerts", func(k []byte) { f.unless(tx.has("alerts", k), "live_alerts: there is no alert %q", k) })
	tx.lists(&f, wearerAlerts, func(owner, member string) bool {
		a, err := tx.Alert(care.AlertID(member))
		return unread(err) || err == nil && string(a.Wearer) == owner
	})
	return f
}

// checkRows checks the outbox against its order of instants.
func (tx *Tx) checkRows() (f faults) {
	err := outbox.scan(tx, nil, func(k []byte, r escalate.Row) bool {
		f.unless(tx.has("outbox_due", key(instant(r), string(k))), "outbox: message %q is due at no instant", k)
		return true
	})
	f.unless(err == nil, "outbox: %v", err)
	tx.eachKey("outbox_due", func(k []byte) {
		f.unless(len(k) > 9 && tx.has("outbox", k[9:]), "outbox_due: there is no message %q", k)
	})
	f.same(tx, "outbox_due", "outbox")
	return f
}

// checkDue checks the reminders' instants against their order.
func (tx *Tx) checkDue() (f faults) {
	for k, at := range tx.up("due_at", nil) {
		f.unless(len(at) == 8 && tx.has("due", append(append(bytes.Clone(at), sep), k...)), "due_at: wearer %q stands at no instant", k)
	}
	rows, wearers := 0, 0
	tx.eachKey("due_at", func([]byte) { wearers++ })
	tx.eachKey("due", func(k []byte) {
		if len(k) < 9 || !hasPrefix(k, key(atOnce, "")) {
			rows++
			return
		}
		f.unless(tx.has("due_at", k[9:]), "due: wearer %q is to be looked at, and stands at no instant", k[9:])
	})
	f.unless(rows == wearers, "due holds %d instants, due_at %d wearers", rows, wearers)
	return f
}

// same reports when two buckets do not hold as many pairs.
func (f *faults) same(tx *Tx, a, b string) {
	var n, m int
	tx.eachKey(a, func([]byte) { n++ })
	tx.eachKey(b, func([]byte) { m++ })
	f.unless(n == m, "%s holds %d pairs, %s %d", a, n, b, m)
}
