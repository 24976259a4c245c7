package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"go.etcd.io/bbolt"

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
	var room [64]byte
	sum := sha256.Sum256(append(append(append(room[:0], before...), '\n'), id...))
	var text [2 * checksumBytes]byte
	hex.Encode(text[:], sum[:checksumBytes])
	return string(text[:])
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
	if err := tx.goTo(family); err != nil {
		return 0, err
	}
	if at := tx.find(family, e.ID); at != nil {
		same, err := tx.same(e, at)
		if err != nil {
			return Duplicate, err
		}
		if same {
			return Duplicate, tx.again(family, e, at)
		}
		return Taken, tx.setAside(e)
	}
	e.FSeq, e.Recv = tx.head.last+1, tx.Now
	sum := NextChecksum(tx.head.sum, e.ID)
	if err := tx.putEntry(family, e, sum); err != nil {
		return 0, err
	}
	tx.head.last, tx.head.sum = e.FSeq, sum
	if err := tx.mark(family, e.Device, e.DSeq, string(e.ID)); err != nil {
		return 0, err
	}
	return Added, tx.spoil(family, e)
}

// again notes that the device which wrote an entry has sent it again: its
// counter, and that an entry handed in by another device is now its own word.
func (tx *Tx) again(family care.FamilyID, e *care.Entry, at []byte) error {
	if e.Via != "" {
		return nil
	}
	if err := tx.mark(family, e.Device, e.DSeq, string(e.ID)); err != nil || !tx.handedIn(at) {
		return err
	}
	b := tx.bolt.Bucket([]byte("entries"))
	value := slices.Clone(b.Get(at))
	have, err := care.ParseEntry(value[checksumBytes:])
	if err != nil || have.Device != e.Device {
		return err
	}
	have.Via = ""
	return b.Put(at, have.AppendJSON(value[:checksumBytes:checksumBytes]))
}

// handedIn reports whether the entry at a key of the log may have been handed
// in by another device than its own.
func (tx *Tx) handedIn(at []byte) bool {
	return bytes.Contains(tx.bolt.Bucket([]byte("entries")).Get(at), []byte(`,"via":"`))
}

// Sent is an entry with the bytes it came in.
type Sent struct {
	Entry *care.Entry
	Raw   []byte
}

// Holds reports whether entries are all stored in the family's log with the
// same content, so that there is nothing to do. It is false for an id that is
// stored with other content, and for one that another device handed in.
func (tx *Tx) Holds(family care.FamilyID, list []Sent) (bool, error) {
	c := tx.bolt.Bucket([]byte("entries")).Cursor()
	var stored []byte
	for _, s := range list {
		if stored != nil { // what came together mostly stands together
			_, stored = c.Next()
		}
		if asSent(stored, s.Raw) {
			continue
		}
		at := tx.find(family, s.Entry.ID)
		if at == nil || tx.handedIn(at) {
			return false, nil
		}
		if _, stored = c.Seek(at); asSent(stored, s.Raw) {
			continue
		}
		if same, err := tx.same(s.Entry, at); err != nil || !same {
			return false, err
		}
	}
	return true, nil
}

// asSent reports whether a stored value is an entry that came as raw, written
// as our phones write it, and from its own device.
func asSent(stored, raw []byte) bool {
	if len(stored) < checksumBytes || len(raw) == 0 {
		return false
	}
	rest, same := bytes.CutPrefix(stored[checksumBytes:], raw[:len(raw)-1])
	return same && bytes.HasPrefix(rest, []byte(`,"fseq":`)) && !bytes.Contains(rest, []byte(`,"via":"`))
}

// same reports whether e says what is stored at a key of the log.
func (tx *Tx) same(e *care.Entry, at []byte) (bool, error) {
	sent := *e
	sent.Forget()
	raw := tx.bolt.Bucket([]byte("entries")).Get(at)
	if len(raw) <= checksumBytes {
		return false, fmt.Errorf("store: entry index points nowhere")
	}
	as := sent.AppendJSON(make([]byte, 0, 512))
	if rest, ok := bytes.CutPrefix(raw[checksumBytes:], as[:len(as)-1]); ok && bytes.HasPrefix(rest, []byte(`,"fseq":`)) {
		return true, nil
	}
	have, err := care.ParseEntry(raw[checksumBytes:])
	return err == nil && e.SameContent(&have), err
}

func (tx *Tx) setAside(e *care.Entry) error {
	return tx.bolt.Bucket([]byte("conflicts")).Put(key(string(e.ID), tx.Now), e.AppendJSON(nil))
}

