package log

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// nightID names one wearer's night.
type nightID struct {
	wearer care.WearerID
	date   civil.Date
}

func (id nightID) key() []byte { return pairs.Key(string(id.wearer), id.date.String()) }

// nightRecord is what is kept of one wearer's night: which entries say that
// they are about it, and what the rules look at. The night itself is folded
// from its entries when somebody asks, which takes no longer than reading it
// would, and does not double what every push writes.
//
// The stored form is: flags, length of the family's id and the id, uvarint
// count of entries, their sequence numbers as uvarint differences, then the
// signs in their own form.
type nightRecord struct {
	family care.FamilyID
	supply bool     // an entry about supplies is live
	seqs   []uint64 // ascending
	signs  []byte   // empty when nothing is said of the night
}

const hasSupply = 1

var (
	errNightRecord = errors.New("store: a night's record is not well formed")
	errNightKey    = errors.New("store: a night stands under no date")
)

func (r *nightRecord) bytes() []byte {
	out := make([]byte, 0, 16+len(r.family)+2*len(r.seqs)+len(r.signs))
	flags := byte(0)
	if r.supply {
		flags |= hasSupply
	}
	out = append(append(out, flags, byte(len(r.family))), r.family...)
	out = binary.AppendUvarint(out, uint64(len(r.seqs)))
	last := uint64(0)
	for _, seq := range r.seqs {
		out = binary.AppendUvarint(out, seq-last)
		last = seq
	}
	return append(out, r.signs...)
}

// signsPart returns the signs of a stored record without reading the rest.
func signsPart(raw []byte) ([]byte, error) {
	rest, n, err := recordEntries(raw)
	for ; err == nil && n > 0; n-- {
		_, used := binary.Uvarint(rest)
		if used <= 0 {
			return nil, errNightRecord
		}
		rest = rest[used:]
	}
	return rest, err
}

// recordEntries returns a stored record from its first sequence number on, and
// how many there are.
func recordEntries(raw []byte) ([]byte, uint64, error) {
	if len(raw) < 3 || len(raw) < 3+int(raw[1]) {
		return nil, 0, errNightRecord
	}
	rest := raw[2+int(raw[1]):]
	n, used := binary.Uvarint(rest)
	if used <= 0 || n > uint64(len(rest)) {
		return nil, 0, errNightRecord
	}
	return rest[used:], n, nil
}

// readNight reads a stored record; its signs share the bytes.
func readNight(raw []byte) (r nightRecord, err error) {
	rest, n, err := recordEntries(raw)
	if err != nil {
		return r, err
	}
	r.supply, r.family = raw[0]&hasSupply != 0, care.FamilyID(raw[2:2+int(raw[1])])
	r.seqs = make([]uint64, 0, n+4)
	last := uint64(0)
	for range n {
		d, used := binary.Uvarint(rest)
		if used <= 0 {
			return r, errNightRecord
		}
		last += d
		r.seqs, rest = append(r.seqs, last), rest[used:]
	}
	r.signs = rest
	return r, nil
}

// nightRecord returns the record of a night; an empty one when there is none.
func (tx *Tx) nightRecord(k []byte) (nightRecord, error) {
	raw := tx.p.Get("nights", k)
	if raw == nil {
		return nightRecord{}, nil
	}
	return readNight(raw)
}

// added is what appends in this transaction added to a night.
type added struct {
	family care.FamilyID
	seqs   []uint64
}

// markDirty notes that a night must be worked out again, and reports whether that
// is new.
func (tx *Tx) markDirty(id nightID) (*added, bool) {
	if n := tx.dirty[id]; n != nil {
		return n, false
	}
	if tx.dirty == nil {
		tx.dirty = map[nightID]*added{}
	}
	n := &added{}
	tx.dirty[id] = n
	return n, true
}

// Flush works out again what appends have changed. Every transaction ends with
// it, and every read of a night begins with it, so that a batch folds each of
// its nights once.
func (tx *Tx) Flush() error {
	for id, n := range tx.dirty {
		if err := tx.refold(id, n); err != nil {
			return err
		}
	}
	tx.dirty, tx.head.fresh = nil, nil
	return tx.putHead()
}

func (tx *Tx) refold(id nightID, added *added) error {
	k := id.key()
	rec, err := tx.nightRecord(k)
	if err != nil {
		rec = tx.rebuilt(cmp.Or(added.family, tx.familyOf(id.wearer)), id)
	}
	tx.keepBaseline(id, rec.signs)
	if len(added.seqs) > 0 {
		if len(rec.seqs) > 0 && rec.family != added.family {
			return fmt.Errorf("store: the night %s of %s stands in the logs of two families", id.date, id.wearer)
		}
		rec.family, rec.seqs = added.family, append(rec.seqs, added.seqs...)
		slices.Sort(rec.seqs)
		rec.seqs = slices.Compact(rec.seqs)
	}
	if len(rec.seqs) == 0 {
		return nil // tied to an entry that is not about this night
	}
	if err := tx.keepSigns(id, &rec); err != nil {
		return err
	}
	return tx.p.Put("nights", k, rec.bytes())
}

