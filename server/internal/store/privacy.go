package store

import (
	"bytes"
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
)

// kin is the ids of everything of one family, by kind.
type kin struct {
	family                                    string
	people, wearers, devices, entries, alerts map[string]bool
}

// ownership says which pairs of a bucket belong to a family. Export and erasure
// both go by this one table, so what is exported is what is erased.
type ownership struct {
	// form describes the key: s is text up to a zero byte or the end, n is a
	// u64.
	form string
	// first says which ids the key begins with, so that only a family's own
	// pairs are looked at.
	first func(f *kin) map[string]bool
	// owns decides from the key's parts and the value, where the key begins with
	// something else; nil, and no first: never a family's.
	owns func(f *kin, parts []string, v []byte) bool
	// secret keys and values are hashes and keys of devices: they are erased and
	// only named in an export.
	secret bool
}

func partIn(i int, set func(*kin) map[string]bool) func(*kin, []string, []byte) bool {
	return func(f *kin, parts []string, _ []byte) bool { return set(f)[parts[i]] }
}

// valueIn looks up one field of a JSON value.
func valueIn(field string, set func(*kin) map[string]bool) func(*kin, []string, []byte) bool {
	return func(f *kin, _ []string, v []byte) bool {
		var m map[string]json.RawMessage
		var id string
		return json.Unmarshal(v, &m) == nil && json.Unmarshal(m[field], &id) == nil && set(f)[id]
	}
}

func theFamily(f *kin) map[string]bool  { return map[string]bool{f.family: true} }
func thePeople(f *kin) map[string]bool  { return f.people }
func theWearers(f *kin) map[string]bool { return f.wearers }
func theDevices(f *kin) map[string]bool { return f.devices }
func theEntries(f *kin) map[string]bool { return f.entries }
func theAlerts(f *kin) map[string]bool  { return f.alerts }

// owners has a row for every bucket; a test fails when one is missing. Staff's
// own buckets and the practice's settings hold nothing of a family. The audit
// log is not erased but unlinked, see [Audit].
func owners() map[string]ownership {
	return map[string]ownership{
		"meta": {form: "s"}, "passkeys": {form: "ss"}, "tombstones": {form: "s"}, "audit": {form: "n"},
		"families": {form: "s", first: theFamily},
		"people":   {form: "s", first: thePeople}, "family_people": {form: "ss", first: theFamily},
		"wearers": {form: "s", first: theWearers}, "family_wearers": {form: "ss", first: theFamily},
		"devices": {form: "s", first: theDevices}, "family_devices": {form: "ss", first: theFamily},
		"plans":           {form: "sn", first: theWearers},
		"visits":          {form: "ss", first: theWearers},
		"invitations":     {form: "s", owns: valueIn("person", thePeople), secret: true},
		"credentials":     {form: "s", owns: valueIn("device", theDevices), secret: true},
		"consents":        {form: "ss", first: thePeople},
		"entries":         {form: "sn", first: theFamily},
		"entry_ids":       {form: "s", first: theEntries},
		"device_seqs":     {form: "sn", first: theDevices},
		"device_marks":    {form: "s", first: theDevices},
		"refs":            {form: "ss", owns: func(f *kin, p []string, _ []byte) bool { return f.entries[p[0]] || f.entries[p[1]] }},
		"night_entries":   {form: "ssn", first: theWearers},
		"nights":          {form: "ss", first: theWearers},
		"held":            {form: "ss", first: theFamily},
		"conflicts":       {form: "sn", owns: valueIn("wearer", theWearers)},
		"alerts":          {form: "s", first: theAlerts},
		"wearer_alerts":   {form: "ss", first: theWearers},
		"live_alerts":     {form: "s", first: theAlerts},
		"outbox":          {form: "ssss", first: theAlerts},
		"outbox_due":      {form: "nssss", owns: partIn(1, theAlerts)},
		"subscriptions":   {form: "s", first: theDevices, secret: true},
		"due":             {form: "ns", owns: partIn(1, theWearers)},
		"due_at":          {form: "s", first: theWearers},
		"fired":           {form: "sss", first: theWearers},
		"followups":       {form: "ss", first: theWearers},
		"calendars":       {form: "s", owns: valueIn("family", theFamily), secret: true},
		"calendar_events": {form: "sss", owns: partIn(1, theWearers)}, // in the practice's feed too
	}
}

