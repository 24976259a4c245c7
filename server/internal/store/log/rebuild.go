package log

import (
	"slices"

	"nightkeep/server/internal/care"
)

// DropIndices takes out what is worked out from the entries, before [Tx.Rebuild]
// of every family, and returns how far the devices of each had been heard.
func (tx *Tx) DropIndices() (heard map[care.FamilyID][]watermark, err error) {
	heard = map[care.FamilyID][]watermark{}
	for _, f := range tx.Families() {
		if have, err := tx.received(f); err == nil {
			heard[f] = have.watermarks
		}
	}
	return heard, tx.p.Drop("received", "refs", "nights", "wear", "words")
}

// Families returns the families that have a log.
func (tx *Tx) Families() (out []care.FamilyID) {
	for k := range tx.p.Ascend("entries", nil) {
		if len(k) < 9 {
			continue
		}
		if f := care.FamilyID(k[:len(k)-9]); len(out) == 0 || out[len(out)-1] != f {
			out = append(out, f)
		}
	}
	return out
}

// Rebuild numbers the log of a family anew from what of it can be read, and works
// out again what is worked out from it.
func (tx *Tx) Rebuild(family care.FamilyID, heard []watermark) error {
	var all []care.Entry
	var keys [][]byte
	for k := range tx.p.Within("entries", append([]byte(family), 0)) {
		keys = append(keys, slices.Clone(k))
	}
	seen := map[care.EntryID]bool{}
	for seq, raw := range tx.logFrom(family, 0) {
		e, err := tx.readEntry(family, seq, raw)
		if err == nil && !seen[e.ID] && !tx.ofOthers(family, e.Wearer) {
			all, seen[e.ID] = append(all, e), true
		}
	}
	for _, k := range keys {
		if err := tx.p.Delete("entries", k); err != nil {
			return err
		}
	}
	sum := ""
	for i := range all {
		e := &all[i]
		e.FSeq, sum = uint64(i+1), NextChecksum(sum, e.ID)
		if err := tx.putEntry(family, e, sum); err != nil {
			return err
		}
	}
	for _, h := range heard {
		if err := tx.setWatermark(family, h.device, h.top); err != nil {
			return err
		}
	}
	return tx.Flush()
}

// ofOthers reports whether a wearer is of another family, as one who has become a
// family of their own.
func (tx *Tx) ofOthers(family care.FamilyID, w care.WearerID) bool {
	have := tx.familyOf(w)
	return have != "" && have != family
}
