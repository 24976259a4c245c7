package store

import (
	"encoding/json"
	"errors"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// nightID names one wearer's night.
type nightID struct {
	wearer care.WearerID
	date   civil.Date
}

// settle folds again what appends have changed. Every transaction ends with
// it, and every read of a night begins with it, so that a batch folds each of
// its nights once.
func (tx *Tx) settle() error {
	for id := range tx.dirty {
		if err := tx.refold(id.wearer, id.date); err != nil {
			return err
		}
	}
	tx.dirty, tx.fresh = nil, nil
	return nil
}

func (tx *Tx) refold(w care.WearerID, night civil.Date) error {
	n, err := tx.computeNight(w, night)
	if err != nil {
		return err
	}
	k := key(string(w), night.String())
	if len(n.Items) == 0 {
		return errors.Join(nights.delete(tx, k), tx.bolt.Bucket([]byte("briefs")).Delete(k))
	}
	if err := nights.bucket(tx).Put(k, n.AppendJSON(make([]byte, 0, 2048))); err != nil {
		return err
	}
	return tx.putBrief(k, &n)
}

func (tx *Tx) putBrief(k []byte, n *care.Night) error {
	brief := care.BriefOf(n)
	return tx.bolt.Bucket([]byte("briefs")).Put(k, brief.Bytes())
}

func (tx *Tx) computeNight(w care.WearerID, night civil.Date) (care.Night, error) {
	var own []*care.Entry
	var family care.FamilyID
	prefix := key(string(w), night.String(), "")
	c := tx.bolt.Bucket([]byte("night_entries")).Cursor()
	for k, at := c.Seek(prefix); k != nil && hasPrefix(k, prefix); k, at = c.Next() {
		e, err := tx.entryAt(at)
		if err != nil {
			return care.Night{}, err
		}
		own, family = append(own, &e), care.FamilyID(at[:len(at)-9])
	}
	set, err := tx.related(family, own)
	if err != nil {
		return care.Night{}, err
	}
	for _, n := range care.Fold(set) {
		if n.Wearer == w && n.Date == night {
			return n, nil
		}
	}
	return care.Night{Wearer: w, Date: night}, nil
}

// Night returns a folded night; a night without entries has no items.
func (tx *Tx) Night(w care.WearerID, night civil.Date) (care.Night, error) {
	if err := tx.settle(); err != nil {
		return care.Night{}, err
	}
	n, err := nights.get(tx, key(string(w), night.String()))
	if care.KindOf(err) == care.NotFound {
		return care.Night{Wearer: w, Date: night}, nil
	}
	return n, err
}

// Nights returns the folded nights from one date to another, both included,
// in order; nights without entries are left out.
func (tx *Tx) Nights(w care.WearerID, from, to civil.Date) ([]care.Night, error) {
	if err := tx.settle(); err != nil {
		return nil, err
	}
	prefix, end := key(string(w), ""), string(key(string(w), to.String()))
	out := []care.Night{}
	c := nights.bucket(tx).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		var n care.Night
		if err := json.Unmarshal(raw, &n); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

// Briefs returns what the rules may look at in the nights from one date to
// another, both included, in order; nights without entries are left out.
func (tx *Tx) Briefs(w care.WearerID, from, to civil.Date) ([]care.Brief, error) {
	if err := tx.settle(); err != nil {
		return nil, err
	}
	prefix, end := key(string(w), ""), string(key(string(w), to.String()))
	out := make([]care.Brief, 0, max(0, min(to.DaysSince(from)+1, 64)))
	c := tx.bolt.Bucket([]byte("briefs")).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		date, err := civil.ParseDate(string(k[len(prefix):]))
		if err != nil {
			return nil, err
		}
		b, err := care.ReadBrief(date, raw)
		if err != nil { // written by another version of the rules
			n, err := nights.get(tx, k)
			if err != nil {
				return nil, err
			}
			b = care.BriefOf(&n)
		}
		out = append(out, b)
	}
	return out, nil
}

// NightBytes reads the folded nights of a range and returns their size in
// bytes: the least a program must do that looks at them, for benchmarks.
func (tx *Tx) NightBytes(w care.WearerID, from, to civil.Date) int {
	prefix, end := key(string(w), ""), string(key(string(w), to.String()))
	size := 0
	var copied []byte
	c := nights.bucket(tx).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		copied = append(copied[:0], raw...)
		size += len(copied)
	}
	return size
}