// parts takes a key apart by its form. Numbers come back as decimals. A key
// that does not fit gives nil.
func parts(form string, k []byte) []string {
	var out []string
	for i, c := range form {
		if i > 0 {
			if len(k) == 0 || k[0] != sep {
				return nil
			}
			k = k[1:]
		}
		n := len(k)
		switch {
		case c == 'n' && len(k) < 8:
			return nil
		case c == 'n':
			n = 8
			out = append(out, fmt.Sprint(binary.BigEndian.Uint64(k)))
		default:
			if at := bytes.IndexByte(k, sep); at >= 0 && i < len(form)-1 {
				n = at
			}
			out = append(out, string(k[:n]))
		}
		k = k[n:]
	}
	if len(k) > 0 {
		return nil
	}
	return out
}

// kinOf collects a family's ids.
func (tx *Tx) kinOf(id care.FamilyID) (*kin, error) {
	if _, err := tx.Family(id); err != nil {
		return nil, err
	}
	set := func(list []string) map[string]bool {
		m := map[string]bool{}
		for _, x := range list {
			m[x] = true
		}
		return m
	}
	f := &kin{
		family: string(id), people: set(familyPeople.members(tx, string(id))), wearers: set(familyWearers.members(tx, string(id))),
		devices: set(familyDevices.members(tx, string(id))), entries: map[string]bool{}, alerts: map[string]bool{},
	}
	for w := range f.wearers {
		for _, a := range wearerAlerts.members(tx, w) {
			f.alerts[a] = true
		}
	}
	page, err := tx.Page(id, 0, math.MaxInt, math.MaxInt)
	if err != nil {
		return nil, err
	}
	for _, raw := range page.Entries {
		var e care.Entry
		if err := json.Unmarshal(raw, &e); err != nil {
			return nil, err
		}
		f.entries[string(e.ID)] = true
	}
	for _, h := range index("held").members(tx, string(id)) {
		f.entries[h] = true
	}
	return f, nil
}

// Record is one stored pair of a family.
type Record struct {
	Bucket string          `json:"-"`
	Key    []string        `json:"key"`
	Value  json.RawMessage `json:"value"`
}

