package log

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// What is kept of a family beside its entries stands in one bucket, so that a
// push writes one page for it: the ids of the log in its order, idBlock to a
// value, and under the last of all numbers how far each device has been heard.

// idBlock is how many ids one value holds.
const idBlock = 32

// headKey is the number of a family's [head] among its blocks of ids.
const headKey uint64 = math.MaxUint64

// lastID is no id and after every one.
const lastID care.EntryID = "ffffffff-ffff-ffff-ffff-ffffffffffff"

// rawID is an entry's id as it is kept: its 16 bytes, or of a text that is no
// UUID the first 16 of its SHA-256.
type rawID [16]byte

func rawIDOf(id care.EntryID) (raw rawID) {
	if len(id) == 36 {
		var digits [32]byte
		for i, from := 0, 0; from < len(id); from++ {
			if from == 8 || from == 13 || from == 18 || from == 23 {
				continue // a dash
			}
			digits[i] = id[from]
			i++
		}
		if _, err := hex.Decode(raw[:], digits[:]); err == nil {
			return raw
		}
	}
	sum := sha256.Sum256([]byte(id))
	return rawID(sum[:])
}

func (id rawID) String() string {
	return fmt.Sprintf("%x-%x-%x-%x-%x", id[:4], id[4:6], id[6:8], id[8:10], id[10:])
}

// head is where a family's log ends, and what has been received of the family.
// A transaction keeps the one it works on, and writes it when it turns to another
// family, or ends.
type head struct {
	family care.FamilyID
	writes int           // to the log when this was read, see [Tx.headOf]
	last   uint64        // sequence number of the newest entry
	sum    string        // rolling checksum there
	fresh  []*care.Entry // the newest entries, to save reading them again

	received
	block          uint64 // number of the block of ids at hand
	ids            []byte
	changed, added bool          // of what was received; of the ids
	inOrder        care.DeviceID // of whom nothing is beyond a gap
}

// received is the stored form of a head: the greatest id, then of each device
// the length of its id, the id, and its watermark as uvarint.
type received struct {
	greatest   rawID // every id after it is new, as nearly all are: ids count time
	watermarks []watermark
}

// watermark is how far a device has been heard: everything up to this value of its
// counter has had a durable verdict.
type watermark struct {
	device care.DeviceID
	top    uint64
}

var errReceived = errors.New("store: what was received of a family is not well formed")

func (r *received) bytes() []byte {
	out := append(make([]byte, 0, 16+32*len(r.watermarks)), r.greatest[:]...)
	for _, h := range r.watermarks {
		out = append(append(out, byte(len(h.device))), h.device...)
		out = binary.AppendUvarint(out, h.top)
	}
	return out
}

// readReceived reads a stored head; none is one of a family of whom nothing was
// received.
func readReceived(raw []byte) (r received, err error) {
	if raw == nil {
		return r, nil
	}
	if len(raw) < len(r.greatest) {
		return r, errReceived
	}
	r.greatest, raw = rawID(raw[:16]), raw[16:]
	for len(raw) > 0 {
		n := int(raw[0]) + 1
		if len(raw) < n {
			return r, errReceived
		}
		top, used := binary.Uvarint(raw[n:])
		if used <= 0 {
			return r, errReceived
		}
		r.watermarks = append(r.watermarks, watermark{care.DeviceID(raw[1:n]), top})
		raw = raw[n+used:]
	}
	return r, nil
}

func (r *received) of(device care.DeviceID) int {
	return slices.IndexFunc(r.watermarks, func(h watermark) bool { return h.device == device })
}

// setWatermark sets how far a device has been heard; 0 forgets it.
func (h *head) setWatermark(device care.DeviceID, top uint64) {
	h.changed = true
	switch i := h.of(device); {
	case i >= 0 && top == 0:
		h.watermarks = slices.Delete(h.watermarks, i, i+1)
	case i >= 0:
		h.watermarks[i].top = top
	case top > 0:
		h.watermarks = append(h.watermarks, watermark{device, top})
	}
}

