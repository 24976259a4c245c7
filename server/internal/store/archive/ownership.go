package archive

import (
	"encoding/json"
	"maps"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/duty"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// memberIDs is the ids of everything of one family, by kind.
type memberIDs struct {
	family                                    string
	people, wearers, devices, entries, alerts map[string]bool
	families                                  map[string]bool // all of them, where it is the whole file's
}

// ownership says which pairs of a bucket belong to a family. Export and erasure
// both go by this one table, so what is exported is what is erased.
type ownership struct {
	pairs.Bucket
	// first says which ids the key begins with, so that only a family's own
	// pairs are looked at.
	first func(f *memberIDs) map[string]bool
	// owns decides from the key's parts and the value, where the key begins with
	// something else; nil, and no first: never a family's.
	owns func(f *memberIDs, parts []string, v []byte) bool
}

func partIn(i int, set func(*memberIDs) map[string]bool) func(*memberIDs, []string, []byte) bool {
	return func(f *memberIDs, parts []string, _ []byte) bool { return set(f)[parts[i]] }
}

// valueIn looks up one field of a JSON value.
func valueIn(field string, set func(*memberIDs) map[string]bool) func(*memberIDs, []string, []byte) bool {
	return func(f *memberIDs, _ []string, v []byte) bool {
		var m map[string]json.RawMessage
		var id string
		return json.Unmarshal(v, &m) == nil && json.Unmarshal(m[field], &id) == nil && set(f)[id]
	}
}

func theFamily(f *memberIDs) map[string]bool {
	if f.families != nil {
		return f.families
	}
	return map[string]bool{f.family: true}
}
func thePeople(f *memberIDs) map[string]bool  { return f.people }
func theWearers(f *memberIDs) map[string]bool { return f.wearers }
func theDevices(f *memberIDs) map[string]bool { return f.devices }
func theAlerts(f *memberIDs) map[string]bool  { return f.alerts }

// owners has a row for every bucket; a test fails when one is missing. Staff's
// own buckets and the practice's settings hold nothing of a family. The audit
// log is not erased but unlinked, see [audit.Line].
func owners() map[string]ownership {
	rows := map[string]ownership{
		"meta": {}, "passkeys": {}, "staff_devices": {}, "tombstones": {}, pairs.DigestBucket: {}, "audit": {},
		"leaving": {}, "leaving_pairs": {}, // of a family that is not there, see [Leaving]
		"families": {first: theFamily},
		"people":   {first: thePeople}, "family_people": {first: theFamily},
		"wearers": {first: theWearers}, "family_wearers": {first: theFamily},
		"devices": {first: theDevices}, "family_devices": {first: theFamily},
		"plans":           {first: theWearers},
		"visits":          {first: theWearers},
		"lenses":          {first: theWearers},
		"endings":         {first: theWearers},
		"events":          {first: theWearers},
		"candidates":      {first: theWearers},
		"attachments":     {first: theWearers},
		"attached":        {first: theWearers},
		"invitations":     {owns: valueIn("person", thePeople)},
		"credentials":     {owns: valueIn("device", theDevices)},
		"consents":        {first: thePeople},
		"family_news":     {owns: valueIn("family", theFamily)},
		"entries":         {first: theFamily},
		"received":        {first: theFamily},
		"device_seqs":     {first: theDevices},
		"refs":            {first: theFamily},
		"nights":          {first: theWearers},
		"wear":            {first: theWearers},
		"words":           {first: theWearers},
		"words_read":      {first: theWearers},
		"private":         {first: theWearers},
		"claims":          {first: theWearers},
		"held":            {first: theFamily},
		"conflicts":       {owns: valueIn("wearer", theWearers)},
		"alerts":          {first: theAlerts},
		"wearer_alerts":   {first: theWearers},
		"live_alerts":     {first: theAlerts},
		"outbox":          {first: theAlerts},
		"outbox_due":      {owns: partIn(1, theAlerts)},
		"subscriptions":   {first: theDevices},
		"due":             {owns: partIn(1, theWearers)},
		"due_at":          {first: theWearers},
		"fired":           {first: theWearers},
		"waiting":         {first: theFamily},
		"followups":       {first: theWearers},
		"calendars":       {owns: valueIn("family", theFamily)},
		"calendar_events": {owns: partIn(1, theWearers)}, // in the practice's feed too

		pairs.QuarantineBucket: {owns: ofUnreadable},
	}
	for name, o := range rows {
		o.Bucket = pairs.FormOf(name)
		rows[name] = o
	}
	return rows
}

// ofUnreadable reports whether what could not be read is of a family, by its key.
func ofUnreadable(f *memberIDs, parts []string, _ []byte) bool {
	o := owners()[parts[0]]
	p := pairs.KeyParts(o.Form, []byte(parts[1]))
	if p == nil || parts[0] == pairs.QuarantineBucket {
		return false
	}
	return o.first != nil && o.first(f)[p[0]] || o.owns != nil && o.owns(f, p, nil)
}

// membersOf collects a family's ids.
func (tx *Tx) membersOf(id care.FamilyID) (*memberIDs, error) {
	if err := tx.log.Flush(); err != nil {
		return nil, err
	}
	if _, err := tx.register.Family(id); err != nil {
		return nil, err
	}
	set := func(list []string) map[string]bool {
		m := map[string]bool{}
		for _, x := range list {
			m[x] = true
		}
		return m
	}
	f := &memberIDs{
		family: string(id), people: set(register.FamilyPeople.Members(tx.p, string(id))), wearers: set(register.FamilyWearers.Members(tx.p, string(id))),
		devices: set(register.FamilyDevices.Members(tx.p, string(id))), entries: map[string]bool{}, alerts: map[string]bool{},
	}
	for w := range f.wearers {
		for _, a := range duty.WearerAlerts.Members(tx.p, w) {
			f.alerts[a] = true
		}
	}
	f.alerts[string(duty.WordsTo(id))] = true // messages about what the practice wrote
	for _, e := range tx.log.EntryIDs(id) {
		f.entries[e] = true
	}
	return f, nil
}

// owned calls f for each pair of a family, bucket by bucket in the order of
// the layout.
func (tx *Tx) owned(who *memberIDs, f func(bucket string, o ownership, k, v []byte) error) error {
	table := owners()
	for _, b := range pairs.Buckets {
		name := b.Name
		o := table[name]
		visit := func(k, v []byte) error { return f(name, o, k, v) }
		var err error
		switch {
		case o.first != nil:
			err = tx.beginning(name, o, who, visit)
		case o.owns != nil:
			err = tx.p.Each(name, func(k, v []byte) error {
				if p := pairs.KeyParts(o.Form, k); p != nil && o.owns(who, p, v) {
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
func (tx *Tx) beginning(bucket string, o ownership, who *memberIDs, visit func(k, v []byte) error) error {
	for _, id := range slices.Sorted(maps.Keys(o.first(who))) {
		prefix := pairs.Key(id, "")
		if o.Form == "s" {
			prefix = pairs.Key(id)
		}
		for k, v := range tx.p.Within(bucket, prefix) {
			if o.Form == "s" && len(k) > len(prefix) {
				break // another id that begins with this one
			}
			if err := visit(k, v); err != nil {
				return err
			}
		}
	}
	return nil
}
