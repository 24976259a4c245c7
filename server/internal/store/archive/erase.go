package archive

import (
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Record is one stored pair of a family.
type Record struct {
	Bucket string          `json:"-"`
	Key    []string        `json:"key"`
	Value  json.RawMessage `json:"value"`
}

// Records calls f for every stored pair of a family, and for every line of the
// audit log that names it. Of secrets only the fact that there is one is given.
func (tx *Tx) Records(id care.FamilyID, f func(Record) error) error {
	who, err := tx.membersOf(id)
	if err != nil {
		return err
	}
	err = tx.owned(who, func(bucket string, o ownership, k, v []byte) error {
		if o.Secret || bucket == register.PrivateBucket {
			return f(Record{bucket, []string{"(secret)"}, withoutKeys(v)})
		}
		return f(shown(bucket, o, k, v))
	})
	if err != nil {
		return err
	}
	return tx.audit.Each(func(a audit.Line) error {
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

// AuditOf returns the lines of the audit log about a family, the oldest first.
func (tx *Tx) AuditOf(id care.FamilyID) (out []audit.Line, err error) {
	who, err := tx.membersOf(id)
	if err != nil {
		return nil, err
	}
	err = tx.audit.Each(func(a audit.Line) error {
		if who.names(a.What) {
			out = append(out, a)
		}
		return nil
	})
	return out, err
}

// withoutKeys leaves out what lets somebody write to or act for a device.
func withoutKeys(v []byte) json.RawMessage {
	var m map[string]json.RawMessage
	if json.Unmarshal(v, &m) != nil {
		return json.RawMessage("null")
	}
	delete(m, "text") // of private words
	delete(m, "p256dh")
	delete(m, "auth")
	raw, err := json.Marshal(m)
	if err != nil {
		return json.RawMessage("null")
	}
	return raw
}

// shown turns a stored pair into words. What was received and what is kept of a
// night have forms of their own.
func shown(bucket string, o ownership, k, v []byte) Record {
	r := Record{bucket, pairs.KeyParts(o.Form, k), log.Readable(v)}
	switch bucket {
	case "received":
		r.Value = log.ShownReceived(binary.BigEndian.Uint64(k[len(k)-8:]), v)
	case "nights":
		r.Value = log.ShownNight(v)
	}
	return r
}

// names reports whether a text of the audit log holds an id of the family.
func (f *memberIDs) names(text string) bool {
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
	// Wearers are the same marks of the wearers it had when it was erased.
	Wearers []string `json:"wearers,omitempty"`
}

var tombstones = pairs.Table[Tombstone]{Name: "tombstones"}

// of reports whether the tombstone is this family's.
func (t Tombstone) of(id care.FamilyID) bool { return audit.SealOf(t.ID, string(id)) == t.Mark }

// erased reports whether the wearer was erased with the family.
func (t Tombstone) erased(id care.WearerID) bool {
	return slices.Contains(t.Wearers, audit.SealOf(t.ID, string(id)))
}

// EraseFamily takes everything of a family out of every bucket, unlinks the
// audit log and leaves a tombstone. by is who asked, "" for the command line.
// The freed pages of the file still hold the text until they are written over;
// the next opening of the file sees to that, see [Open].
func (tx *Tx) EraseFamily(id care.FamilyID, by care.PersonID) (Tombstone, error) {
	if err := tx.putBack(id); err != nil && care.KindOf(err) != care.NotFound { // it may be leaving
		return Tombstone{}, err
	}
	who, err := tx.membersOf(id)
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
		if err := tx.p.Delete(p.bucket, p.k); err != nil {
			return Tombstone{}, err
		}
	}
	if err := tx.audit.Unlink(who.names); err != nil {
		return Tombstone{}, err
	}
	t := Tombstone{ID: strings.ToLower(rand.Text()), At: tx.p.Now}
	t.Mark = audit.SealOf(t.ID, string(id))
	for _, w := range slices.Sorted(maps.Keys(who.wearers)) {
		t.Wearers = append(t.Wearers, audit.SealOf(t.ID, w))
	}
	if err := tombstones.Put(tx.p, []byte(t.ID), t); err != nil {
		return t, err
	}
	if err := tx.p.SetSetting("compact", true); err != nil {
		return t, err
	}
	return t, tx.audit.Append(by, "erased family", t.ID)
}

// EraseAgain erases every family of this file that one of the tombstones
// stands for, and returns how many there were. In a file from before a wearer
// became a family of their own, only what was erased goes: that wearer of a
// family that stayed, or a family without the wearer who had left it.
func (tx *Tx) EraseAgain(stones []Tombstone) (int, error) {
	all, err := tx.register.Families()
	if err != nil {
		return 0, err
	}
	n := 0
	for _, f := range all {
		list, err := tx.register.Wearers(f.ID)
		if err != nil {
			return n, err
		}
		gone, others := erasedOf(f.ID, list, stones)
		for _, w := range others {
			own := care.Family{ID: care.FamilyID(strings.ToLower(rand.Text()[:20])), Name: w.Name, Zone: f.Zone, Created: tx.p.Now}
			if err := tx.SplitWearer(w.ID, own); err != nil {
				return n, err
			}
			if gone != "" {
				continue // this one stays
			}
			if _, err := tx.EraseFamily(own.ID, ""); err != nil {
				return n, err
			}
			n++
		}
		if gone == "" {
			continue
		}
		if _, err := tx.EraseFamily(f.ID, ""); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// erasedOf says what of a family was erased. gone is its id when the whole of
// it was, except the wearers in others; else others are those who were. A
// tombstone without wearers is from before they were marked.
func erasedOf(id care.FamilyID, wearers []care.Wearer, stones []Tombstone) (gone care.FamilyID, others []care.Wearer) {
	held := func(w care.Wearer) bool {
		return slices.ContainsFunc(stones, func(t Tombstone) bool { return t.erased(w.ID) })
	}
	i := slices.IndexFunc(stones, func(t Tombstone) bool { return t.of(id) })
	for _, w := range wearers {
		if i >= 0 && len(stones[i].Wearers) > 0 && !held(w) || i < 0 && held(w) {
			others = append(others, w)
		}
	}
	if i >= 0 {
		return id, others
	}
	if len(others) > 0 && len(others) == len(wearers) {
		return id, nil // nobody of it is left
	}
	return "", others
}

// Tombstones returns what is left of erased families, by id.
func (tx *Tx) Tombstones() ([]Tombstone, error) { return tombstones.List(tx.p, nil) }