func (tx *Tx) received(family care.FamilyID) (r received, err error) {
	fault := tx.p.Try(func() error {
		r, err = readReceived(tx.p.Get("received", pairs.Key(string(family), headKey)))
		return nil
	})
	return r, cmp.Or(fault, err)
}

// block returns a stored block of ids; [lostPlace] when it cannot be read.
func (tx *Tx) block(family care.FamilyID, n uint64) (stored []byte) {
	if tx.p.Try(func() error { stored = tx.p.Get("received", pairs.Key(string(family), n)); return nil }) != nil {
		return lostPlace
	}
	return stored
}

// keptID reports whether an id stands at a place in the log, without a look at the
// entry.
func (tx *Tx) keptID(family care.FamilyID, seq uint64) bool {
	ids, at := tx.block(family, seq/idBlock), int(seq%idBlock)*len(rawID{})
	return len(ids)%len(rawID{}) == 0 && at+len(rawID{}) <= len(ids) && rawID(ids[at:at+len(rawID{})]) != rawID{}
}

// lastKept returns the number of the last id that stands beside the log; 0 where none
// does.
func (tx *Tx) lastKept(family care.FamilyID) (last uint64, known bool) {
	prefix := pairs.Key(string(family), "")
	err := tx.p.Try(func() error {
		for k, ids := range tx.p.Descend("received", pairs.Key(string(family), headKey)) {
			if !pairs.HasPrefix(k, prefix) {
				break
			}
			if len(ids)%len(rawID{}) != 0 {
				return nil
			}
			first := binary.BigEndian.Uint64(k[len(prefix):]) * idBlock
			for i := len(ids)/len(rawID{}) - 1; i >= 0; i-- {
				if at := i * len(rawID{}); rawID(ids[at:at+len(rawID{})]) != (rawID{}) {
					last, known = first+uint64(i), true
					return nil
				}
			}
		}
		known = true
		return nil
	})
	return last, known && err == nil
}

// headOf returns the head of a family's log when it is at hand and still as the log
// stands; nil when it must be read. What is written past it ends it.
func (tx *Tx) headOf(family care.FamilyID) *head {
	if tx.head.family != family || tx.head.writes != tx.p.Writes("entries", "received") {
		return nil
	}
	return &tx.head
}

// own keeps the head at hand after a write that it knows of.
func (tx *Tx) own(err error) error {
	tx.head.writes = tx.p.Writes("entries", "received")
	return err
}

// openHead turns to the log of a family.
func (tx *Tx) openHead(family care.FamilyID) error {
	if tx.headOf(family) != nil {
		return nil
	}
	if err := tx.putHead(); err != nil {
		return err
	}
	last, sum, err := tx.Head(family)
	if err != nil {
		return err
	}
	have, err := tx.received(family)
	if err != nil { // then devices send again, and every id is looked for
		tx.p.Quarantine("received", pairs.Key(string(family), headKey), err)
		have = received{greatest: rawIDOf(lastID)}
	}
	tx.head = head{family: family, last: last, sum: sum, received: have}
	tx.head.writes = tx.p.Writes("entries", "received")
	tx.openBlock((last + 1) / idBlock)
	return nil
}

// idsOf returns a block of ids; one that is damaged is worked out again from the
// entries.
func (tx *Tx) idsOf(family care.FamilyID, n uint64, stored []byte) []byte {
	if len(stored)%len(rawID{}) == 0 {
		return stored
	}
	out := make([]byte, idBlock*len(rawID{}))
	for seq, raw := range tx.logFrom(family, n*idBlock) {
		if seq >= (n+1)*idBlock {
			break
		}
		if len(raw) < checksumBytes {
			continue
		}
		if e, err := care.ParseEntry(raw[checksumBytes:]); err == nil {
			id := rawIDOf(e.ID)
			copy(out[int(seq%idBlock)*len(id):], id[:])
		}
	}
	return out
}

