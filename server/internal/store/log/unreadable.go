package log

import (
	"encoding/hex"
	"encoding/json"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// unreadablePlace is what sync sends in the place of an entry that cannot be
// read: its id and number, so that cursor and checksum hold.
func (tx *Tx) unreadablePlace(family care.FamilyID, seq uint64, raw []byte) json.RawMessage {
	place := struct {
		ID         string `json:"id"`
		FSeq       uint64 `json:"fseq"`
		Unreadable bool   `json:"unreadable"`
	}{tx.idText(family, seq, raw), seq, true}
	out, err := json.Marshal(place)
	if err != nil {
		panic(err) // text and numbers always marshal
	}
	return out
}

// idText returns the id of an entry without reading it: that kept beside the
// log, else what the entry seems to say.
func (tx *Tx) idText(family care.FamilyID, seq uint64, raw []byte) string {
	if id := tx.idAt(family, seq); id != (rawID{}) {
		return id.String()
	}
	var said struct {
		ID string `json:"id"`
	}
	if len(raw) > checksumBytes {
		_ = json.Unmarshal(raw[checksumBytes:], &said) // which may leave it empty
	}
	return said.ID
}

// readEntry reads the entry that is stored with a number in the log of a family;
// one that cannot be read is set aside.
func (tx *Tx) readEntry(family care.FamilyID, seq uint64, raw []byte) (care.Entry, error) {
	tx.p.Reads++
	if len(raw) < checksumBytes {
		tx.p.Quarantine("entries", pairs.Key(string(family), seq), errNoEntry)
		return care.Entry{}, errNoEntry
	}
	e, err := care.ParseEntry(raw[checksumBytes:])
	if err == nil && e.FSeq != seq {
		err = errOtherNumber
	}
	if err != nil {
		tx.p.Quarantine("entries", pairs.Key(string(family), seq), err)
	}
	return e, err
}

// mend writes an entry that cannot be read anew, from what a device has sent of
// it under the same id: it had it whole.
func (tx *Tx) mend(family care.FamilyID, e *care.Entry, seq uint64, stored []byte) error {
	sum, err := hex.DecodeString(tx.sumAt(family, seq, stored))
	if err != nil {
		return err
	}
	e.FSeq, e.Recv = seq, tx.p.Now
	value := e.AppendJSON(sum)
	if err := e.ReadBack(value[checksumBytes:]); err != nil {
		return err
	}
	k := pairs.Key(string(family), seq)
	if err := tx.own(tx.p.Put("entries", k, value)); err != nil {
		return err
	}
	if err := tx.advanceWatermark(family, e.Device, e.DSeq, string(e.ID)); err != nil {
		return err
	}
	if err := tx.indexRefs(family, e); err != nil {
		return err
	}
	tx.listNight(family, e)
	if err := tx.ListWear(family, e); err != nil {
		return err
	}
	return tx.markAffected(family, e)
}

// rebuilt works a night's record out again from the log, when the record cannot
// be read.
func (tx *Tx) rebuilt(family care.FamilyID, id nightID) nightRecord {
	rec := nightRecord{family: family}
	for seq, raw := range tx.logFrom(family, 0) {
		if e, err := tx.readEntry(family, seq, raw); err == nil && e.Wearer == id.wearer && e.Night == id.date {
			rec.seqs = append(rec.seqs, seq)
		}
	}
	return rec
}

// familyOf returns the family of a wearer, empty when nobody knows.
func (tx *Tx) familyOf(w care.WearerID) care.FamilyID {
	return tx.register.FamilyOf(w)
}