func (tx *Tx) putEntry(family care.FamilyID, e *care.Entry, sum string) error {
	value := make([]byte, checksumBytes, 512)
	if _, err := hex.Decode(value, []byte(sum)); err != nil {
		return err
	}
	at := key(string(family), e.FSeq)
	if err := tx.bolt.Bucket([]byte("entries")).Put(at, e.AppendJSON(value)); err != nil {
		return err
	}
	if err := tx.indexEntry(family, e); err != nil {
		return err
	}
	tx.list(family, e)
	if tx.fresh == nil {
		tx.fresh = map[string]*care.Entry{}
	}
	tx.fresh[string(at)] = e
	return nil
}

// list notes that an entry is about its night.
func (tx *Tx) list(family care.FamilyID, e *care.Entry) {
	n, _ := tx.stain(nightID{e.Wearer, e.Night})
	n.family, n.seqs = family, append(n.seqs, e.FSeq)
}

// dropEntry undoes putEntry, for a log that is about to be numbered anew.
func (tx *Tx) dropEntry(family care.FamilyID, e *care.Entry) error {
	if err := tx.bolt.Bucket([]byte("entries")).Delete(key(string(family), e.FSeq)); err != nil {
		return err
	}
	if err := tx.dropID(family, e.FSeq); err != nil {
		return err
	}
	if err := tx.unlist(e); err != nil {
		return err
	}
	for _, target := range targets(e) {
		if err := refs.drop(tx, refOwner(family, target), string(e.ID)); err != nil {
			return err
		}
	}
	return nil
}

// indexEntry notes an entry's id and what it refers to.
func (tx *Tx) indexEntry(family care.FamilyID, e *care.Entry) error {
	if err := tx.noteID(family, e); err != nil {
		return err
	}
	return tx.indexRefs(family, e)
}

// indexRefs notes what an entry refers to.
func (tx *Tx) indexRefs(family care.FamilyID, e *care.Entry) error {
	for _, target := range targets(e) {
		tx.ties = ties{family, true}
		if err := refs.put(tx, refOwner(family, target), string(e.ID)); err != nil {
			return err
		}
	}
	return nil
}

// refOwner is what the references to an entry are kept under.
func refOwner(family care.FamilyID, target care.EntryID) string {
	return string(family) + string(rune(sep)) + string(target)
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
	return tx.mark(family, e.Device, e.DSeq, string(e.ID))
}

// Refused records that a device's counter value was answered with a refusal,
// so that one bad entry does not stop the watermark.
func (tx *Tx) Refused(family care.FamilyID, device care.DeviceID, dseq uint64) error {
	return tx.mark(family, device, dseq, "refused")
}

// Head returns the last sequence number of a family's log and the rolling
// checksum there; 0 and "" for an empty log.
func (tx *Tx) Head(family care.FamilyID) (uint64, string, error) {
	prefix := key(string(family), "")
	// The first key after the family's is a stranger; the one before it counts.
	k, v := before(tx.bolt.Bucket([]byte("entries")).Cursor(), append([]byte(family), sep+1))
	if k == nil || !hasPrefix(k, prefix) {
		return 0, "", nil
	}
	return binary.BigEndian.Uint64(k[len(prefix):]), hex.EncodeToString(v[:checksumBytes]), nil
}

// before moves the cursor to the last pair whose key is less than a key.
func before(c *bbolt.Cursor, key []byte) (k, v []byte) {
	if k, _ = c.Seek(key); k == nil {
		return c.Last()
	}
	return c.Prev()
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
		p.Entries = append(p.Entries, v[checksumBytes:])
		p.Cursor = binary.BigEndian.Uint64(k[len(prefix):])
		p.Checksum = hex.EncodeToString(v[:checksumBytes])
		size += len(v)
	}
	copied := make([]byte, 0, size)
	for i, raw := range p.Entries {
		copied = append(copied, raw...)
		p.Entries[i] = copied[len(copied)-len(raw) : len(copied) : len(copied)]
	}
	return p, nil
}

// entryAt reads the entry at a key of the log. It is shared and must not be
// changed.
func (tx *Tx) entryAt(at []byte) (*care.Entry, error) {
	if e := tx.fresh[string(at)]; e != nil {
		return e, nil
	}
	raw := tx.bolt.Bucket([]byte("entries")).Get(at)
	if len(raw) < checksumBytes {
		return nil, fmt.Errorf("store: entry index points nowhere")
	}
	e, err := care.ParseEntry(raw[checksumBytes:])
	return &e, err
}

