package log

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
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
	if err := tx.openHead(family); err != nil {
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
	return tx.own(tx.p.Add("entries", pairs.Key(string(family), e.FSeq), value)) // every number is given once
}

// lostPlace stands for an entry in a part of the file that cannot be read.
var lostPlace = []byte{0}

// logFrom walks through the log of a family from a number on: numbers, and
// entries with the checksum before each, or [lostPlace]. The bytes are the engine's.
func (tx *Tx) logFrom(family care.FamilyID, from uint64) iter.Seq2[uint64, []byte] {
	return func(yield func(uint64, []byte) bool) {
		for n := 8; ; n = min(2*n, 128) { // few are asked for mostly
			some, err := tx.stretch(family, from, n)
			for _, p := range some {
				if !yield(p.seq, p.raw) {
					return
				}
				from = p.seq + 1
			}
			switch {
			case err != nil:
				from = max(from, 1) // where every log begins
				if !tx.keptID(family, from) || !yield(from, lostPlace) {
					return
				}
				from++
			case len(some) < n:
				return
			}
		}
	}
}

type placed struct {
	seq uint64
	raw []byte
}

// stretch reads at most n places of a log from a number on; the error says that a
// damaged part of the file follows.
func (tx *Tx) stretch(family care.FamilyID, from uint64, n int) (out []placed, err error) {
	prefix := pairs.Key(string(family), "")
	err = tx.p.Try(func() error {
		for k, raw := range tx.p.Ascend("entries", pairs.Key(string(family), from)) {
			if !pairs.HasPrefix(k, prefix) {
				return nil
			}
			if out = append(out, placed{binary.BigEndian.Uint64(k[len(prefix):]), raw}); len(out) == n {
				return nil
			}
		}
		return nil
	})
	return out, err
}

// logged returns the entry with a number in the log of a family, with the
// checksum before it; nil when there is none, [lostPlace] when it cannot be read.
func (tx *Tx) logged(family care.FamilyID, seq uint64) (raw []byte) {
	err := tx.p.Try(func() error { raw = tx.p.Get("entries", pairs.Key(string(family), seq)); return nil })
	if err != nil && tx.keptID(family, seq) {
		return lostPlace
	}
	return raw
}

// entryAt reads the entry with a number in the log of a family. It is shared and
// must not be changed.
func (tx *Tx) entryAt(family care.FamilyID, seq uint64) (*care.Entry, error) {
	if h := tx.headOf(family); h != nil && len(h.fresh) > 0 && seq >= h.fresh[0].FSeq && seq <= h.last {
		return h.fresh[seq-h.fresh[0].FSeq], nil
	}
	e, err := tx.readEntry(family, seq, tx.logged(family, seq))
	return &e, err
}

// Head returns the last sequence number of a family's log and the rolling
// checksum there; 0 and "" for an empty log.
func (tx *Tx) Head(family care.FamilyID) (uint64, string, error) {
	if h := tx.headOf(family); h != nil {
		return h.last, h.sum, nil
	}
	prefix := pairs.Key(string(family), "")
	var k, v []byte
	err := tx.p.Try(func() error {
		// The first key after the family's is a stranger; the one before it counts.
		k, v = tx.p.Last("entries", append([]byte(family), pairs.Sep+1))
		return nil
	})
	if err != nil {
		last, known := tx.lastKept(family)
		if !known {
			return 0, "", err
		}
		if last == 0 { // nothing was ever received: what is damaged is another family's
			return 0, "", nil
		}
		return last, tx.sumAt(family, last, lostPlace), nil
	}
	if k == nil || !pairs.HasPrefix(k, prefix) {
		return 0, "", nil
	}
	last := binary.BigEndian.Uint64(k[len(prefix):])
	return last, tx.sumAt(family, last, v), nil
}

// sumAt returns the rolling checksum at an entry, which stands before it; of a
// value that cannot be read it is worked out from the ids.
func (tx *Tx) sumAt(family care.FamilyID, seq uint64, raw []byte) string {
	if len(raw) > checksumBytes {
		if e, err := care.ParseEntry(raw[checksumBytes:]); err == nil && e.FSeq == seq {
			return hex.EncodeToString(raw[:checksumBytes])
		}
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

var (
	errNoEntry     = errors.New("store: an index of the log points nowhere")
	errOtherNumber = errors.New("store: an entry stands under another number than its own")
)

// EachEntry calls f for every entry of every log, and works out after each
// family what f left to do.
func (tx *Tx) EachEntry(f func(care.FamilyID, *care.Entry) error) error {
	var last care.FamilyID
	err := tx.p.Each("entries", func(k, v []byte) error {
		family := care.FamilyID(k[:len(k)-9])
		if family != last {
			if err := tx.Flush(); err != nil {
				return err
			}
			last, tx.baseline = family, nil
		}
		e, err := tx.readEntry(family, pairs.NumberOf(k), v)
		if err != nil {
			return nil // stays in its place, and is named by a check
		}
		return f(family, &e)
	})
	if err != nil {
		return err
	}
	return tx.Flush()
}

// NewEntryID returns a UUID of version 7 (RFC 9562): 48 bits of Unix milliseconds,
// then random bits.
func NewEntryID(at time.Time) care.EntryID {
	var b [16]byte
	_, _ = rand.Read(b[:]) // never fails
	ms := uint64(at.UnixMilli())
	for i := range 6 {
		b[i] = byte(ms >> (40 - 8*i))
	}
	b[6], b[8] = b[6]&0x0f|0x70, b[8]&0x3f|0x80
	return care.EntryID(fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:]))
}

// EntryIDs returns the ids of a family's entries, those kept raw too.
func (tx *Tx) EntryIDs(f care.FamilyID) []string {
	out := pairs.Index(held.Name).Members(tx.p, string(f))
	for seq, raw := range tx.logFrom(f, 0) {
		out = append(out, tx.idText(f, seq, raw))
	}
	return out
}
