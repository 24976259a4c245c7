package store

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"iter"
	"time"

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

// writeLog stores an entry at the end of the log of a family, once it has been
// read back as every later reader will read it.
func (tx *Tx) writeLog(family care.FamilyID, e *care.Entry, sum string) error {
	if err := tx.goTo(family); err != nil {
		return err
	}
	value := make([]byte, checksumBytes, 512)
	if _, err := hex.Decode(value, []byte(sum)); err != nil {
		return err
	}
	value = e.AppendJSON(value)
	if err := e.ReadBack(value[checksumBytes:]); err != nil {
		return err
	}
	h := &tx.head
	h.last, h.sum, h.fresh = e.FSeq, sum, append(h.fresh, e)
	return tx.add("entries", key(string(family), e.FSeq), value) // every number is given once
}

// logFrom walks through the log of a family from a number on: numbers, and
// entries with the checksum before each. The bytes are the engine's.
func (tx *Tx) logFrom(family care.FamilyID, from uint64) iter.Seq2[uint64, []byte] {
	return func(yield func(uint64, []byte) bool) {
		prefix := key(string(family), "")
		for k, raw := range tx.up("entries", key(string(family), from)) {
			if !hasPrefix(k, prefix) {
				return
			}
			if !yield(binary.BigEndian.Uint64(k[len(prefix):]), raw) {
				return
			}
		}
	}
}

// logged returns the entry with a number in the log of a family, with the
// checksum before it; nil when there is none.
func (tx *Tx) logged(family care.FamilyID, seq uint64) []byte {
	return tx.get("entries", key(string(family), seq))
}

// entryAt reads the entry with a number in the log of a family. It is shared and
// must not be changed.
func (tx *Tx) entryAt(family care.FamilyID, seq uint64) (*care.Entry, error) {
	if h := &tx.head; h.family == family && len(h.fresh) > 0 && seq >= h.fresh[0].FSeq && seq <= h.last {
		return h.fresh[seq-h.fresh[0].FSeq], nil
	}
	e, err := tx.readEntry(family, seq, tx.logged(family, seq))
	return &e, err
}

// Head returns the last sequence number of a family's log and the rolling
// checksum there; 0 and "" for an empty log.
func (tx *Tx) Head(family care.FamilyID) (uint64, string, error) {
	if h := &tx.head; h.family == family {
		return h.last, h.sum, nil
	}
	prefix := key(string(family), "")
	// The first key after the family's is a stranger; the one before it counts.
	k, v := tx.lastBelow("entries", append([]byte(family), sep+1))
	if k == nil || !hasPrefix(k, prefix) {
		return 0, "", nil
	}
	last := binary.BigEndian.Uint64(k[len(prefix):])
	return last, tx.sumAt(family, last, v), nil
}

// sumAt returns the rolling checksum at an entry, which stands before it; of a
// value that is too short it is worked out from the ids.
func (tx *Tx) sumAt(family care.FamilyID, seq uint64, raw []byte) string {
	if len(raw) >= checksumBytes {
		return hex.EncodeToString(raw[:checksumBytes])
	}
	sum := ""
	for n, v := range tx.logFrom(family, 0) {
		if sum = NextChecksum(sum, care.EntryID(tx.idText(family, n, v))); n == seq {
			break
		}
	}
	return sum
}

// Page is a stretch of a family's log.
type Page struct {
	Entries  []json.RawMessage // in order of the log
	Cursor   uint64            // sequence number of the last one
	Checksum string            // rolling checksum at Cursor
	More     bool
}

// Page returns the log after the cursor, at most maxEntries and about maxBytes.
// In the place of an entry that cannot be read stands {id, fseq, unreadable}.
// A cursor that names no entry is refused: the phone starts again from 0.
func (tx *Tx) Page(family care.FamilyID, after uint64, maxEntries, maxBytes int) (Page, error) {
	p := Page{Entries: []json.RawMessage{}, Cursor: after}
	size, found := 0, after == 0
	sum, last := "", []byte(nil)
	for seq, raw := range tx.logFrom(family, after) {
		if seq == after {
			found, sum = true, tx.sumAt(family, seq, raw)
			continue
		}
		if !found {
			break
		}
		if len(p.Entries) >= maxEntries || size >= maxBytes {
			p.More = true
			break
		}
		entry := raw[min(checksumBytes, len(raw)):]
		if _, err := tx.readEntry(family, seq, raw); err != nil {
			entry = tx.unreadablePlace(family, seq, raw)
		}
		p.Entries = append(p.Entries, entry)
		p.Cursor, last = seq, raw
		size += len(entry)
	}
	if !found {
		return p, care.Refuse("bad-cursor", "cursor", "the log has no entry %d; start again from 0", after)
	}
	if p.Checksum = sum; last != nil {
		p.Checksum = tx.sumAt(family, p.Cursor, last)
	}
	copied := make([]byte, 0, size)
	for i, raw := range p.Entries {
		copied = append(copied, raw...)
		p.Entries[i] = copied[len(copied)-len(raw) : len(copied) : len(copied)]
	}
	return p, nil
}

// Knows reports whether the log of a family has an entry with a number, and the
// rolling checksum there, when one is given: a phone that was told of it once and
// is not known any more has seen a later file than this one.
func (tx *Tx) Knows(family care.FamilyID, seq uint64, sum string) bool {
	if seq == 0 {
		return true
	}
	raw := tx.logged(family, seq)
	return raw != nil && (sum == "" || tx.sumAt(family, seq, raw) == sum)
}

// NewLife starts a new life of one family's log, after its phones have shown that
// the file went back: they read it anew, and offer again what it lacks.
func (tx *Tx) NewLife(id care.FamilyID) error {
	f, err := tx.Family(id)
	if err != nil {
		return err
	}
	f.Life, f.Restored = rand.Text(), tx.Now
	return tx.putFamily(f)
}

// RestoredOf returns when the log of a family was last put back, from a backup or
// by hand; zero when it never was.
func (tx *Tx) RestoredOf(id care.FamilyID) (time.Time, error) {
	at, err := tx.Restored()
	if err != nil {
		return at, err
	}
	f, err := tx.Family(id)
	if care.KindOf(err) == care.NotFound {
		return at, nil
	}
	if f.Restored.After(at) {
		at = f.Restored
	}
	return at, err
}

var (
	errNoEntry     = errors.New("store: an index of the log points nowhere")
	errOtherNumber = errors.New("store: an entry stands under another number than its own")
)
