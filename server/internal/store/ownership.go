package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"nightkeep/server/internal/care"
)

// kin is the ids of everything of one family, by kind.
type kin struct {
	family                                    string
	people, wearers, devices, entries, alerts map[string]bool
	families                                  map[string]bool // all of them, where the kin is the whole file's
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

func theFamily(f *kin) map[string]bool {
	if f.families != nil {
		return f.families
	}
	return map[string]bool{f.family: true}
}
func thePeople(f *kin) map[string]bool  { return f.people }
func theWearers(f *kin) map[string]bool { return f.wearers }
func theDevices(f *kin) map[string]bool { return f.devices }
func theAlerts(f *kin) map[string]bool  { return f.alerts }

// owners has a row for every bucket; a test fails when one is missing. Staff's
// own buckets and the practice's settings hold nothing of a family. The audit
// log is not erased but unlinked, see [Audit].
func owners() map[string]ownership {
	return map[string]ownership{
		"meta": {form: "s"}, "passkeys": {form: "ss"}, "staff_devices": {form: "ss"}, "tombstones": {form: "s"}, digestBucket: {form: "s"}, "audit": {form: "n"},
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
		"received":        {form: "sn", first: theFamily},
		"device_seqs":     {form: "sn", first: theDevices},
		"refs":            {form: "sss", first: theFamily},
		"nights":          {form: "ss", first: theWearers},
		"wear":            {form: "sn", first: theWearers},
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
	if err := tx.settle(); err != nil {
		return nil, err
	}
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
	f.alerts[string(wordsTo(id))] = true // messages about what the practice wrote
	for seq, raw := range tx.logFrom(id, 0) {
		f.entries[tx.idText(id, seq, raw)] = true
	}
	for _, h := range index("held").members(tx, string(id)) {
		f.entries[h] = true
	}
	return f, nil
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
			err = tx.each(name, func(k, v []byte) error {
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
	for _, id := range slices.Sorted(maps.Keys(o.first(who))) {
		prefix := key(id, "")
		if o.form == "s" {
			prefix = key(id)
		}
		for k, v := range tx.within(bucket, prefix) {
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
