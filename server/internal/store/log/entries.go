package log

import (
	"bytes"
	"errors"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

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
	if err := tx.openHead(family); err != nil {
		return 0, err
	}
	if seq := tx.find(family, e.ID); seq > 0 {
		raw := tx.logged(family, seq)
		if _, err := tx.readEntry(family, seq, raw); err != nil {
			return Added, tx.mend(family, e, seq, raw)
		}
		same, err := same(e, raw)
		if err != nil {
			return Duplicate, err
		}
		if same {
			return Duplicate, tx.resent(family, e, seq, raw)
		}
		return Taken, tx.putConflictEntry(e)
	}
	e.FSeq, e.Recv = tx.head.last+1, tx.p.Now
	if err := tx.putEntry(family, e, NextChecksum(tx.head.sum, e.ID)); err != nil {
		return 0, err
	}
	if err := tx.advanceWatermark(family, e.Device, e.DSeq, string(e.ID)); err != nil {
		return 0, err
	}
	return Added, tx.markAffected(family, e)
}

// resent notes that the device which wrote an entry has sent it again: its
// counter, and that an entry handed in by another device is now its own word.
func (tx *Tx) resent(family care.FamilyID, e *care.Entry, seq uint64, stored []byte) error {
	if e.Via != "" {
		return nil
	}
	if err := tx.advanceWatermark(family, e.Device, e.DSeq, string(e.ID)); err != nil || !handedIn(stored) {
		return err
	}
	have, err := care.ParseEntry(stored[checksumBytes:])
	if err != nil || have.Device != e.Device {
		return err
	}
	have.Via = ""
	tx.head.fresh = nil // may hold it as it was
	return tx.own(tx.p.Put("entries", pairs.Key(string(family), seq), have.AppendJSON(slices.Clone(stored[:checksumBytes]))))
}

// handedIn reports whether a stored entry may have been handed in by another
// device than its own.
func handedIn(stored []byte) bool { return bytes.Contains(stored, []byte(`,"via":"`)) }

// Sent is an entry with the bytes it came in.
type Sent struct {
	Entry *care.Entry
	Raw   []byte
}