// Entry returns one entry of a family by id, or a not-found error.
func (tx *Tx) Entry(family care.FamilyID, id care.EntryID) (care.Entry, error) {
	at := tx.find(family, id)
	if at == nil {
		return care.Entry{}, care.Errorf(care.NotFound, "not-found", "there is no such entry")
	}
	e, err := tx.entryAt(at)
	if err != nil {
		return care.Entry{}, err
	}
	return *e, nil
}

// related returns the entries of a family tied to some by references in either
// direction, those among them.
func (tx *Tx) related(family care.FamilyID, start []*care.Entry) ([]*care.Entry, error) {
	out := slices.Clone(start)
	tied := tx.tied(family)
	known := func(id care.EntryID) bool {
		return slices.ContainsFunc(out, func(e *care.Entry) bool { return e.ID == id })
	}
	for i := 0; i < len(out); i++ { // out grows
		next := targets(out[i])
		if tied {
			for _, id := range refs.members(tx, refOwner(family, out[i].ID)) {
				next = append(next, care.EntryID(id))
			}
		}
		for _, id := range next {
			at := tx.find(family, id)
			if at == nil || known(id) {
				continue
			}
			t, err := tx.entryAt(at)
			if err != nil {
				return nil, err
			}
			out = append(out, t)
		}
	}
	return out, nil
}

// tied reports whether any entry of a family's log refers to another. Mostly
// none does, and then nobody need ask entry by entry.
func (tx *Tx) tied(family care.FamilyID) bool {
	if tx.ties.family != family {
		prefix := key(string(family), "")
		k, _ := tx.bolt.Bucket([]byte(refs)).Cursor().Seek(prefix)
		tx.ties = ties{family, hasPrefix(k, prefix)}
	}
	return tx.ties.any
}

// spoil notes every night that e can change, and that its wearer is to be
// looked at again.
func (tx *Tx) spoil(family care.FamilyID, e *care.Entry) error {
	tied, err := tx.related(family, []*care.Entry{e})
	if err != nil {
		return err
	}
	for _, t := range tied {
		tx.stain(nightID{t.Wearer, t.Night})
		if t.Wearer == tx.touched {
			continue
		}
		tx.changed(string(t.Wearer))
		if err := tx.touch(t.Wearer); err != nil {
			return err
		}
		tx.touched = t.Wearer
	}
	return nil
}

// WearerEntries calls f for each entry of a wearer's nights from one date to
// another, in order of night, until it returns false.
func (tx *Tx) WearerEntries(w care.WearerID, from, to civil.Date, f func(care.Entry) bool) error {
	err := tx.records(w, from, to, func(_, raw []byte) error {
		rec, err := readNight(raw)
		if err != nil {
			return err
		}
		for _, seq := range rec.seqs {
			e, err := tx.entryAt(key(string(rec.family), seq))
			if err != nil {
				return err
			}
			if !f(*e) {
				return errEnough
			}
		}
		return nil
	})
	if errors.Is(err, errEnough) {
		return nil
	}
	return err
}

// errEnough ends a walk.
var errEnough = errors.New("store: enough")

// LastReceived returns the latest receipt among the newest entries of a
// wearer's nights in a range; zero when there is none. It looks at the last 30
// entries by night, because late entries are about recent nights. A pause or a
// snooze of reminders is not word of how a wearer is, and does not count.
func (tx *Tx) LastReceived(w care.WearerID, from, to civil.Date) (time.Time, error) {
	var last time.Time
	if err := tx.settle(); err != nil {
		return last, err
	}
	c := tx.bolt.Bucket([]byte("nights")).Cursor()
	start := key(string(w), from.String())
	k, raw := before(c, key(string(w), to.AddDays(1).String()))
	for n := 0; k != nil && n < 30 && string(k) >= string(start) && hasPrefix(k, key(string(w), "")); k, raw = c.Prev() {
		rec, err := readNight(raw)
		if err != nil {
			return last, err
		}
		for i := len(rec.seqs) - 1; i >= 0 && n < 30; i-- {
			e, err := tx.entryAt(key(string(rec.family), rec.seqs[i]))
			if err != nil {
				return last, err
			}
			if e.Kind.AboutReminders() {
				continue
			}
			n++
			if e.Recv.After(last) {
				last = e.Recv
			}
		}
	}
	return last, nil
}