// openBlock takes a block of the family's ids to hand.
func (tx *Tx) openBlock(n uint64) {
	h := &tx.head
	stored := tx.idsOf(h.family, n, tx.block(h.family, n))
	h.block, h.added = n, false
	h.ids = append(make([]byte, 0, idBlock*len(rawID{})), stored...)
}

// putHead writes what changed of the log at hand.
func (tx *Tx) putHead() error {
	h := &tx.head
	if !h.added && !h.changed {
		return nil
	}
	if h.added {
		if err := tx.putReceived(h.block, slices.Clone(h.ids)); err != nil { // which the engine keeps until the commit
			return err
		}
	}
	if h.changed {
		if err := tx.putReceived(headKey, h.bytes()); err != nil {
			return err
		}
	}
	h.added, h.changed = false, false
	return nil
}

// putReceived writes a value of the head at hand. Where the file is damaged it is left
// out: ids are then worked out from the entries, and devices send again.
func (tx *Tx) putReceived(n uint64, value []byte) error {
	k := pairs.Key(string(tx.head.family), n)
	if tx.p.Try(func() error { tx.p.Get("received", k); return nil }) != nil {
		return nil // set aside, and named
	}
	return tx.own(tx.p.Put("received", k, value))
}

// indexID keeps the id of an entry at its place in the log.
func (tx *Tx) indexID(family care.FamilyID, e *care.Entry) error {
	if err := tx.openHead(family); err != nil {
		return err
	}
	h := &tx.head
	if n := e.FSeq / idBlock; n != h.block {
		if err := tx.putHead(); err != nil {
			return err
		}
		tx.openBlock(n)
	}
	id, at := rawIDOf(e.ID), int(e.FSeq%idBlock)*len(rawID{})
	for len(h.ids) < at+len(id) {
		h.ids = append(h.ids, 0)
	}
	copy(h.ids[at:], id[:])
	h.added = true
	if bytes.Compare(id[:], h.greatest[:]) > 0 {
		h.greatest, h.changed = id, true
	}
	return nil
}

// dropID takes the id of an entry out of its place in the log.
func (tx *Tx) dropID(family care.FamilyID, seq uint64) error {
	if err := tx.putHead(); err != nil {
		return err
	}
	k := pairs.Key(string(family), seq/idBlock)
	ids, at := slices.Clone(tx.idsOf(family, seq/idBlock, tx.p.Get("received", k))), int(seq%idBlock)*len(rawID{})
	if len(ids) < at+len(rawID{}) {
		return nil
	}
	copy(ids[at:], make([]byte, len(rawID{})))
	if bytes.Count(ids, []byte{0}) == len(ids) {
		return tx.p.Delete("received", k)
	}
	return tx.p.Put("received", k, ids)
}

// find returns the number of an entry in the log of a family, 0 when there is
// none. An id means nothing outside its family. What is asked for is mostly new,
// or came not long ago, so the newest ids are looked at first.
func (tx *Tx) find(family care.FamilyID, id care.EntryID) uint64 {
	raw, h := rawIDOf(id), tx.headOf(family)
	if h != nil {
		if bytes.Compare(raw[:], h.greatest[:]) > 0 {
			return 0
		}
		if i := placeOf(h.ids, raw); i >= 0 {
			return h.block*idBlock + uint64(i)
		}
	}
	found := uint64(0)
	prefix := pairs.Key(string(family), "")
	err := tx.p.Try(func() error {
		for k, ids := range tx.p.Descend("received", pairs.Key(string(family), headKey)) {
			if !pairs.HasPrefix(k, prefix) {
				break
			}
			n := binary.BigEndian.Uint64(k[len(prefix):])
			if h != nil && n == h.block {
				continue
			}
			if i := placeOf(tx.idsOf(family, n, ids), raw); i >= 0 {
				found = n*idBlock + uint64(i)
				break
			}
		}
		return nil
	})
	if err != nil {
		return tx.search(family, id)
	}
	return found
}

