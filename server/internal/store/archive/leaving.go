package archive

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// UndoFor is for how long an erasure in the console can be taken back.
const UndoFor = 24 * time.Hour

// Leaving is a family that was erased in the console and can still be put back.
// All its pairs stand aside, in a bucket that nothing reads: no list, reminder,
// alert, sync, feed or export knows the family meanwhile, and no device or code
// of it opens anything. At Until it is erased for good.
type Leaving struct {
	Family  care.FamilyID `json:"family"`
	Name    string        `json:"name"`
	Wearers []string      `json:"wearers"` // names and codes
	At      time.Time     `json:"at"`
	Until   time.Time     `json:"until"`
	By      care.PersonID `json:"by"`
}

// aside is one pair of a family that is leaving, as it was stored.
type aside struct {
	Bucket string `json:"bucket"`
	Key    []byte `json:"key"`
	Value  []byte `json:"value"`
}

var (
	leaving      = pairs.Table[Leaving]{Name: "leaving"}
	leavingPairs = pairs.Table[aside]{Name: "leaving_pairs"}
)

// SetAside takes a family out of everything, to be put back by [Tx.PutBack] or
// erased for good by [Tx.EraseDue] from until on.
func (tx *Tx) SetAside(id care.FamilyID, by care.PersonID, until time.Time) error {
	f, err := tx.register.Family(id)
	if err != nil {
		return err
	}
	l := Leaving{Family: id, Name: f.Name, Wearers: []string{}, At: tx.p.Now, Until: until, By: by}
	wearers, err := tx.register.Wearers(id)
	if err != nil {
		return err
	}
	for _, w := range wearers {
		l.Wearers = append(l.Wearers, w.Name+" "+w.Code)
	}
	who, err := tx.membersOf(id)
	if err != nil {
		return err
	}
	all, err := tx.pairsOf(who)
	if err != nil {
		return err
	}
	for i, p := range all {
		if err := leavingPairs.Put(tx.p, pairs.Key(string(id), uint64(i)), p); err != nil {
			return err
		}
		if err := tx.p.Delete(p.Bucket, p.Key); err != nil {
			return err
		}
	}
	if err := leaving.Put(tx.p, []byte(id), l); err != nil {
		return err
	}
	return tx.audit.Append(by, "began to erase family", string(id))
}

// Pair is one pair of a family, as it is stored.
type Pair = aside

// Pairs returns every pair of a family.
func (tx *Tx) Pairs(id care.FamilyID) ([]Pair, error) {
	who, err := tx.membersOf(id)
	if err != nil {
		return nil, err
	}
	return tx.pairsOf(who)
}

func (tx *Tx) pairsOf(who *memberIDs) (all []aside, err error) {
	err = tx.owned(who, func(bucket string, _ ownership, k, v []byte) error {
		all = append(all, aside{bucket, slices.Clone(k), slices.Clone(v)})
		return nil
	})
	return all, err
}

// TakeIn stores the pairs of a family that this file does not hold.
func (tx *Tx) TakeIn(all []Pair) error {
	for _, p := range all {
		if err := tx.p.Put(p.Bucket, p.Key, p.Value); err != nil {
			return err
		}
	}
	return nil
}

// OpenAlerts counts the live alerts of a family: while there is one, somebody waits.
func (tx *Tx) OpenAlerts(id care.FamilyID) (n int, err error) {
	for _, w := range tx.register.WearersOf(id) {
		all, err := tx.duty.WearerAlerts(w)
		if err != nil {
			return n, err
		}
		for i := range all {
			if all[i].Live() {
				n++
			}
		}
	}
	return n, nil
}

// PutBack takes an erasure back: every pair is there again as it was.
func (tx *Tx) PutBack(id care.FamilyID, by care.PersonID) error {
	if err := tx.putBack(id); err != nil {
		return err
	}
	return tx.audit.Append(by, "took back erasing family", string(id))
}

func (tx *Tx) putBack(id care.FamilyID) error {
	if _, err := leaving.Get(tx.p, []byte(id)); err != nil {
		return err
	}
	type stored struct {
		at []byte
		aside
	}
	var all []stored
	err := leavingPairs.Scan(tx.p, pairs.Key(string(id), ""), func(k []byte, p aside) bool {
		all = append(all, stored{slices.Clone(k), p})
		return true
	})
	if err != nil {
		return err
	}
	for _, p := range all {
		if err := tx.p.Put(p.Bucket, p.Key, p.Value); err != nil {
			return err
		}
		if err := leavingPairs.Delete(tx.p, p.at); err != nil {
			return err
		}
	}
	return leaving.Delete(tx.p, []byte(id))
}

// EraseDue erases for good every family whose day is over, and returns how many
// there were.
func (tx *Tx) EraseDue() (n int, err error) {
	all, err := tx.Leaving()
	if err != nil {
		return 0, err
	}
	for _, l := range all {
		if tx.p.Now.Before(l.Until) {
			continue
		}
		if _, err := tx.EraseFamily(l.Family, l.By); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// Leaving returns the families that can still be put back, the first to go first.
func (tx *Tx) Leaving() ([]Leaving, error) {
	all, err := leaving.List(tx.p, nil)
	slices.SortStableFunc(all, func(a, b Leaving) int { return cmp.Or(a.Until.Compare(b.Until), cmp.Compare(a.Family, b.Family)) })
	return all, err
}

// LeaveAgain brings a file that was just restored up to what the file it replaces
// said: what was erased for good goes, what was leaving leaves until the same
// time, and what leaves by this file only, because it was taken back since or
// nobody knows, gets a whole day again.
func (tx *Tx) LeaveAgain(stones []Tombstone, since []Leaving) error {
	own, err := tx.Leaving()
	if err != nil {
		return err
	}
	for _, l := range own {
		if err := tx.putBack(l.Family); err != nil {
			return err
		}
	}
	if _, err := tx.EraseAgain(stones); err != nil {
		return err
	}
	for i := range own {
		own[i].Until = tx.p.Now.Add(UndoFor)
	}
	for _, l := range append(slices.Clone(since), own...) {
		err := tx.SetAside(l.Family, l.By, l.Until)
		if err != nil && care.KindOf(err) != care.NotFound { // erased, newer than the backup, or aside by now
			return err
		}
	}
	return nil
}