// keepBaseline keeps night signs that are about to change. One written under another
// version of the rules is forgotten: then what holds now counts as new, and is
// told.
func (tx *Tx) keepBaseline(id nightID, signs []byte) {
	if _, known := tx.baseline[id]; known {
		return
	}
	if tx.baseline == nil {
		tx.baseline = map[nightID][]byte{}
	}
	if _, err := care.ReadNightSigns(id.date, signs); err != nil {
		signs = nil
	}
	tx.baseline[id] = slices.Clone(signs)
}

// keepSigns works out what the record keeps of the night.
func (tx *Tx) keepSigns(id nightID, rec *nightRecord) error {
	set, err := tx.nightEntries(rec)
	if err != nil {
		return err
	}
	live := care.Live(id.wearer, id.date, set)
	rec.supply = slices.ContainsFunc(live, func(e *care.Entry) bool { return e.Kind == care.Supply })
	rec.signs = nil
	if len(live) > 0 {
		b := care.NightSignsOf(id.date, live)
		rec.signs = b.Bytes()
	}
	return nil
}

// unlistNight takes an entry out of its night's record, for a log that is about to
// be numbered anew.
func (tx *Tx) unlistNight(e *care.Entry) error {
	k := nightID{e.Wearer, e.Night}.key()
	rec, err := tx.nightRecord(k)
	if err != nil {
		return err
	}
	rec.seqs = slices.DeleteFunc(rec.seqs, func(seq uint64) bool { return seq == e.FSeq })
	if len(rec.seqs) == 0 {
		return tx.p.Delete("nights", k)
	}
	return tx.p.Put("nights", k, rec.bytes())
}

// entriesOf adds the entries of a record to a list.
func (tx *Tx) entriesOf(rec *nightRecord, list []*care.Entry) ([]*care.Entry, error) {
	for _, seq := range rec.seqs {
		e, err := tx.entryAt(rec.family, seq)
		if err != nil {
			continue // set aside
		}
		list = append(list, e)
	}
	return list, nil
}

// nightEntries returns the entries of a record and those tied to them, which a
// fold of the night needs.
func (tx *Tx) nightEntries(rec *nightRecord) ([]*care.Entry, error) {
	own, err := tx.entriesOf(rec, make([]*care.Entry, 0, len(rec.seqs)))
	if err != nil {
		return nil, err
	}
	return tx.related(rec.family, own)
}

func (tx *Tx) foldNight(id nightID, rec *nightRecord) (care.Night, error) {
	none := care.Night{Wearer: id.wearer, Date: id.date}
	set, err := tx.nightEntries(rec)
	if err != nil {
		return none, err
	}
	for _, n := range care.Fold(set) {
		if n.Wearer == id.wearer && n.Date == id.date {
			return n, nil
		}
	}
	return none, nil
}

// Night returns a folded night; a night without entries has no items.
func (tx *Tx) Night(w care.WearerID, night civil.Date) (care.Night, error) {
	id := nightID{w, night}
	if err := tx.Flush(); err != nil {
		return care.Night{}, err
	}
	rec, err := tx.nightRecord(id.key())
	if err != nil {
		tx.p.Quarantine("nights", id.key(), err)
		rec = tx.rebuilt(tx.familyOf(w), id)
	}
	return tx.foldNight(id, &rec)
}

// records calls f for the stored record of each of a wearer's nights from one
// date to another, both included, in order. The bytes are the engine's.
func (tx *Tx) records(w care.WearerID, from, to civil.Date, f func(date, raw []byte) error) error {
	if err := tx.Flush(); err != nil {
		return err
	}
	type record struct{ k, raw []byte }
	var list []record
	prefix, end := pairs.Key(string(w), ""), string(pairs.Key(string(w), to.String()))
	err := tx.p.Try(func() error {
		for k, raw := range tx.p.Ascend("nights", pairs.Key(string(w), from.String())) {
			if !pairs.HasPrefix(k, prefix) || string(k) > end {
				break
			}
			list = append(list, record{k, raw})
		}
		return nil
	})
	if err != nil {
		list = list[:0]
		for _, id := range tx.nightsAnew(w, from, to) {
			rec := tx.rebuilt(tx.familyOf(w), id)
			if err := tx.keepSigns(id, &rec); err != nil {
				return err
			}
			list = append(list, record{id.key(), rec.bytes()})
		}
	}
	for _, r := range list {
		switch err := f(r.k[len(prefix):], r.raw); {
		case errors.Is(err, errNightRecord), errors.Is(err, errNightKey):
			tx.p.Quarantine("nights", r.k, err)
		case err != nil:
			return err
		}
	}
	return nil
}

