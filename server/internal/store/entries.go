package store

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// checksumBytes is the length of the rolling checksum before each entry.
const checksumBytes = 8

// NextChecksum returns the rolling checksum after an entry: the first 8 bytes
// of SHA-256 over the text before it, a line feed and the entry's id, in
// lower-case hex. The log starts from the empty text. It lets a phone prove
// that it holds the same entries in the same order.
func NextChecksum(before string, id care.EntryID) string {
	sum := sha256.Sum256([]byte(before + "\n" + string(id)))
	return hex.EncodeToString(sum[:checksumBytes])
}

// Stored says what became of an appended entry.
type Stored int

// The outcomes of [Tx.Append].
const (
	Added     Stored = iota
	Duplicate        // same id, same content: already there
	Taken            // same id, other content: kept aside, not in the log
)

// Append adds an accepted entry to the family's log with its indices and
// refolds the nights it touches. It fills FSeq and Recv.
func (tx *Tx) Append(family care.FamilyID, e *care.Entry) (Stored, error) {
	if at := tx.bolt.Bucket([]byte("entry_ids")).Get([]byte(e.ID)); at != nil {
		have, err := tx.entryAt(at)
		if err != nil {
			return 0, err
		}
		if e.SameContent(&have) && hasPrefix(at, key(string(family), "")) {
			*e = have
			return Duplicate, nil
		}
		return Taken, tx.setAside(e)
	}
	last, sum, err := tx.Head(family)
	if err != nil {
		return 0, err
	}
	e.FSeq, e.Recv = last+1, tx.Now
	if err := tx.putEntry(family, e, NextChecksum(sum, e.ID)); err != nil {
		return 0, err
	}
	if err := tx.mark(e.Device, e.DSeq, string(e.ID)); err != nil {
		return 0, err
	}
	if err := tx.touch(e.Wearer); err != nil {
		return 0, err
	}
	return Added, tx.refoldAround(e)
}

func (tx *Tx) setAside(e *care.Entry) error {
	raw, err := json.Marshal(e)
	if err != nil {
		return err
	}
	return tx.bolt.Bucket([]byte("conflicts")).Put(key(string(e.ID), tx.Now), raw)
}

func (tx *Tx) putEntry(family care.FamilyID, e *care.Entry, sum string) error {
	raw, err := json.Marshal(e)
	if err != nil {
		return err
	}
	head, err := hex.DecodeString(sum)
	if err != nil {
		return err
	}
	at := key(string(family), e.FSeq)
	puts := []struct {
		bucket string
		k, v   []byte
	}{
		{"entries", at, append(head, raw...)},
		{"entry_ids", []byte(e.ID), at},
		{"night_entries", key(string(e.Wearer), e.Night.String(), e.FSeq), at},
	}
	for _, p := range puts {
		if err := tx.bolt.Bucket([]byte(p.bucket)).Put(p.k, p.v); err != nil {
			return err
		}
	}
	for _, target := range targets(e) {
		if err := refs.put(tx, string(target), string(e.ID)); err != nil {
			return err
		}
	}
	return nil
}

func targets(e *care.Entry) []care.EntryID {
	out := slices.Clone(e.Supersedes)
	if e.Retracts != "" {
		out = append(out, e.Retracts)
	}
	return out
}

// Hold keeps an entry of a later schema raw; it counts for the device's
// watermark, because it is safe here.
func (tx *Tx) Hold(family care.FamilyID, e *care.Entry, raw []byte) error {
	if err := held.put(tx, key(string(family), string(e.ID)), raw); err != nil {
		return err
	}
	return tx.mark(e.Device, e.DSeq, string(e.ID))
}

// Refused records that a device's counter value was answered with a refusal,
// so that one bad entry does not stop the watermark.
func (tx *Tx) Refused(device care.DeviceID, dseq uint64) error {
	return tx.mark(device, dseq, "refused")
}

// mark notes a counter value and moves the watermark over what is contiguous.
func (tx *Tx) mark(device care.DeviceID, dseq uint64, what string) error {
	seqs := tx.bolt.Bucket([]byte("device_seqs"))
	if seqs.Get(key(string(device), dseq)) != nil {
		return nil // a phone put back from its own backup counts again; the entry still counts by its id
	}
	if err := seqs.Put(key(string(device), dseq), []byte(what)); err != nil {
		return err
	}
	top := tx.Watermark(device)
	for seqs.Get(key(string(device), top+1)) != nil {
		top++
	}
	return tx.bolt.Bucket([]byte("device_marks")).Put([]byte(device), binary.BigEndian.AppendUint64(nil, top))
}

