package store

import (
	"bytes"
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
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
	who, err := tx.kinOf(id)
	if err != nil {
		return err
	}
	err = tx.owned(who, func(bucket string, o ownership, k, v []byte) error {
		if o.secret {
			return f(Record{bucket, []string{"(secret)"}, withoutKeys(v)})
		}
		return f(shown(bucket, o, k, v))
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

// shown turns a stored pair into words. What was received and what is kept of a
// night have forms of their own.
func shown(bucket string, o ownership, k, v []byte) Record {
	r := Record{bucket, parts(o.form, k), readable(v)}
	switch bucket {
	case "received":
		r.Value = shownReceived(binary.BigEndian.Uint64(k[len(k)-8:]), v)
	case "nights":
		r.Value = json.RawMessage("null")
		if night, err := readNight(v); err == nil {
			if raw, err := json.Marshal(night.seqs); err == nil {
				r.Value = raw
			}
		}
	}
	return r
}

// shownReceived turns what was received of a family into words: the ids of a
// block, or how far each device has been heard.
func shownReceived(n uint64, v []byte) json.RawMessage {
	var out any
	if head, err := readReceived(v); n == headKey && err == nil {
		tops := map[care.DeviceID]uint64{}
		for _, h := range head.heard {
			tops[h.device] = h.top
		}
		out = tops
	} else if n != headKey {
		ids := []string{}
		for id := range slices.Chunk(v, len(rawID{})) {
			if len(id) == len(rawID{}) && rawID(id) != (rawID{}) {
				ids = append(ids, rawID(id).String())
			}
		}
		out = ids
	}
	raw, err := json.Marshal(out)
	if err != nil {
		panic(err) // texts and numbers always marshal
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
	// Wearers are the same marks of the wearers it had when it was erased.
	Wearers []string `json:"wearers,omitempty"`
}

var tombstones = table[Tombstone]{"tombstones"}

// of reports whether the tombstone is this family's.
func (t Tombstone) of(id care.FamilyID) bool { return sealOf(t.ID, string(id)) == t.Mark }

// held reports whether the wearer was erased with the family.
func (t Tombstone) held(id care.WearerID) bool {
	return slices.Contains(t.Wearers, sealOf(t.ID, string(id)))
}

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
	tx.changedAll()
	for _, p := range doomed {
		if err := tx.del(p.bucket, p.k); err != nil {
			return Tombstone{}, err
		}
	}
	tx.head = head{}
	if err := tx.unlinkAudit(who); err != nil {
		return Tombstone{}, err
	}
	t := Tombstone{ID: strings.ToLower(rand.Text()), At: tx.Now}
	t.Mark = sealOf(t.ID, string(id))
	for _, w := range slices.Sorted(maps.Keys(who.wearers)) {
		t.Wearers = append(t.Wearers, sealOf(t.ID, w))
	}
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
// stands for, and returns how many there were. In a file from before a wearer
// became a family of their own, only what was erased goes: that wearer of a
// family that stayed, or a family without the wearer who had left it.
func (tx *Tx) EraseAgain(stones []Tombstone) (int, error) {
	all, err := tx.Families()
	if err != nil {
		return 0, err
	}
	n := 0
	for _, f := range all {
		list, err := tx.Wearers(f.ID)
		if err != nil {
			return n, err
		}
		gone, others := erasedOf(f.ID, list, stones)
		for _, w := range others {
			own := care.Family{ID: care.FamilyID(strings.ToLower(rand.Text()[:20])), Name: w.Name, Zone: f.Zone, Created: tx.Now}
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
		return slices.ContainsFunc(stones, func(t Tombstone) bool { return t.held(w.ID) })
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
func (tx *Tx) Tombstones() ([]Tombstone, error) { return tombstones.list(tx, nil) }
