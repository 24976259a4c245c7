package store

import (
	"bytes"
	"encoding/base64"
	"encoding/json"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// nightID names one wearer's night.
type nightID struct {
	wearer care.WearerID
	date   civil.Date
}

// briefStart is what a stored night begins with: its brief stands in front of
// the fields of [care.Night], where it is read without looking at the rest.
const briefStart = `{"brief":"`

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
		return nights.delete(tx, k)
	}
	brief := care.BriefOf(&n)
	raw := append(base64.StdEncoding.AppendEncode([]byte(briefStart), brief.Bytes()), `",`...)
	return nights.bucket(tx).Put(k, append(raw, n.AppendJSON(nil)[1:]...))
}

func (tx *Tx) computeNight(w care.WearerID, night civil.Date) (care.Night, error) {
	var own []care.Entry
	prefix := key(string(w), night.String(), "")
	c := tx.bolt.Bucket([]byte("night_entries")).Cursor()
	for k, at := c.Seek(prefix); k != nil && hasPrefix(k, prefix); k, at = c.Next() {
		e, err := tx.entryAt(at)
		if err != nil {
			return care.Night{}, err
		}
		own = append(own, e)
	}
	set, err := tx.related(own)
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
	var out []care.Brief
	c := nights.bucket(tx).Cursor()
	for k, raw := c.Seek(key(string(w), from.String())); k != nil && hasPrefix(k, prefix) && string(k) <= end; k, raw = c.Next() {
		b, err := readBrief(string(k[len(prefix):]), raw)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}

// readBrief reads the brief at the start of a stored night. One written by
// another version of the rules is worked out again.
func readBrief(date string, raw []byte) (care.Brief, error) {
	d, err := civil.ParseDate(date)
	if err != nil {
		return care.Brief{}, err
	}
	if rest, ok := bytes.CutPrefix(raw, []byte(briefStart)); ok {
		var form [1024]byte
		end := bytes.IndexByte(rest, '"')
		if end >= 0 && end <= len(form) {
			if n, err := base64.StdEncoding.Decode(form[:], rest[:end]); err == nil {
				if b, err := care.ReadBrief(d, form[:n]); err == nil {
					return b, nil
				}
			}
		}
	}
	var n care.Night
	if err := json.Unmarshal(raw, &n); err != nil {
		return care.Brief{}, err
	}
	return care.BriefOf(&n), nil
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
