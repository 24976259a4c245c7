package store

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/pairs"
)

// Repaired says what a repair came to.
type Repaired struct {
	Pairs int     // read whole
	Lost  []error // what could not be read, by bucket
	Left  []error // what a check of the new file still finds
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
	old, err := bolt.Open(from, bolt.Options{ReadOnly: true})
	if errors.Is(err, kv.ErrBusy) {
		return out, busy(from, err)
	}
	if err != nil {
		return out, fmt.Errorf("store: %s cannot be opened even to be repaired; restore a backup: %w", from, err)
	}
	defer old.Close()
	defer os.Remove(tmp)
	b, err := bolt.Open(tmp, bolt.Options{Ordered: ordered})
	if err != nil {
		return out, err
	}
	b.NoSync(true)
	err = out.salvage(old, b)
	if err == nil {
		err = rebuild(b, now)
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

// salvage copies every pair that can be read and fits its content sum.
func (out *Repaired) salvage(old, to *bolt.DB) error {
	lose := func(bucket, format string, args ...any) {
		out.Lost = append(out.Lost, fmt.Errorf(bucket+": "+format, args...))
	}
	if err := old.WellFormed(); err != nil {
		out.Lost = append(out.Lost, err)
	}
	for _, known := range pairs.Buckets {
		s := salvager{db: old, bucket: known.Name}
		s.run(func(what string) { lose(known.Name, "%s", what) })
		err := to.Update(kv.Alone, func(k kv.Tx) error {
			for _, p := range s.found {
				layout := known.Name == "meta" && string(p.Key) == pairs.LayoutKey
				if !layout && !pairs.Fits(known.Name, p.Key, p.Value) {
					lose(known.Name, "%s does not fit its checksum", pairs.KeyText(known.Name, p.Key))
					continue
				}
				if known.Name == pairs.DigestBucket {
					continue // counted anew
				}
				if err := k.Put(known.Name, p.Key, p.Value); err != nil {
					return err
				}
				out.Pairs++
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	if out.Pairs == 0 {
		return care.Errorf(care.Unavailable, "nothing-to-repair",
			"nothing in %s can be read; restore a backup", old.Path())
	}
	return nil
}

// salvager reads what can be read of one bucket: on from the beginning, and where
// a page is damaged, from the nearest key behind it that can be reached, forwards
// and back.
type salvager struct {
	db     *bolt.DB
	bucket string
	found  []kv.Pair
}

func (s *salvager) run(lost func(string)) {
	last, whole := s.read(nil, nil, false)
	for !whole {
		behind := s.behind(last)
		if behind == nil {
			lost("nothing after " + s.text(last) + " can be read")
			break
		}
		// What stands between the damage and the key behind it, read back.
		first, _ := s.read(behind, last, true)
		if first == nil {
			first = behind
		}
		lost("what stands between " + s.text(last) + " and " + s.text(first) + " cannot be read")
		last, whole = s.read(nil, behind, false)
	}
	slices.SortFunc(s.found, func(a, b kv.Pair) int { return bytes.Compare(a.Key, b.Key) })
	s.found = slices.CompactFunc(s.found, func(a, b kv.Pair) bool { return bytes.Equal(a.Key, b.Key) })
}

func (s *salvager) text(k []byte) string {
	if k == nil {
		return "the beginning"
	}
	return pairs.KeyText(s.bucket, k)
}

// read takes pairs until the end or a damage: on from a key, or back from below
// one to another. It returns the last key it read, and whether it came to the end.
func (s *salvager) read(below, from []byte, back bool) (last []byte, whole bool) {
	last = from
	if back {
		last = nil
	}
	err := s.db.View(func(k kv.Tx) error {
		walk := k.Ascend(s.bucket, from)
		if back {
			walk = k.Descend(s.bucket, below)
		}
		for key, v := range walk {
			if back && bytes.Compare(key, from) <= 0 {
				return nil
			}
			last = bytes.Clone(key)
			s.found = append(s.found, kv.Pair{Bucket: s.bucket, Key: last, Value: bytes.Clone(v)})
		}
		return nil
	})
	return last, err == nil
}

// behind returns the nearest key after one that can be reached past a damage; nil
// when none can.
func (s *salvager) behind(last []byte) []byte {
	for n := len(last); n >= 0; n-- {
		for _, next := range after(last, n) {
			var found []byte
			err := s.db.View(func(k kv.Tx) error {
				key, _ := kv.First(k, s.bucket, next)
				found = bytes.Clone(key)
				return nil
			})
			if err == nil && found != nil && bytes.Compare(found, last) > 0 {
				return found
			}
		}
	}
	return nil
}

// after returns keys after one that differ from it first at byte n.
func after(k []byte, n int) (out [][]byte) {
	from := 0
	if n < len(k) {
		from = int(k[n]) + 1
	}
	for b := from; b <= 0xff; b++ {
		out = append(out, append(bytes.Clone(k[:n]), byte(b)))
	}
	return out
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
		return errors.Join(err, tx.register.Reindex(), tx.duty.Reindex(planned), tx.log.NewEpoch(),
			putLayout(tx.kv, Layout))
	}), b.Update(kv.Alone, func(k kv.Tx) error { return bare(k, now, false).pairs.CountDigests() }))
}
