package log

import (
	"encoding/binary"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// IndexReferences brings layout 3: references of entries are kept by family, so that a
// batch touches one page instead of one for each entry; staff's devices have an
// index. What it once kept of nights comes with layout 4, of ids with layout 5.
func (tx *Tx) IndexReferences() error {
	if err := tx.p.Drop("refs"); err != nil {
		return err
	}
	err := tx.p.Each("entries", func(k, v []byte) error {
		e, err := tx.readEntry(care.FamilyID(k[:len(k)-9]), pairs.NumberOf(k), v)
		if err != nil {
			return nil // stays in its place, and is named by a check
		}
		return tx.indexRefs(care.FamilyID(k[:len(k)-9]), &e)
	})
	if err != nil {
		return err
	}
	return tx.register.IndexStaffDevices()
}

// IndexNights brings layout 4: one small record of each night instead of the
// folded night, an index of its entries and what the rules look at.
func (tx *Tx) IndexNights() error {
	if err := tx.p.Drop("night_entries", "nights", "briefs"); err != nil {
		return err
	}
	return tx.EachEntry(func(family care.FamilyID, e *care.Entry) error {
		tx.listNight(family, e)
		return tx.indexID(family, e) // by which a night's entries find each other
	})
}

// JoinHeads brings layout 5: the ids of a family's entries and the watermarks of
// its devices stand together, so that a push writes one page for them and not
// two. Night signs are worked out again, because their closing times are in another
// order. A watermark of a device that there is none of is left out: nothing comes
// from it any more.
func (tx *Tx) JoinHeads() error {
	err := tx.EachEntry(func(family care.FamilyID, e *care.Entry) error {
		tx.markDirty(nightID{e.Wearer, e.Night})
		return tx.indexID(family, e)
	})
	if err != nil {
		return err
	}
	err = tx.p.Each("device_marks", func(device, top []byte) error {
		d, err := tx.register.Device(care.DeviceID(device))
		if err != nil || d.Family == "" {
			return nil
		}
		return tx.setWatermark(d.Family, d.ID, binary.BigEndian.Uint64(top))
	})
	if err != nil {
		return err
	}
	if err := tx.Flush(); err != nil {
		return err
	}
	return tx.p.Drop("entry_ids", "device_marks")
}