// nightsAnew returns a wearer's nights in a range from the log, in order: where the
// records of nights cannot be read.
func (tx *Tx) nightsAnew(w care.WearerID, from, to civil.Date) (out []nightID) {
	family := tx.familyOf(w)
	for seq, raw := range tx.logFrom(family, 0) {
		if e, err := tx.readEntry(family, seq, raw); err == nil && e.Wearer == w && !e.Night.Before(from) && !e.Night.After(to) {
			out = append(out, nightID{w, e.Night})
		}
	}
	slices.SortFunc(out, func(a, b nightID) int { return a.date.Compare(b.date) })
	return slices.Compact(out)
}

// Nights returns the folded nights from one date to another, both included,
// in order; nights without entries are left out.
func (tx *Tx) Nights(w care.WearerID, from, to civil.Date) ([]care.Night, error) {
	return tx.foldNights(w, from, to, func([]byte) bool { return true })
}

// SupplyNights is [Tx.Nights] of those nights that hold a supply entry. It
// reads the entries of no others, which is what makes a look at every wearer of
// a practice affordable.
func (tx *Tx) SupplyNights(w care.WearerID, from, to civil.Date) ([]care.Night, error) {
	return tx.foldNights(w, from, to, func(raw []byte) bool { return len(raw) > 0 && raw[0]&hasSupply != 0 })
}

// foldNights folds the nights of a range that are wanted, all at once.
func (tx *Tx) foldNights(w care.WearerID, from, to civil.Date, want func(raw []byte) bool) ([]care.Night, error) {
	var own []*care.Entry
	var family care.FamilyID
	wanted := map[civil.Date]bool{}
	err := tx.records(w, from, to, func(date, raw []byte) error {
		if !want(raw) {
			return nil
		}
		rec, err := readNight(raw)
		if err != nil {
			return err
		}
		d, err := civil.ParseDate(string(date))
		if err != nil {
			return errNightKey
		}
		wanted[d], family = true, rec.family
		own, err = tx.entriesOf(&rec, own)
		return err
	})
	if err != nil {
		return nil, err
	}
	set, err := tx.related(family, own)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(care.Fold(set), func(n care.Night) bool { return n.Wearer != w || !wanted[n.Date] }), nil
}

// NightSigns returns what the rules may look at in the nights from one date to
// another, both included, in order; nights without entries are left out.
func (tx *Tx) NightSigns(w care.WearerID, from, to civil.Date) ([]care.NightSigns, error) {
	return tx.nightSigns(w, from, to, nil)
}

// BaselineSigns is [Tx.NightSigns] as they were at the last [Tx.SetBaseline].
func (tx *Tx) BaselineSigns(w care.WearerID, from, to civil.Date) ([]care.NightSigns, error) {
	return tx.nightSigns(w, from, to, tx.baseline)
}

// SetBaseline makes the nights as they are now those of [Tx.BaselineSigns].
func (tx *Tx) SetBaseline() error {
	err := tx.Flush()
	tx.baseline = nil
	return err
}

func (tx *Tx) nightSigns(w care.WearerID, from, to civil.Date, was map[nightID][]byte) ([]care.NightSigns, error) {
	out := make([]care.NightSigns, 0, max(0, min(to.DaysSince(from)+1, 64)))
	err := tx.records(w, from, to, func(day, raw []byte) error {
		date, err := civil.ParseDate(string(day))
		if err != nil {
			return errNightKey
		}
		stored, err := signsPart(raw)
		if err != nil {
			return err
		}
		if old, changed := was[nightID{w, date}]; changed {
			stored = old
		}
		if len(stored) == 0 {
			return nil
		}
		b, err := care.ReadNightSigns(date, stored)
		if err != nil { // written by another version of the rules
			if b, err = tx.signsAnew(nightID{w, date}, raw); err != nil {
				return err
			}
		}
		out = append(out, b)
		return nil
	})
	return out, err
}

// signsAnew works out night signs whose stored form another version wrote.
func (tx *Tx) signsAnew(id nightID, raw []byte) (care.NightSigns, error) {
	rec, err := readNight(raw)
	if err != nil {
		return care.NightSigns{}, err
	}
	set, err := tx.nightEntries(&rec)
	if err != nil {
		return care.NightSigns{}, err
	}
	return care.NightSignsOf(id.date, care.Live(id.wearer, id.date, set)), nil
}

// NightBytes reads the entries of a family from one sequence number to another
// and returns their size in bytes: the least a program must do that looks at
// their nights, for benchmarks.
func (tx *Tx) NightBytes(f care.FamilyID, from, to uint64) int {
	size := 0
	var copied []byte
	for seq, raw := range tx.logFrom(f, from) {
		if seq > to {
			break
		}
		copied = append(copied[:0], raw...)
		size += len(copied)
	}
	return size
}
