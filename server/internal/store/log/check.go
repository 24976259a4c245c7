package log

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// CheckReceived checks that no id stands where there is no entry, and that every
// head is well formed: that each entry has its id is checked with the entries.
func (tx *Tx) CheckReceived() (f pairs.Faults) {
	ids, entries := 0, 0
	tx.p.EachKey("entries", func([]byte) { entries++ })
	_ = tx.p.Each("received", func(k, v []byte) error {
		p := pairs.KeyParts("sn", k)
		if p == nil {
			f.Unless(false, "received: key %q is not well formed", k)
			return nil
		}
		have, err := tx.received(care.FamilyID(p[0]))
		if err != nil {
			tx.p.Quarantine("received", pairs.Key(p[0], headKey), err)
			have.greatest = rawIDOf(lastID)
		}
		if binary.BigEndian.Uint64(k[len(k)-8:]) == headKey {
			return nil
		}
		f.Unless(len(v) > 0 && len(v)%len(rawID{}) == 0, "received of %s: block %s is not well formed", p[0], p[1])
		for id := range slices.Chunk(v, len(rawID{})) {
			if bytes.Count(id, []byte{0}) == len(id) {
				continue // number 0, or an entry that left the log
			}
			ids++
			f.Unless(bytes.Compare(id, have.greatest[:]) <= 0, "received of %s: %x is after the greatest id", p[0], id)
		}
		return nil
	})
	f.Unless(ids == entries, "received holds %d ids, the log %d entries", ids, entries)
	return f
}

// CheckEntries holds every entry against its place, the rolling checksum and the
// indices that list it.
func (tx *Tx) CheckEntries() []error {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	family, sum := "", ""
	var seq uint64
	_ = tx.p.Each("entries", func(k, v []byte) error {
		runtime.Gosched() // while a backup is checked, what families send goes first
		if len(k) < 9 {
			fault("entries: a key is too short")
			return nil
		}
		if f := string(k[:len(k)-9]); f != family {
			family, sum, seq = f, "", 0
		}
		at := pairs.NumberOf(k)
		e, err := tx.readEntry(care.FamilyID(family), at, v)
		if err != nil { // is named with all that cannot be read; its place is counted
			sum, seq = NextChecksum(sum, care.EntryID(tx.idText(care.FamilyID(family), at, v))), seq+1
			return nil
		}
		sum, seq = NextChecksum(sum, e.ID), seq+1
		if e.FSeq != seq || string(k) != string(pairs.Key(family, seq)) {
			fault("entry %s: sequence %d, want %d", e.ID, e.FSeq, seq)
		}
		if sum != hex.EncodeToString(v[:checksumBytes]) {
			fault("entry %s: rolling checksum does not fit", e.ID)
		}
		if tx.idAt(care.FamilyID(family), seq) != rawIDOf(e.ID) {
			fault("entry %s: its id is not in its place", e.ID)
		}
		if rec, err := tx.nightRecord(nightID{e.Wearer, e.Night}.key()); err != nil || string(rec.family) != family || !slices.Contains(rec.seqs, e.FSeq) {
			fault("entry %s: not in the index of nights", e.ID)
		}
		if e.OwnWords() != "" && e.Kind != care.Retraction && !tx.p.Has("words", pairs.Key(string(e.Wearer), string(e.ID))) {
			fault("entry %s: not in the list of words", e.ID)
		}
		for _, target := range targets(&e) {
			if tx.p.Get(string(refs), pairs.Key(refOwner(care.FamilyID(family), target), string(e.ID))) == nil {
				fault("entry %s: not in the index of references", e.ID)
			}
		}
		return nil
	})
	return faults
}

// CheckNights holds every night's record against its entries. Signs written
// by another version of the rules are worked out again when read, so they
// need not fit.
func (tx *Tx) CheckNights() []error {
	var faults []error
	_ = tx.p.Each("nights", func(k, raw []byte) error {
		runtime.Gosched()
		if err := tx.checkNight(k, raw); errors.Is(err, errNightRecord) {
			tx.p.Quarantine("nights", k, err)
		} else if err != nil {
			faults = append(faults, fmt.Errorf("night %q: %w", k, err))
		}
		return nil
	})
	return faults
}

func (tx *Tx) checkNight(k, raw []byte) error {
	have, err := readNight(raw)
	if err != nil {
		return err
	}
	p := pairs.KeyParts("ss", k)
	if p == nil {
		return errors.New("the key is not well formed")
	}
	date, err := civil.ParseDate(p[1])
	if err != nil {
		return err
	}
	id := nightID{care.WearerID(p[0]), date}
	for _, seq := range have.seqs {
		e, err := tx.entryAt(have.family, seq)
		if err != nil {
			return nil // named as an entry; what the record keeps may be from before
		}
		if e.Wearer != id.wearer || e.Night != date {
			return fmt.Errorf("entry %s is about another night", e.ID)
		}
	}
	want := have
	if err := tx.keepSigns(id, &want); err != nil {
		return err
	}
	if have.supply != want.supply || len(have.signs) == 0 != (len(want.signs) == 0) {
		return errors.New("the record differs from its entries")
	}
	if _, err := care.ReadNightSigns(date, have.signs); err == nil && !bytes.Equal(have.signs, want.signs) {
		return errors.New("what the rules look at differs from its entries")
	}
	return nil
}