// Watermark returns the highest counter value up to which everything from the
// device has had a durable verdict; 0 means nothing yet.
func (tx *Tx) Watermark(device care.DeviceID) uint64 {
	raw := tx.bolt.Bucket([]byte("device_marks")).Get([]byte(device))
	if raw == nil {
		return 0
	}
	return binary.BigEndian.Uint64(raw)
}

// Head returns the last sequence number of a family's log and the rolling
// checksum there; 0 and "" for an empty log.
func (tx *Tx) Head(family care.FamilyID) (uint64, string, error) {
	prefix := key(string(family), "")
	c := tx.bolt.Bucket([]byte("entries")).Cursor()
	k, v := c.Seek(append([]byte(family), sep+1)) // the first key after the family's
	if k == nil {
		k, v = c.Last()
	} else {
		k, v = c.Prev()
	}
	if k == nil || !hasPrefix(k, prefix) {
		return 0, "", nil
	}
	return binary.BigEndian.Uint64(k[len(prefix):]), hex.EncodeToString(v[:checksumBytes]), nil
}

// Page is a stretch of a family's log.
type Page struct {
	Entries  []json.RawMessage // in order of the log
	Cursor   uint64            // sequence number of the last one
	Checksum string            // rolling checksum at Cursor
	More     bool
}

// Page returns the log after the cursor, at most maxEntries and about maxBytes.
// A cursor beyond the log's end gives an empty page at the end.
func (tx *Tx) Page(family care.FamilyID, after uint64, maxEntries, maxBytes int) (Page, error) {
	p := Page{Entries: []json.RawMessage{}, Cursor: after}
	prefix := key(string(family), "")
	b := tx.bolt.Bucket([]byte("entries"))
	if at := b.Get(key(string(family), after)); at != nil {
		p.Checksum = hex.EncodeToString(at[:checksumBytes])
	} else if after > 0 {
		return p, care.Refuse("bad-cursor", "cursor", "the log has no entry %d; start again from 0", after)
	}
	size := 0
	c := b.Cursor()
	for k, v := c.Seek(key(string(family), after+1)); k != nil && hasPrefix(k, prefix); k, v = c.Next() {
		if len(p.Entries) >= maxEntries || size >= maxBytes {
			p.More = true
			break
		}
		p.Entries = append(p.Entries, slices.Clone(v[checksumBytes:]))
		p.Cursor = binary.BigEndian.Uint64(k[len(prefix):])
		p.Checksum = hex.EncodeToString(v[:checksumBytes])
		size += len(v)
	}
	return p, nil
}

func (tx *Tx) entryAt(at []byte) (care.Entry, error) {
	var e care.Entry
	raw := tx.bolt.Bucket([]byte("entries")).Get(at)
	if len(raw) < checksumBytes {
		return e, fmt.Errorf("store: entry index points nowhere")
	}
	err := json.Unmarshal(raw[checksumBytes:], &e)
	return e, err
}

// Entry returns one entry by id, or a not-found error.
func (tx *Tx) Entry(id care.EntryID) (care.Entry, error) {
	at := tx.bolt.Bucket([]byte("entry_ids")).Get([]byte(id))
	if at == nil {
		return care.Entry{}, care.Errorf(care.NotFound, "not-found", "there is no such entry")
	}
	return tx.entryAt(at)
}

// related returns the entries tied to e by references in either direction, e
// among them.
func (tx *Tx) related(start []care.Entry) ([]*care.Entry, error) {
	seen := map[care.EntryID]*care.Entry{}
	queue := slices.Clone(start)
	for len(queue) > 0 {
		e := queue[0]
		queue = queue[1:]
		if seen[e.ID] != nil {
			continue
		}
		seen[e.ID] = &e
		next := targets(&e)
		for _, id := range refs.members(tx, string(e.ID)) {
			next = append(next, care.EntryID(id))
		}
		for _, id := range next {
			if at := tx.bolt.Bucket([]byte("entry_ids")).Get([]byte(id)); at != nil && seen[id] == nil {
				t, err := tx.entryAt(at)
				if err != nil {
					return nil, err
				}
				queue = append(queue, t)
			}
		}
	}
	out := make([]*care.Entry, 0, len(seen))
	for _, e := range seen {
		out = append(out, e)
	}
	return out, nil
}

