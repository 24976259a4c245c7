package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Repaired says what a repair came to.
type Repaired struct {
	Pairs  int              // read whole
	Loose  int              // of those, found in pages to which nothing led
	Lost   []error          // what could not be read, by bucket
	Left   []error          // what a check of the new file still finds
	Staff  int              // members of staff that are left
	People int              // people of families that are left
	Shut   register.ShutOut // who cannot get in, where parts were lost
}

// Repair reads what can be read of a damaged data file into a new one, works out
// again every list and index, and says what could not be read. The damaged file is
// not touched, and nothing is overwritten. The new file begins a new epoch, so
// that phones offer again what was lost and they still have.
func Repair(from, to string, now time.Time) (out Repaired, err error) {
	tmp := to + ".part"
	for _, path := range []string{to, tmp} {
		if !durable.Missing(path) {
			return out, care.Errorf(care.Conflict, "file-exists",
				"there is already a file %s; a repair never overwrites", path)
		}
	}
	if durable.Missing(from) {
		return out, care.Errorf(care.NotFound, "no-file", "there is no file %s", from)
	}
	defer os.Remove(tmp)
	b, err := bolt.Open(tmp, bolt.Options{Ordered: ordered})
	if err != nil {
		return out, err
	}
	b.NoSync(true)
	err = out.salvage(from, b)
	if err == nil {
		err = errors.Join(rebuild(b, now), out.note(b, now))
	}
	b.NoSync(false)
	if err := errors.Join(err, b.Close()); err != nil {
		return out, err
	}
	if out.Left, err = CheckFile(tmp); err != nil {
		return out, err
	}
	if err := flush(tmp); err != nil {
		return out, err
	}
	return out, durable.Rename(tmp, to)
}

// note counts who is left, and writes into the new file that parts were lost, so that
// nobody forgets it.
func (out *Repaired) note(b *bolt.DB, now time.Time) error {
	return b.Update(kv.Alone, func(k kv.Tx) error {
		tx := bare(k, now.UTC().Truncate(time.Millisecond), false)
		staff, err := tx.register.Staff()
		out.Staff = len(staff)
		families, errF := tx.register.Families()
		for _, f := range families {
			people, err := tx.register.People(f.ID)
			out.People, errF = out.People+len(people), errors.Join(errF, err)
		}
		if len(out.Lost) > 0 {
			var errShut error
			out.Shut, errShut = tx.access.ShutOut()
			err = errors.Join(err, errShut, tx.register.SetSetting(LacksSetting, Lacks{At: tx.Now, Unknown: true, Blind: true, Shut: out.Shut}),
				tx.audit.Append("", "repaired the data file, parts are lost", fmt.Sprint(len(out.Lost))), tx.pairs.PutDigests())
		}
		return errors.Join(err, errF)
	})
}

// salvage copies every pair that can be read and fits its content sum: first what
// the tree leads to, then what stands in pages to which nothing leads any more.
func (out *Repaired) salvage(from string, to *bolt.DB) error {
	old, err := bolt.Open(from, bolt.Options{ReadOnly: true})
	switch {
	case errors.Is(err, kv.ErrBusy):
		return busy(from, err)
	case err != nil:
		out.lose("(the file)", "it cannot be opened, so only its pages are read: %v", err)
	default:
		err := out.tree(old, to)
		if err := errors.Join(err, old.Close()); err != nil {
			return err
		}
	}
	if err := out.loose(from, to); err != nil {
		return err
	}
	if out.Pairs == 0 {
		return care.Errorf(care.Unavailable, "nothing-to-repair", "nothing in %s can be read; restore a backup", from)
	}
	return nil
}

func (out *Repaired) lose(bucket, format string, args ...any) {
	out.Lost = append(out.Lost, fmt.Errorf(bucket+": "+format, args...))
}

// tree copies what the tree of the file leads to.
func (out *Repaired) tree(old, to *bolt.DB) error {
	if err := old.WellFormed(); err != nil {
		out.Lost = append(out.Lost, err)
	}
	for _, known := range pairs.Buckets {
		err := to.Update(kv.Alone, func(k kv.Tx) error {
			return old.View(func(from kv.Tx) error { return out.bucket(from, k, known.Name) })
		})
		if errors.Is(err, kv.ErrDamaged) {
			out.lose(known.Name, "%v", err)
		} else if err != nil {
			return err
		}
	}
	return nil
}

// bucket copies one bucket, around what is damaged.
func (out *Repaired) bucket(from, to kv.Tx, name string) error {
	text := func(k []byte, none string) string {
		if k == nil {
			return none
		}
		return pairs.KeyText(name, k)
	}
	walk := kv.Around(from, name, func(after, before []byte, _ error) {
		out.lose(name, "what stands between %s and %s cannot be reached", text(after, "the beginning"), text(before, "the end"))
	})
	for k, v := range walk {
		switch layout := name == "meta" && string(k) == pairs.LayoutKey; {
		case !layout && !pairs.Fits(name, k, v):
			out.lose(name, "%s does not fit its checksum", pairs.KeyText(name, k))
			continue
		case anew(name):
			continue
		}
		if err := to.Put(name, bytes.Clone(k), bytes.Clone(v)); err != nil {
			return err
		}
		out.Pairs++
	}
	return nil
}

// anew reports whether a bucket is worked out anew in any case.
func anew(bucket string) bool {
	return bucket == pairs.DigestBucket || bucket == pairs.QuarantineBucket
}

// rebuild works out again what is worked out from other records.
func rebuild(b *bolt.DB, now time.Time) error {
	step := func(f func(tx *Tx) error) error {
		return b.Update(kv.Alone, func(k kv.Tx) error {
			tx := bare(k, now.UTC().Truncate(time.Millisecond), false)
			return errors.Join(f(tx), tx.log.Flush())
		})
	}
	var families []care.FamilyID
	heard := func(care.FamilyID) error { return nil }
	err := step(func(tx *Tx) error {
		if err := tx.archive.DropErased(); err != nil {
			return err
		}
		families = tx.log.Families()
		tops, err := tx.log.DropIndices()
		heard = func(f care.FamilyID) error {
			return step(func(tx *Tx) error { return tx.log.Rebuild(f, tops[f]) })
		}
		return err
	})
	for _, f := range families {
		err = cmp.Or(err, heard(f))
	}
	return cmp.Or(err, step(func(tx *Tx) error {
		var planned []care.WearerID
		err := tx.register.AllWearers(func(w care.Wearer) bool {
			if _, err := tx.chart.Plan(w.ID); err == nil {
				planned = append(planned, w.ID)
			}
			return true
		})
		return errors.Join(err, tx.audit.BeginAnew(), tx.register.Reindex(), tx.duty.Reindex(planned), tx.log.NewEpoch(),
			putLayout(tx.kv, Layout))
	}), b.Update(kv.Alone, func(k kv.Tx) error { return bare(k, now, false).pairs.CountDigests() }))
}