// AlreadyStored reports whether entries are all stored in the family's log with the
// same content, so that there is nothing to do. It is false for an id that is
// stored with other content, and for one that another device handed in.
func (tx *Tx) AlreadyStored(family care.FamilyID, list []Sent) (bool, error) {
	for len(list) > 0 {
		seq := tx.find(family, list[0].Entry.ID)
		if seq == 0 {
			return false, nil
		}
		known := 0
		for _, stored := range tx.logFrom(family, seq) { // what came together mostly stands together
			if known == len(list) || known > 0 && !asSent(stored, list[known].Raw) {
				break
			}
			if !asSent(stored, list[known].Raw) {
				if same, err := same(list[known].Entry, stored); err != nil || !same || handedIn(stored) {
					return false, nil // one that cannot be read is mended when it is appended
				}
			}
			known++
		}
		if known == 0 {
			return false, errNoEntry
		}
		list = list[known:]
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
	return same && bytes.HasPrefix(rest, []byte(`,"fseq":`)) && !handedIn(rest)
}

// same reports whether e says what is stored.
func same(e *care.Entry, stored []byte) (bool, error) {
	if len(stored) < checksumBytes {
		return false, errNoEntry
	}
	sent := *e
	sent.Forget()
	as := sent.AppendJSON(make([]byte, 0, 512))
	if rest, ok := bytes.CutPrefix(stored[checksumBytes:], as[:len(as)-1]); ok && bytes.HasPrefix(rest, []byte(`,"fseq":`)) {
		return true, nil
	}
	have, err := care.ParseEntry(stored[checksumBytes:])
	return err == nil && e.SameContent(&have), err
}

func (tx *Tx) putConflictEntry(e *care.Entry) error { return tx.putConflict(e.ID, e.AppendJSON(nil)) }

// putConflict keeps an entry whose id is taken. Each one that says something of its
// own is kept, also when several come in one instant.
func (tx *Tx) putConflict(id care.EntryID, raw []byte) error {
	for at := tx.p.Now; ; at = at.Add(time.Millisecond) {
		k := pairs.Key(string(id), at)
		switch have := tx.p.Get("conflicts", k); {
		case have == nil:
			return tx.p.Put("conflicts", k, raw)
		case bytes.Equal(have, raw):
			return nil
		}
	}
}

func (tx *Tx) putEntry(family care.FamilyID, e *care.Entry, sum string) error {
	if err := tx.writeLog(family, e, sum); err != nil {
		return err
	}
	if err := tx.indexEntry(family, e); err != nil {
		return err
	}
	tx.listNight(family, e)
	if err := tx.ListWords(family, e); err != nil {
		return err
	}
	return tx.ListWear(family, e)
}

// listNight notes that an entry is about its night.
func (tx *Tx) listNight(family care.FamilyID, e *care.Entry) {
	n, _ := tx.markDirty(nightID{e.Wearer, e.Night})
	n.family, n.seqs = family, append(n.seqs, e.FSeq)
}

// dropEntry undoes putEntry, for a log that is about to be numbered anew.
func (tx *Tx) dropEntry(family care.FamilyID, e *care.Entry) error {
	if err := tx.p.Delete("entries", pairs.Key(string(family), e.FSeq)); err != nil {
		return err
	}
	if err := tx.dropID(family, e.FSeq); err != nil {
		return err
	}
	if err := tx.unlistNight(e); err != nil {
		return err
	}
	if err := errors.Join(tx.unlistWear(e), tx.unlistWords(e)); err != nil {
		return err
	}
	for _, target := range targets(e) {
		if err := refs.Drop(tx.p, refOwner(family, target), string(e.ID)); err != nil {
			return err
		}
	}
	return nil
}

// indexEntry notes an entry's id and what it refers to.
func (tx *Tx) indexEntry(family care.FamilyID, e *care.Entry) error {
	if err := tx.indexID(family, e); err != nil {
		return err
	}
	return tx.indexRefs(family, e)
}

// indexRefs notes what an entry refers to.
func (tx *Tx) indexRefs(family care.FamilyID, e *care.Entry) error {
	for _, target := range targets(e) {
		if err := refs.Put(tx.p, refOwner(family, target), string(e.ID)); err != nil {
			return err
		}
	}
	return nil
}

// refOwner is what the references to an entry are kept under.
func refOwner(family care.FamilyID, target care.EntryID) string {
	return string(family) + string(rune(pairs.Sep)) + string(target)
}

func targets(e *care.Entry) []care.EntryID {
	out := slices.Clone(e.Supersedes)
	if e.Retracts != "" {
		out = append(out, e.Retracts)
	}
	return out
}

// KeepHeld keeps an entry of a later schema raw; it counts for the device's
// watermark, because it is safe here. Another one of the same id is kept too.
func (tx *Tx) KeepHeld(family care.FamilyID, e *care.Entry, raw []byte) error {
	k := pairs.Key(string(family), string(e.ID))
	if have := tx.p.Get(held.Name, k); have == nil {
		if err := held.Put(tx.p, k, raw); err != nil {
			return err
		}
	} else if !bytes.Equal(have, raw) {
		if err := tx.putConflict(e.ID, raw); err != nil {
			return err
		}
	}
	return tx.advanceWatermark(family, e.Device, e.DSeq, string(e.ID))
}

// Refused records that a device's counter value was answered with a refusal,
// so that one bad entry does not stop the watermark.
func (tx *Tx) Refused(family care.FamilyID, device care.DeviceID, dseq uint64) error {
	return tx.advanceWatermark(family, device, dseq, "refused")
}

// Entry returns one entry of a family by id, or a not-found error.
func (tx *Tx) Entry(family care.FamilyID, id care.EntryID) (care.Entry, error) {
	seq := tx.find(family, id)
	if seq == 0 {
		return care.Entry{}, care.Errorf(care.NotFound, "not-found", "there is no such entry")
	}
	e, err := tx.entryAt(family, seq)
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
	var have map[care.EntryID]bool // made when first asked: mostly nothing is tied
	known := func(id care.EntryID) bool {
		if have == nil {
			have = make(map[care.EntryID]bool, len(out))
			for _, e := range out {
				have[e.ID] = true
			}
		}
		before := have[id]
		have[id] = true
		return before
	}
	for i := 0; i < len(out); i++ { // out grows
		next := targets(out[i])
		if tied {
			for _, id := range refs.Members(tx.p, refOwner(family, out[i].ID)) {
				next = append(next, care.EntryID(id))
			}
		}
		for _, id := range next {
			seq := tx.find(family, id)
			if seq == 0 || known(id) {
				continue
			}
			t, err := tx.entryAt(family, seq)
			if err != nil {
				continue // set aside
			}
			out = append(out, t)
		}
	}
	return out, nil
}

// tied reports whether any entry of a family's log refers to another. Mostly
// none does, and then nobody need ask entry by entry.
func (tx *Tx) tied(family care.FamilyID) bool {
	if writes := tx.p.Writes(string(refs)); tx.ties.family != family || tx.ties.writes != writes {
		tx.ties = ties{family, writes, tx.p.Any(string(refs), pairs.Key(string(family), ""))}
	}
	return tx.ties.any
}

// markAffected notes every night that e can change, and that its wearer is to be
// looked at again.
func (tx *Tx) markAffected(family care.FamilyID, e *care.Entry) error {
	tied, err := tx.related(family, []*care.Entry{e})
	if err != nil {
		return err
	}
	for _, t := range tied {
		tx.markDirty(nightID{t.Wearer, t.Night})
		if err := tx.duty.MarkChanged(t.Wearer); err != nil {
			return err
		}
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
			e, err := tx.entryAt(rec.family, seq)
			if err != nil {
				continue // set aside
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

// NightEntries calls f for the entries of each of a wearer's nights, as they were
// received, until it returns true: then those of the next night follow.
func (tx *Tx) NightEntries(w care.WearerID, from, to civil.Date, f func(care.Entry) bool) error {
	return tx.records(w, from, to, func(_, raw []byte) error {
		rec, err := readNight(raw)
		if err != nil {
			return err
		}
		for _, seq := range rec.seqs {
			if e, err := tx.entryAt(rec.family, seq); err == nil && f(*e) { // else set aside
				break
			}
		}
		return nil
	})
}

// errEnough ends a walk.
var errEnough = errors.New("store: enough")

// LastReceived returns the latest receipt among the newest entries of a
// wearer's nights in a range; zero when there is none. It looks at the last 30
// entries by night, because late entries are about recent nights. A pause or a
// snooze of reminders is not word of how a wearer is, and does not count.
func (tx *Tx) LastReceived(w care.WearerID, from, to civil.Date) (time.Time, error) {
	var last time.Time
	if err := tx.Flush(); err != nil {
		return last, err
	}
	start := pairs.Key(string(w), from.String())
	n := 0
	for k, raw := range tx.p.Descend("nights", pairs.Key(string(w), to.AddDays(1).String())) {
		if n >= 30 || string(k) < string(start) || !pairs.HasPrefix(k, pairs.Key(string(w), "")) {
			break
		}
		rec, err := readNight(raw)
		if err != nil {
			tx.p.Quarantine("nights", k, err)
			continue
		}
		for i := len(rec.seqs) - 1; i >= 0 && n < 30; i-- {
			e, err := tx.entryAt(rec.family, rec.seqs[i])
			if err != nil {
				continue // set aside
			}
			if !e.Kind.AboutWearer() {
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

const refs = pairs.Index("refs")
