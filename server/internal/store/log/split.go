package log

import "nightkeep/server/internal/care"

// SplitLog parts a log in two, each in the order it had, numbered from 1.
func (tx *Tx) SplitLog(w care.Wearer, from care.FamilyID) error {
	if err := tx.Flush(); err != nil {
		return err
	}
	all, err := tx.WholeLog(from)
	if err != nil {
		return err
	}
	for i := range all {
		if err := tx.dropEntry(from, &all[i]); err != nil {
			return err
		}
	}
	seq, sum := map[care.FamilyID]uint64{}, map[care.FamilyID]string{}
	for i := range all {
		e, family := &all[i], from
		if e.Wearer == w.ID {
			family = w.Family
		}
		seq[family]++
		sum[family] = NextChecksum(sum[family], e.ID)
		e.FSeq = seq[family]
		if err := tx.putEntry(family, e, sum[family]); err != nil {
			return err
		}
	}
	return tx.Flush()
}

// WholeLog returns every entry of a family; one that cannot be read is a
// [care.Conflict] error.
func (tx *Tx) WholeLog(f care.FamilyID) ([]care.Entry, error) {
	var out []care.Entry
	for seq, raw := range tx.logFrom(f, 0) {
		e, err := tx.readEntry(f, seq, raw)
		if err != nil {
			return nil, care.Errorf(care.Conflict, "unreadable-entry", "entry %d of this family's log cannot be read; until it has been mended the log cannot be parted, so that nothing is lost", seq)
		}
		out = append(out, e)
	}
	return out, nil
}