// refoldAround computes again every night that e can change.
func (tx *Tx) refoldAround(e *care.Entry) error {
	tied, err := tx.related([]care.Entry{*e})
	if err != nil {
		return err
	}
	done := map[string]bool{}
	for _, t := range tied {
		k := string(t.Wearer) + t.Night.String()
		if done[k] {
			continue
		}
		done[k] = true
		if err := tx.refold(t.Wearer, t.Night); err != nil {
			return err
		}
	}
	return nil
}

func (tx *Tx) refold(w care.WearerID, night civil.Date) error {
	n, err := tx.computeNight(w, night)
	if err != nil {
		return err
	}
	k := key(string(w), night.String())
	if len(n.Items) == 0 {
		return nights.delete(tx, k)
	}
	return nights.put(tx, k, n)
}

func (tx *Tx) computeNight(w care.WearerID, night civil.Date) (care.Night, error) {
	var own []care.Entry
	prefix := key(string(w), night.String(), "")
	c := tx.bolt.Bucket([]byte("night_entries")).Cursor()
	for k, at := c.Seek(prefix); k != nil && hasPrefix(k, prefix); k, at = c.Next() {
		e, err := tx.entryAt(at)
		if err != nil {
			return care.Night{}, err
		}
		own = append(own, e)
	}
	set, err := tx.related(own)
	if err != nil {
		return care.Night{}, err
	}
	for _, n := range care.Fold(set) {
		if n.Wearer == w && n.Date == night {
			return n, nil
		}
	}
	return care.Night{Wearer: w, Date: night}, nil
}

// Night returns a folded night; a night without entries has no items.
func (tx *Tx) Night(w care.WearerID, night civil.Date) (care.Night, error) {
	n, err := nights.get(tx, key(string(w), night.String()))
	if care.KindOf(err) == care.NotFound {
		return care.Night{Wearer: w, Date: night}, nil
	}
	return n, err
}

// Nights returns the folded nights from one date to another, both included,
// in order; nights without entries are left out.
func (tx *Tx) Nights(w care.WearerID, from, to civil.Date) ([]care.Night, error) {
	prefix, end := key(string(w), ""), string(key(string(w), to.String()))
	out := []care.Night{}
	c := nights.bucket(tx).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		var n care.Night
		if err := json.Unmarshal(raw, &n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

// NightBytes reads the folded nights of a range and returns their size in
// bytes: the least a program must do that looks at them, for benchmarks.
func (tx *Tx) NightBytes(w care.WearerID, from, to civil.Date) int {
	prefix, end := key(string(w), ""), string(key(string(w), to.String()))
	size := 0
	c := nights.bucket(tx).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		size += len(raw)
	}
	return size
}

// WearerEntries calls f for each entry of a wearer's nights from one date to
// another, in order of night, until it returns false.
func (tx *Tx) WearerEntries(w care.WearerID, from, to civil.Date, f func(care.Entry) bool) error {
	prefix, end := key(string(w), ""), string(key(string(w), to.AddDays(1).String()))
	c := tx.bolt.Bucket([]byte("night_entries")).Cursor()
	for k, at := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) < end; k, at = c.Next() {
		e, err := tx.entryAt(at)
		if err != nil {
			return err
		}
		if !f(e) {
			return nil
		}
	}
	return nil
}

// LastReceived returns the latest receipt among the newest entries of a
// wearer's nights in a range; zero when there is none. It looks at the last 30
// entries by night, because late entries are about recent nights.
func (tx *Tx) LastReceived(w care.WearerID, from, to civil.Date) (time.Time, error) {
	var last time.Time
	c := tx.bolt.Bucket([]byte("night_entries")).Cursor()
	start := key(string(w), from.String())
	k, at := c.Seek(key(string(w), to.AddDays(1).String()))
	if k == nil {
		k, at = c.Last()
	} else {
		k, at = c.Prev()
	}
	for n := 0; k != nil && n < 30 && string(k) >= string(start) && hasPrefix(k, key(string(w), "")); n++ {
		e, err := tx.entryAt(at)
		if err != nil {
			return last, err
		}
		if e.Recv.After(last) {
			last = e.Recv
		}
		k, at = c.Prev()
	}
	return last, nil
}