// search is [Tx.find] where the ids cannot be read: it looks through the entries.
func (tx *Tx) search(family care.FamilyID, id care.EntryID) uint64 {
	for seq, raw := range tx.logFrom(family, 0) {
		if e, err := tx.readEntry(family, seq, raw); err == nil && e.ID == id {
			return seq
		}
	}
	return 0
}

// placeOf returns the place of an id in a block, -1 when it is not there.
func placeOf(ids []byte, id rawID) int {
	for at := 0; at+len(id) <= len(ids); at += len(id) {
		if rawID(ids[at:at+len(id)]) == id {
			return at / len(id)
		}
	}
	return -1
}

// advanceWatermark notes a counter value and moves the watermark over what is contiguous.
// Only values beyond a gap are kept one by one, until the gap closes. A phone
// put back from its own backup counts again; its entries count by their ids.
func (tx *Tx) advanceWatermark(family care.FamilyID, device care.DeviceID, dseq uint64, what string) error {
	if err := tx.openHead(family); err != nil {
		return err
	}
	top := tx.Watermark(family, device)
	if dseq <= top {
		return nil
	}
	if dseq > top+1 {
		if own, err := tx.PracticeDevice(); err == nil && device == own {
			tx.head.setWatermark(device, dseq) // a restore or a split leaves gaps, and nobody waits for them
			return nil
		} // a setting that cannot be read stops no phone
		tx.head.inOrder = ""
		return tx.p.Put("device_seqs", pairs.Key(string(device), dseq), []byte(what))
	}
	for top = dseq; tx.head.inOrder != device; top++ {
		next := pairs.Key(string(device), top+1)
		k, _ := tx.p.First("device_seqs", next)
		if !pairs.HasPrefix(k, pairs.Key(string(device), "")) {
			tx.head.inOrder = device
			break
		}
		if !bytes.Equal(k, next) {
			break
		}
		if err := tx.p.Delete("device_seqs", next); err != nil {
			return err
		}
	}
	tx.head.setWatermark(device, top)
	return nil
}

// Watermark returns the highest counter value up to which everything from a
// device of a family has had a durable verdict; 0 means nothing yet.
func (tx *Tx) Watermark(family care.FamilyID, device care.DeviceID) uint64 {
	r := &received{}
	if h := tx.headOf(family); h != nil {
		r = &h.received
	} else {
		stored, err := tx.received(family)
		if err != nil {
			return 0 // the device sends again, and its entries are known by their ids
		}
		r = &stored
	}
	if i := r.of(device); i >= 0 {
		return r.watermarks[i].top
	}
	return 0
}

// MoveWatermark takes what was heard of a device to another family.
func (tx *Tx) MoveWatermark(device care.DeviceID, from, to care.FamilyID) error {
	top := tx.Watermark(from, device)
	for _, at := range []struct {
		family care.FamilyID
		top    uint64
	}{{from, 0}, {to, top}} {
		if err := tx.openHead(at.family); err != nil {
			return err
		}
		tx.head.setWatermark(device, at.top)
	}
	return nil
}

// idAt returns the id that stands at a place in the log; zeros when none does.
func (tx *Tx) idAt(family care.FamilyID, seq uint64) (id rawID) {
	ids := tx.idsOf(family, seq/idBlock, tx.block(family, seq/idBlock))
	if at := int(seq%idBlock) * len(id); at+len(id) <= len(ids) {
		id = rawID(ids[at : at+len(id)])
	}
	return id
}

// setWatermark sets how far a device of a family has been heard; 0 forgets it.
func (tx *Tx) setWatermark(family care.FamilyID, device care.DeviceID, top uint64) error {
	if err := tx.openHead(family); err != nil {
		return err
	}
	tx.head.setWatermark(device, top)
	return nil
}