// owned calls f for each pair of a family, bucket by bucket in the order of
// the layout.
func (tx *Tx) owned(who *kin, f func(bucket string, o ownership, k, v []byte) error) error {
	table := owners()
	for _, name := range buckets {
		o := table[name]
		visit := func(k, v []byte) error { return f(name, o, k, v) }
		var err error
		switch {
		case o.first != nil:
			err = tx.beginning(name, o, who, visit)
		case o.owns != nil:
			err = tx.bolt.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
				if p := parts(o.form, k); p != nil && o.owns(who, p, v) {
					return visit(k, v)
				}
				return nil
			})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// beginning visits the pairs whose key begins with one of the family's ids.
func (tx *Tx) beginning(bucket string, o ownership, who *kin, visit func(k, v []byte) error) error {
	c := tx.bolt.Bucket([]byte(bucket)).Cursor()
	for _, id := range slices.Sorted(maps.Keys(o.first(who))) {
		prefix := key(id, "")
		if o.form == "s" {
			prefix = key(id)
		}
		for k, v := c.Seek(prefix); k != nil && hasPrefix(k, prefix); k, v = c.Next() {
			if o.form == "s" && len(k) > len(prefix) {
				break // another id that begins with this one
			}
			if err := visit(k, v); err != nil {
				return err
			}
		}
	}
	return nil
}

// Records calls f for every stored pair of a family, and for every line of the
// audit log that names it. Of secrets only the fact that there is one is given.
func (tx *Tx) Records(id care.FamilyID, f func(Record) error) error {
	who, err := tx.kinOf(id)
	if err != nil {
		return err
	}
	err = tx.owned(who, func(bucket string, o ownership, k, v []byte) error {
		if o.secret {
			return f(Record{bucket, []string{"(secret)"}, withoutKeys(v)})
		}
		return f(Record{bucket, parts(o.form, k), readable(v)})
	})
	if err != nil {
		return err
	}
	return audit.scanErr(tx, func(a Audit) error {
		if !who.names(string(a.Who)) && !who.names(a.What) {
			return nil
		}
		raw, err := json.Marshal(map[string]any{"seq": a.Seq, "at": a.At, "who": a.Who, "did": a.Did, "what": a.What})
		if err != nil {
			return err
		}
		return f(Record{"audit", []string{fmt.Sprint(a.Seq)}, raw})
	})
}

func (t table[T]) scanErr(tx *Tx, f func(T) error) error {
	var failed error
	err := t.scan(tx, nil, func(_ []byte, v T) bool { failed = f(v); return failed == nil })
	if err != nil {
		return err
	}
	return failed
}

// withoutKeys leaves out what lets somebody write to or act for a device.
func withoutKeys(v []byte) json.RawMessage {
	var m map[string]json.RawMessage
	if json.Unmarshal(v, &m) != nil {
		return json.RawMessage("null")
	}
	delete(m, "p256dh")
	delete(m, "auth")
	raw, err := json.Marshal(m)
	if err != nil {
		return json.RawMessage("null")
	}
	return raw
}

// readable turns a stored value into JSON: an entry loses the checksum before
// it, a number of 8 bytes becomes a number, an index value becomes null.
func readable(v []byte) json.RawMessage {
	switch {
	case json.Valid(v):
		return slices.Clone(v)
	case len(v) > checksumBytes && json.Valid(v[checksumBytes:]):
		return slices.Clone(v[checksumBytes:])
	case len(v) == 8:
		return json.RawMessage(fmt.Sprint(binary.BigEndian.Uint64(v)))
	case bytes.IndexByte(v, sep) >= 0 || len(v) == 0:
		return json.RawMessage("null")
	}
	return quote(string(v))
}

// names reports whether a text of the audit log holds an id of the family.
func (f *kin) names(text string) bool {
	return slices.ContainsFunc(strings.Fields(text), func(id string) bool {
		return id == f.family || f.people[id] || f.wearers[id] || f.devices[id] || f.entries[id] || f.alerts[id]
	})
}

// Tombstone is all that is left of an erased family: that there was one, and a
// mark from which nobody can tell which. The mark is SHA-256 over the
// tombstone's random id and the family's random id; it lets a restore from an
// older backup erase the family again.
type Tombstone struct {
	ID   string    `json:"id"`
	At   time.Time `json:"at"`
	Mark string    `json:"mark"`
}

var tombstones = table[Tombstone]{"tombstones"}

// of reports whether the tombstone is this family's.
func (t Tombstone) of(id care.FamilyID) bool { return sealOf(t.ID, string(id)) == t.Mark }

// EraseFamily takes everything of a family out of every bucket, unlinks the
// audit log and leaves a tombstone. by is who asked, "" for the command line.
// The freed pages of the file still hold the text until they are written over;
// the next opening of the file sees to that, see [Open].
func (tx *Tx) EraseFamily(id care.FamilyID, by care.PersonID) (Tombstone, error) {
	who, err := tx.kinOf(id)
	if err != nil {
		return Tombstone{}, err
	}
	type pair struct {
		bucket string
		k      []byte
	}
	var doomed []pair
	err = tx.owned(who, func(bucket string, _ ownership, k, _ []byte) error {
		doomed = append(doomed, pair{bucket, slices.Clone(k)})
		return nil
	})
	if err != nil {
		return Tombstone{}, err
	}
	for _, p := range doomed {
		if err := tx.bolt.Bucket([]byte(p.bucket)).Delete(p.k); err != nil {
			return Tombstone{}, err
		}
	}
	if err := tx.unlinkAudit(who); err != nil {
		return Tombstone{}, err
	}
	t := Tombstone{ID: strings.ToLower(rand.Text()), At: tx.Now}
	t.Mark = sealOf(t.ID, string(id))
	if err := tombstones.put(tx, []byte(t.ID), t); err != nil {
		return t, err
	}
	if err := tx.SetSetting("compact", true); err != nil {
		return t, err
	}
	return t, tx.Note(by, "erased family", t.ID)
}

// unlinkAudit takes the family's ids and their salts out of the audit log.
func (tx *Tx) unlinkAudit(who *kin) error {
	var changed []Audit
	err := audit.scan(tx, nil, func(_ []byte, a Audit) bool {
		whose, what := who.names(string(a.Who)), who.names(a.What)
		if whose {
			a.Who, a.WhoSalt = Erased, ""
		}
		if what {
			a.What, a.WhatSalt = Erased, ""
		}
		if whose || what {
			changed = append(changed, a)
		}
		return true
	})
	if err != nil {
		return err
	}
	for _, a := range changed {
		if err := audit.put(tx, key(a.Seq), a); err != nil {
			return err
		}
	}
	return nil
}

// EraseAgain erases every family of this file that one of the tombstones
// stands for, and returns how many there were.
func (tx *Tx) EraseAgain(stones []Tombstone) (int, error) {
	all, err := tx.Families()
	if err != nil {
		return 0, err
	}
	n := 0
	for _, f := range all {
		if slices.ContainsFunc(stones, func(t Tombstone) bool { return t.of(f.ID) }) {
			if _, err := tx.EraseFamily(f.ID, ""); err != nil {
				return n, err
			}
			n++
		}
	}
	return n, nil
}

// Tombstones returns what is left of erased families, by id.
func (tx *Tx) Tombstones() ([]Tombstone, error) { return tombstones.list(tx, nil) }
